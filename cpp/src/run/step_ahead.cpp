#include "layshaft/run/step_ahead.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace layshaft {

void StepAhead::start(const State& state, const ModesOf<Drivetrain>& modes) {
  integrator_.start(0.0, state, modes);
  pitch_ = {};
  set_out();
}

bool StepAhead::press(const Sample& now) {
  if (steps_since_ > 0 && now.time < time()) pitch_ = pitch_after(last_step(), now.time).pitch;
  integrator_.restart({.time = now.time,
                       .state = to_vector(now.state),
                       .modes = now.modes,
                       .accounts = now.accounts,
                       .instant = now.time},
                      integrator_.stepper().current_time_step());
  set_out();
  return alive();
}

void StepAhead::resume(const Outset& outset) {
  pitch_ = outset.pitch;
  integrator_.resume(outset.at, outset.step);
  set_out();
}

// Notes where the stretch just begun sets out.
void StepAhead::set_out() {
  outset_ = {.at = integrator_.at(), .pitch = pitch_, .step = integrator_.first_step()};
  stretch_ = integrator_.stretches();
  steps_since_ = 0;
  ending_ = integrator_.ending();
}

bool StepAhead::advance() {
  if (!alive()) return false;
  if (stretch_ != integrator_.stretches()) set_out();
  double over = std::numeric_limits<double>::infinity();
  const auto recorder = [this, &over](const SegmentView& segment) {
    pitch_at_begin_ = pitch_;
    const PitchAfter after = pitch_after(segment, segment.end);
    pitch_ = after.pitch;
    keep(segment);
    return over = after.over;
  };
  const double before = time();
  integrator_.advance(std::numeric_limits<double>::infinity(), std::ref(recorder));
  ending_ = integrator_.ending();
  if (std::isfinite(over) && ending_.status == Status::finished) {
    ending_.status = Status::goes_over;
  }
  if (std::floor(time()) > std::floor(before)) integrator_.renew_budget();
  return alive();
}

PitchAfter StepAhead::pitch_after(const SegmentView& segment, double until) const {
  return follow_pitch(integrator_.plant().law(), pitch_at_begin_, segment.begin, until,
                      [&](double time) { return segment.state(time); });
}

void StepAhead::take_changes(double time, std::vector<Change>& log) {
  std::vector<Change>& changes = integrator_.changes();
  const auto later =
      std::ranges::find_if(changes, [time](const Change& change) { return change.time > time; });
  log.insert(log.end(), changes.begin(), later);
  changes.erase(changes.begin(), later);
}

void StepAhead::keep(const SegmentView& segment) {
  kept_ = {segment.stepper,
           segment.active,
           segment.frozen,
           segment.modes,
           segment.accounts_at_begin,
           segment.account_rates_at_begin,
           segment.accounts_at_end,
           segment.begin,
           segment.end};
  ++steps_since_;
}

StepAhead::SegmentView StepAhead::last_step() const {
  return {integrator_.plant(),
          kept_->stepper,
          kept_->active,
          kept_->frozen,
          kept_->modes,
          kept_->accounts_at_begin,
          kept_->account_rates_at_begin,
          kept_->accounts_at_end,
          kept_->begin,
          kept_->end};
}

Sample StepAhead::sample(double time) const {
  const Standing<Drivetrain>& at = integrator_.at();
  if (time < at.time && steps_since_ > 0) return make_sample(last_step(), time);
  const Stretch<Drivetrain>& stretch = integrator_.stretch();
  const auto view =
      view_of(integrator_.plant(), stretch.active(), stretch.frozen(), at.time, at.state);
  return make_sample(integrator_.plant(), view, at.time, at.state, at.accounts, at.modes);
}

}  // namespace layshaft
