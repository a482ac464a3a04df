#pragma once

/// The speed that a driver aims at along a track: as the corners allow and the brakes can reach.
///
/// With y the square of the speed, each place has a limit: where the axle with less grip uses the
/// driver's share of it sideways, and nowhere more than the engine's power could ever reach. Then
/// backwards along the road,
///     dy/ds = -2 B(min(y, limit)),
///     B = max(0, brake_share * min(grip left, 1.2 x standing grip) + drag + rolling +
///     uphill)/mass:
/// the brake pedal is judged by the standing car and gives no more however hard the air presses. B
/// is never below 0, so the aim never rises towards a corner; and it may vanish towards one no
/// faster than within the release time. Into a corner the driver brakes no harder than the rear
/// axle, which braking takes load off, can bear with all of its grip. A step is exact where B is a
/// straight line in y, as on straights with downforce or without.
///
/// Corner limit: with N = N0 + D y the load of an axle, mu(N) its friction (`tyre.hpp`) and f y the
/// force sideways that balances the car's moments at a steady speed (`grip.hpp`), share mu(N) N =
/// f y is a quadratic equation in y on each of the two parts of mu; the least root counts.
///
/// Source: constant deceleration v^2 = v0^2 - 2 a s; grip as in `grip.hpp`.

#include <span>
#include <vector>

#include "layshaft/car/car_law.hpp"
#include "layshaft/car/speed_curve.hpp"
#include "layshaft/car/track.hpp"
#include "layshaft/car/turn_curve.hpp"

namespace layshaft {

/// How the driver goes round. Plain value.
struct TrackDriver {
  double corner_share = 0.98;     ///< Share of the grip that corners are driven with [-], 0.3..1.
  double brake_share = 0.88;      ///< Share of the grip that is braked with [-], 0.1..1.
  double release_time = 0.2;      ///< From full braking to none [s], 0..2.
  double correction_time = 0.08;  ///< In which an error of the speed is taken out [s], 0.01..1.
  bool operator==(const TrackDriver&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const TrackDriver& driver);

/// Spacing of the plan [m].
inline constexpr double kSpeedGrid = 0.25;

/// The fastest that is ever aimed at [m/s].
inline constexpr double kFastestAim = 80.0;

/// The slowest, where an axle that has lifted could not be turned at any speed [m/s].
inline constexpr double kSlowestAim = 0.3;

/// Least share of the weight that lift may leave on the road where the driver aims [-]; the run
/// ends at half of it.
inline constexpr double kLeastAimedPressed = 0.1;

/// Most that is asked of the brake, in shares of what the tyres hold [-]: the slip eases it off.
inline constexpr double kHardestBraking = 1.3;

/// Force at the tyres' grip [N] of the car standing on level ground.
[[nodiscard]] double standing_grip(const CarLaw& level);

/// What the brake pedal does on level ground.
struct BrakePedal {
  double at_grip;     ///< Position that brings the slow car's tyres or belts to what they hold
                      ///< [-]; 0 without a brake, 1/kHardestBraking at most.
  double most_force;  ///< That the driver plans with [N].
};
[[nodiscard]] BrakePedal brake_pedal(const CarLaw& level);

/// How the road bends at a place.
struct Bend {
  double curvature;    ///< [1/m]
  double slope = 0.0;  ///< Of the curvature that turns the car, over the distance [1/m^2].
};

/// Square of the speed [m^2/s^2] at which the axle with less grip uses `share` of it sideways;
/// infinite where downforce grows as fast as the need.
[[nodiscard]] double corner_limit_squared(const CarLaw& law, const Bend& bend, double share);

/// Square of the speed [m^2/s^2] that the engine's largest power holds on a road; that of
/// `kFastestAim` at most.
[[nodiscard]] double power_limit_squared(const CarLaw& law);

/// Where the engine with open throttle has its largest power.
struct EnginePeak {
  double power;  ///< [W]
  double speed;  ///< [rad/s]
};
[[nodiscard]] EnginePeak engine_peak(const EngineLaw<double>& engine);

/// Deceleration [m/s^2], >= 0, with `share` of the grip left braking, at the square of a speed
/// [m^2/s^2]; the brake gives `most_force` [N] at most.
[[nodiscard]] double brake_deceleration(const CarLaw& law, const Bend& bend, double speed_squared,
                                        double share, double most_force);

/// Deceleration [m/s^2], >= 0, that takes so much load off the rear axle that it uses `share` of
/// its grip sideways, at the square of a speed [m^2/s^2]; 0 where it uses more at a steady speed.
[[nodiscard]] double unloading_deceleration(const CarLaw& law, const Bend& bend,
                                            double speed_squared, double share);

/// Parts of the lap that margins belong to: each corner with the way to it, from the end of the
/// corner before; the whole lap where there is no corner.
class Approaches {
 public:
  explicit Approaches(const Track& track);
  [[nodiscard]] std::size_t count() const { return ends_.empty() ? 1 : ends_.size(); }
  [[nodiscard]] std::size_t at(double distance) const;  ///< Within the lap [m].

 private:
  std::vector<double> ends_;  // Of the corners [m].
  double over_the_line_;      // How far the last corner reaches beyond it [m].
};

/// `laws` has the car on each piece; `margins` one factor for each approach, or nothing for 1: on
/// the corner share, and squared on the brake share.
[[nodiscard]] SpeedCurve make_speed_curve(const Track& track, const TurnCurve& turn,
                                          std::span<const CarLaw> laws, const BrakePedal& brake,
                                          const TrackDriver& driver,
                                          std::span<const double> margins);

}  // namespace layshaft
