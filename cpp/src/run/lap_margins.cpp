#include "layshaft/run/lap_margins.hpp"

#include <algorithm>
#include <cmath>

namespace layshaft {
namespace {

constexpr int kSearchRounds = 10;  // Then the factors only fall, to what holds surely.
constexpr double kAim = kAllGrip - 2e-4;
constexpr double kLeastFactor = 0.02;
// The grip used goes with the factor and, where a straight is braked off, with its second power; a
// bracket in which it goes so much further holds a jump, or a side that the other corners moved.
constexpr double kJump = 4.0;
constexpr double kNarrow = 3e-3;  // Width of a bracket with a jump that is searched no further.

}  // namespace

LapMargins::LapMargins(std::size_t approaches) : factors_(approaches, 1.0), brackets_(approaches) {}

double LapMargins::next(Bracket& bracket, Known now) {
  const bool too_fast = now.grip > kAllGrip;
  auto& [low, high, same] = bracket;
  same = too_fast ? std::max(same, 0) + 1 : std::min(same, 0) - 1;
  (too_fast ? high : low) = now;
  // The other corners may have moved a side of the bracket past the other.
  if (too_fast && low.factor >= now.factor) {
    low = {0.0, 0.0};
    same = 1;
  }
  if (!too_fast && high.factor <= now.factor) high = {0.0, 0.0};
  // The grip used goes with the square of the speed, and that with the factor; further each time.
  if (low.factor == 0.0) return now.factor * std::pow(kAim / now.grip, same);
  if (high.factor == 0.0) return std::min(now.factor * kAim / now.grip, 1.0);
  const double width = high.factor - low.factor;
  if (high.grip - low.grip > kJump * width) {
    // Does it still hold there?
    return too_fast || width < kNarrow ? low.factor : low.factor + 0.5 * width;
  }
  const double weight = std::exp2(1 - std::abs(same));  // Of the side that stays.
  const double below = (kAim - low.grip) * (too_fast ? weight : 1.0);
  const double above = (high.grip - kAim) * (too_fast ? 1.0 : weight);
  constexpr double kInside = 0.05;
  const double share = std::clamp(below / (below + above), kInside, 1.0 - kInside);
  return low.factor + share * width;
}

bool LapMargins::improve(const std::vector<double>& grips) {
  if (used_up()) return false;
  ++rounds_;
  const std::vector<double> before = factors_;
  for (std::size_t i = 0; i < factors_.size(); ++i) {
    const bool settled =
        grips[i] <= kAllGrip && (factors_[i] == 1.0 || grips[i] >= 2.0 * kAim - kAllGrip);
    if (settled) continue;
    const double found = next(brackets_[i], {factors_[i], grips[i]});
    if (rounds_ <= kSearchRounds) {
      factors_[i] = std::max(found, kLeastFactor);
    } else if (grips[i] > kAllGrip) {
      const double known = brackets_[i].low.factor;
      const double lower = known > 0.0 ? known : factors_[i] * square(kAim / grips[i]);
      factors_[i] = std::max(lower, kLeastFactor);
    }
  }
  return factors_ != before;
}

}  // namespace layshaft
