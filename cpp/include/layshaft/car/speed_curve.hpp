#pragma once

/// The speed that a driver aims at along a track: as the corners allow and the brakes can reach.
///
/// Two passes over the lap. First the speed at which a corner uses the driver's share of the grip
/// sideways; then backwards, v^2 may fall along the road no faster than
///     d(v^2)/ds = -2 (brake_share * grip left + drag + rolling drag + weight uphill)/mass,
/// and the deceleration may vanish towards a corner no faster than within the release time.
/// The square of the speed is kept as a uniform cubic B-spline on the passes' grid: twice
/// continuously differentiable, without overshoot, and a straight braking line stays straight.
///
/// Source: constant deceleration v^2 = v0^2 - 2 a s; C. de Boor, A Practical Guide to Splines,
/// ch. IX-XI (B-splines); grip as in `grip.hpp`.

#include <span>
#include <vector>

#include "layshaft/car/drivetrain_law.hpp"
#include "layshaft/car/track.hpp"

namespace layshaft {

/// How the driver goes round. Plain value.
struct TrackDriver {
  double corner_share = 0.94;  ///< Share of the grip that corners are driven with [-], 0.3..1.
  double brake_share = 0.88;   ///< Share of the grip that is braked with [-], 0.1..1.
  double release_time = 0.2;   ///< From full braking to none [s], 0..2.
  double speed_band = 0.3;     ///< Speed off the aim at which a pedal is fully pressed [m/s], > 0.
  bool operator==(const TrackDriver&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const TrackDriver& driver);

class SpeedCurve {
 public:
  /// `squares` [m^2/s^2], evenly spaced over a lap of `length` [m]; at least four.
  SpeedCurve(double length, std::vector<double> squares);

  /// Square of the speed [m^2/s^2] with its first two derivatives in the distance.
  struct Point {
    double square;
    double slope;  ///< [m/s^2]
    double bend;   ///< [1/s^2]
  };
  /// At a distance [m], which may lie any number of laps on or back.
  [[nodiscard]] Point at(double distance) const;

 private:
  double per_step_;              // Grid points for each metre.
  std::vector<double> squares_;  // With one before and two after the lap.
};

/// Spacing of the grid [m].
inline constexpr double kSpeedGrid = 0.25;

/// The fastest that is ever aimed at [m/s]; far above what the car reaches.
inline constexpr double kFastestAim = 80.0;

/// Square of the speed [m^2/s^2] at which the axle with less grip uses `share` of it sideways.
[[nodiscard]] double corner_limit_squared(const DrivetrainLaw<double>& law, double curvature,
                                          double share);

/// Deceleration [m/s^2] with `share` of the grip left braking, at the square of a speed [m^2/s^2].
[[nodiscard]] double brake_deceleration(const DrivetrainLaw<double>& law, double curvature,
                                        double speed_squared, double share);

/// `laws` has the car on each piece; `cares` one factor on both shares for each of the track's
/// corners, for the way to it and through it.
[[nodiscard]] SpeedCurve make_speed_curve(const Track& track,
                                          std::span<const DrivetrainLaw<double>> laws,
                                          const TrackDriver& driver, std::span<const double> cares);

}  // namespace layshaft
