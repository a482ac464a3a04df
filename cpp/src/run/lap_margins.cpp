#include "layshaft/run/lap_margins.hpp"

#include <algorithm>
#include <cmath>

namespace layshaft {
namespace {

constexpr int kMostRounds = 20;
constexpr int kSearchRounds = 10;  // Then the factors only fall, to what holds surely.
constexpr double kAim = kAllGrip - 5e-4;
constexpr double kLeastFactor = 0.02;
constexpr double kNarrow = 1e-4;  // Width of a bracket in which shifts come and go.

}  // namespace

LapMargins::LapMargins(std::size_t approaches) : factors_(approaches, 1.0), brackets_(approaches) {}

double LapMargins::next(Bracket& bracket, Known now) {
  const bool too_fast = now.grip > kAllGrip;
  bracket.too_fast = too_fast ? bracket.too_fast + 1 : 0;
  (too_fast ? bracket.high : bracket.low) = now;
  // The other corners may have moved a side of the bracket past the other.
  if (too_fast && bracket.low.factor >= now.factor) bracket.low = {0.0, 0.0};
  if (!too_fast && bracket.high.factor <= now.factor) bracket.high = {0.0, 0.0};
  const auto& [low, high, times, looks] = bracket;
  // The grip used goes with the square of the speed, and that with the factor; further each time.
  if (low.factor == 0.0) return now.factor * std::pow(kAim / now.grip, times);
  if (high.factor == 0.0) return std::min(now.factor * kAim / now.grip, 1.0);
  const double width = high.factor - low.factor;
  if (width < kNarrow) return low.factor;
  constexpr double kInside = 0.1;
  const double share = (kAim - low.grip) / (high.grip - low.grip);
  const bool halve = ++bracket.looks % 3 == 0;
  return low.factor + width * (halve ? 0.5 : std::clamp(share, kInside, 1.0 - kInside));
}

bool LapMargins::improve(const std::vector<double>& grips) {
  if (rounds_++ == kMostRounds) return false;
  const std::vector<double> before = factors_;
  for (std::size_t i = 0; i < factors_.size(); ++i) {
    const bool settled =
        grips[i] <= kAllGrip && (factors_[i] == 1.0 || grips[i] >= 2.0 * kAim - kAllGrip);
    if (settled) continue;
    const double lower = factors_[i] * std::min(square(kAim / grips[i]), 1.0);
    const double found =
        rounds_ > kSearchRounds ? lower : next(brackets_[i], {factors_[i], grips[i]});
    factors_[i] = std::max(found, kLeastFactor);
  }
  return factors_ != before;
}

}  // namespace layshaft
