#include "layshaft/run/step_ahead.hpp"

#include <utility>

namespace layshaft {

void StepAhead::start(const State& state, const ModesOf<Drivetrain>& modes) {
  start_run(0.0, state, modes);
  has_step_ = false;
  before_ = standing();
  changes_before_ = 0;
}

void StepAhead::press(const Sample& now) {
  while (!changes_.empty() && changes_.back().time > now.time) changes_.pop_back();
  time_ = now.time;
  state_ = now.state;
  accounts_ = now.accounts;
  modes_ = now.modes;
  steps_ = 0;
  same_instant_ = 0;
  instant_ = now.time;
  alive_ = enter_modes(Fired{}, Cause::corner, stepper_.current_time_step());
  has_step_ = false;
  before_ = standing();
  changes_before_ = changes_.size();
}

void StepAhead::resume(const Standing& standing, std::vector<Change> changes) {
  time_ = standing.time;
  state_ = standing.state;
  accounts_ = standing.accounts;
  modes_ = standing.modes;
  steps_ = standing.steps;
  same_instant_ = standing.same_instant;
  instant_ = standing.instant;
  armed_ = standing.armed;
  guards_ = standing.guards;
  active_ = plant_.activate(modes_.switches);
  frozen_ = freeze(plant_.network(), modes_.couplings);
  stepper_.initialize(standing.step_state, time_, standing.next_step);
  const Look now = look(time_, state_);
  last_ = now.guards;
  account_rates_[0] = now.account_rates;
  changes_ = std::move(changes);
  alive_ = true;
  has_step_ = false;
  before_ = standing;
  changes_before_ = changes_.size();
}

bool StepAhead::advance() {
  if (!alive_) return false;
  before_ = standing();
  changes_before_ = changes_.size();
  const auto recorder = [this](const SegmentView& segment) {
    keep(segment);
    return std::numeric_limits<double>::infinity();
  };
  alive_ = make_step() && take_step(std::numeric_limits<double>::infinity(), recorder);
  return alive_;
}

Standing StepAhead::standing() const {
  return {.time = time_,
          .state = state_,
          .step_state = stepper_.current_state(),
          .next_step = stepper_.current_time_step(),
          .modes = modes_,
          .guards = guards_,
          .armed = armed_,
          .accounts = accounts_,
          .same_instant = same_instant_,
          .instant = instant_,
          .steps = steps_};
}

void StepAhead::keep(const SegmentView& segment) {
  kept_ = {segment.stepper,           segment.active,          segment.frozen, segment.modes,
           segment.accounts_at_begin, segment.accounts_at_end, segment.begin,  segment.end};
  has_step_ = true;
}

StepAhead::SegmentView StepAhead::last_step() const {
  return {plant_,      kept_.stepper,           kept_.active,          kept_.frozen,
          kept_.modes, kept_.accounts_at_begin, kept_.accounts_at_end, kept_.begin,
          kept_.end};
}

Sample StepAhead::sample(double time) const {
  if (time < time_ && has_step_) return make_sample(last_step(), time);
  const View<Drivetrain> view =
      view_of<Drivetrain, Active>(plant_, active_, frozen_, time_, state_);
  return make_sample(plant_, view, time_, state_, accounts_, modes_);
}

}  // namespace layshaft
