#include "layshaft/run/lap_corners.hpp"

#include <algorithm>
#include <cmath>

#include "layshaft/number/absent.hpp"

namespace layshaft {
namespace {

std::vector<CornerPass> unpassed(const std::vector<Corner>& corners) {
  std::vector<CornerPass> passes;
  for (const Corner& corner : corners) {
    passes.push_back({corner.begin, corner.end, kNotANumber, kNotANumber, kNever, kNotANumber, 0.0,
                      kNotANumber, kNotANumber, kNotANumber, false, false});
  }
  return passes;
}

}  // namespace

bool lies_in(double distance, double begin, double end, double lap) {
  return (distance >= begin && distance <= end) || distance + lap <= end ||
         (begin < 0.0 && distance >= begin + lap);
}

LapCorners::LapCorners(const TrackCar& plant, const LapOptions& options,
                       std::vector<CornerPass>& passes)
    : plant_(plant),
      standing_(options.standing),
      least_power_(options.least_power),
      engine_peak_(engine_peak(plant.base().law().engine)),
      passes_(passes = unpassed(plant.track().corners())) {}

void LapCorners::begin(bool is_down) { off_since_line_ = !is_down && !standing_; }

void LapCorners::note_foot(bool is_down, const State& state) {
  foot_off_ = is_down ? kNotANumber : state(track_state::distance);
  off_since_line_ = false;
  left_ = nullptr;
  if (is_down) leave(state);
}

void LapCorners::enter_next(double speed) {
  CornerPass& pass = passes_[next_];
  pass.entry_speed = speed;
  pass.brake_distance = foot_off_;
  if (off_since_line_) braked_before_line_ = static_cast<int>(next_);
  foot_off_ = kNotANumber;
  off_since_line_ = false;
}

void LapCorners::look(const State& state, double grip, bool clutch_holds) {
  look_at_exit(state, clutch_holds);
  const double distance = state(track_state::distance);
  const double speed = state(node::car);
  const double lap = standing_ ? kNever : plant_.track().length();
  for (CornerPass& pass : passes_) {
    if (!lies_in(distance, pass.begin, pass.end, lap)) continue;
    if (speed < pass.least_speed) {
      pass.least_speed = speed;
      pass.least_distance = distance;
    }
    pass.most_grip = std::max(pass.most_grip, grip);
  }
}

// The corner entered last is left where the foot goes down.
void LapCorners::leave(const State& state) {
  const bool behind_line = next_ == 0;
  if (passes_.empty() || (behind_line && standing_)) return;
  CornerPass& pass = behind_line ? passes_.back() : passes_[next_ - 1];
  const bool left_later = left_after_line_ && next_ == passes_.size();
  if (!behind_line && (left_later || std::isnan(pass.least_distance))) return;
  left_after_line_ = left_after_line_ || behind_line;
  const CarLaw& law = plant_.base().law();
  const double crank = state(node::crank);
  pass.exit_distance = state(track_state::distance);
  pass.exit_crank = crank;
  pass.exit_power = engine_torque(law.engine, crank, 1.0) * crank / engine_peak_.power;
  const bool weak = pass.exit_power < least_power_ && crank < engine_peak_.speed;
  pass.bogs = weak || clutch_excess(law.clutch, crank) < 0.0;
  pass.tyres_limit = false;
  clutch_slipped_ = false;
  left_ = pass.bogs ? &pass : nullptr;
}

void LapCorners::look_at_exit(const State& state, bool clutch_holds) {
  if (left_ == nullptr || state(track_state::distance) > left_->exit_distance + kExit) return;
  clutch_slipped_ = clutch_slipped_ || !clutch_holds;
  const double slip = state(car_state::rear_slip) * plant_.base().law().per_slip_target;
  const double kept_back = 1.0 - 1.0 / (1.0 + square(std::max(slip, 0.0)));
  left_->tyres_limit = (left_->tyres_limit || kept_back > kKeptBack) && !clutch_slipped_;
  left_->bogs = !left_->tyres_limit;
}

void LapCorners::close() {
  if (braked_before_line_ < 0) return;
  passes_[static_cast<std::size_t>(braked_before_line_)].brake_distance = foot_off_;
}

}  // namespace layshaft
