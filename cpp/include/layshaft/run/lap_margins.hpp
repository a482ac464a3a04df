#pragma once

/// What a driver leaves of the grip where the car came too fast.
///
/// For each of the track's `Approaches` one factor on the driver's shares of the grip, 1 unless the
/// grip used there passes `kAllGrip`. Then the factor is the root of (grip used = 1.0018), so that
/// it goes on smoothly from 1 as the lap gets faster: found by the secant, kept inside its bracket
/// (Illinois: a side that stays while the other comes nearer counts half as much each time). Where
/// a shift that comes or goes makes the grip used jump there is no root: the factor just below the
/// jump is taken, at which the car holds, and the search there is over.

#include <vector>

#include "layshaft/run/lap.hpp"

namespace layshaft {

class LapMargins {
 public:
  explicit LapMargins(std::size_t approaches);

  [[nodiscard]] const std::vector<double>& factors() const { return factors_; }
  /// Whether the factors remain, whatever grip is used.
  [[nodiscard]] bool used_up() const { return rounds_ >= kMostRounds; }

  /// Changes the factors by what grip a lap with them used at most on each approach [-]; false if
  /// they remain, as all is settled or the rounds are used up.
  [[nodiscard]] bool improve(const std::vector<double>& grips);

 private:
  static constexpr int kMostRounds = 20;

  // A factor and the grip used with it.
  struct Known {
    double factor, grip;
  };
  struct Bracket {
    Known low{0.0, 0.0};   // Not too fast; factor 0 as long as none is known.
    Known high{0.0, 0.0};  // Too fast; factor 0 as long as none is known.
    int same = 0;          // Times in a row, too fast above 0 and not below 0.
  };
  [[nodiscard]] static double next(Bracket& bracket, Known now);

  std::vector<double> factors_;
  std::vector<Bracket> brackets_;
  int rounds_ = 0;
};

}  // namespace layshaft
