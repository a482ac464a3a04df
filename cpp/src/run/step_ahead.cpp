#include "layshaft/run/step_ahead.hpp"

#include <algorithm>
#include <cmath>

namespace layshaft {

void StepAhead::start(const State& state, const ModesOf<Drivetrain>& modes) {
  start_run(0.0, state, modes);
  pitch_ = {};
  set_out();
}

bool StepAhead::press(const Sample& now) {
  if (steps_since_ > 0 && now.time < time_) pitch_ = pitch_after(last_step(), now.time).pitch;
  changes_.clear();
  time_ = now.time;
  state_ = now.state;
  accounts_ = now.accounts;
  modes_ = now.modes;
  steps_ = 0;
  same_instant_ = 0;
  instant_ = now.time;
  alive_ = enter_modes(Fired{}, Cause::corner, stepper_.current_time_step());
  set_out();
  return alive_;
}

void StepAhead::resume(const Outset& outset) {
  time_ = outset.time;
  state_ = outset.state;
  accounts_ = outset.accounts;
  pitch_ = outset.pitch;
  modes_ = outset.modes;
  steps_ = outset.steps;
  same_instant_ = outset.same_instant;
  instant_ = outset.instant;
  changes_.clear();
  alive_ = begin_stretch(outset.step);
  set_out();
}

// Takes down where the stretch just begun sets out.
void StepAhead::set_out() {
  outset_ = {.time = time_,
             .state = state_,
             .modes = modes_,
             .accounts = accounts_,
             .pitch = pitch_,
             .step = stretch_step_,
             .same_instant = same_instant_,
             .instant = instant_,
             .steps = steps_};
  stretch_ = stretches_;
  steps_since_ = 0;
}

bool StepAhead::advance() {
  if (!alive_) return false;
  if (stretch_ != stretches_) set_out();
  double over = std::numeric_limits<double>::infinity();
  const auto recorder = [this, &over](const SegmentView& segment) {
    pitch_at_begin_ = pitch_;
    const PitchAfter after = pitch_after(segment, segment.end);
    pitch_ = after.pitch;
    keep(segment);
    return over = after.over;
  };
  const double before = time_;
  alive_ = make_step() && take_step(std::numeric_limits<double>::infinity(), recorder);
  if (std::isfinite(over) && ending_.status == Status::finished) {
    ending_.status = Status::goes_over;
  }
  if (std::floor(time_) > std::floor(before)) steps_ = 0;
  return alive_;
}

PitchAfter StepAhead::pitch_after(const SegmentView& segment, double until) const {
  return follow_pitch(plant_.law(), pitch_at_begin_, segment.begin, until,
                      [&](double time) { return segment.state(time); });
}

void StepAhead::take_changes(double time, std::vector<Change>& log) {
  const auto later = std::find_if(changes_.begin(), changes_.end(),
                                  [time](const Change& change) { return change.time > time; });
  log.insert(log.end(), changes_.begin(), later);
  changes_.erase(changes_.begin(), later);
}

void StepAhead::keep(const SegmentView& segment) {
  kept_ = {segment.stepper,           segment.active,          segment.frozen, segment.modes,
           segment.accounts_at_begin, segment.accounts_at_end, segment.begin,  segment.end};
  ++steps_since_;
}

StepAhead::SegmentView StepAhead::last_step() const {
  return {plant_,      kept_.stepper,           kept_.active,          kept_.frozen,
          kept_.modes, kept_.accounts_at_begin, kept_.accounts_at_end, kept_.begin,
          kept_.end};
}

Sample StepAhead::sample(double time) const {
  if (time < time_ && steps_since_ > 0) return make_sample(last_step(), time);
  const View<Drivetrain> view =
      view_of<Drivetrain, Active>(plant_, active_, frozen_, time_, state_);
  return make_sample(plant_, view, time_, state_, accounts_, modes_);
}

}  // namespace layshaft
