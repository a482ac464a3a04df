#pragma once

/// The shoes that engage second gear: pivoted on the hub of the two-speed shaft, thrown out against
/// a drum that turns with the second spur, held in by a screw and a spring.
///
/// Sign: screw in = later shift. Leading: the shoe presses itself on while the drum is the faster.
/// Frame: fixed to the hub, from the shaft centre; `along` the line to the pivot, `across` towards
///   the free end. Swing is positive outwards, zero on the seat.
/// Equation: centrifugal moment S(swing) w^2, S = sum m a [y cos swing + (a - x) sin swing], (x, y)
///   the centre of mass; hold moment k h (u + h swing) [rho + (1 - rho) D(swing)], never below 0,
///   u = sign (g_0 - g) the preload travel; assumed D = 1 - swing / contact swing; rho = 1 is the
///   plain spring. The shoe goes out at the greatest w^2 = hold / S over its swing, and comes back
///   at hold / S at contact. In contact: torque = G (S w^2 - hold), G = mu r / (e_N - s mu e_f).
/// Source: moment balance of a rigid shoe; arms after Shigley eqs 16-2 to 16-10 (see
///   `friction_shoe.hpp`). Neglected: friction of the pivot (about 1 % of w^2) and the mass of the
///   screw's moving part (under 0.1 %).

#include <array>
#include <cstddef>
#include <string>

#include "layshaft/laws/friction_shoe.hpp"
#include "layshaft/laws/screw.hpp"
#include "layshaft/laws/shoe_law.hpp"

namespace layshaft {

/// Which way the shoes lie: leading or trailing when the drum is the faster part (upshift).
enum class ShoeOrientation { leading, trailing };

/// What holds the shoe in: a spring alone, or a detent that lets go as the shoe leaves its seat.
enum class HoldIn { spring, detent };

/// What is set on one shoe.
struct ShoeSetting {
  double gap;        ///< Caliper reading over the screw g [m], > 0.
  double slug_mass;  ///< Mass of the weight put into the shoe [kg], >= 0.
  bool operator==(const ShoeSetting&) const = default;
};

inline constexpr std::size_t kShoes = 2;  ///< They stand evenly round the shaft.

/// Shoes of one shape, each with its own setting. Plain value; SI units.
struct TwoSpeed {
  double shoe_mass;                    ///< Mass of one shoe without its slug [kg], > 0.
  double shoe_centre_along;            ///< Its centre of mass along the line to the pivot [m].
  double shoe_centre_across;           ///< Its centre of mass across that line [m].
  double slug_centre_along;            ///< Slug's centre of mass along the line [m].
  double slug_centre_across;           ///< Slug's centre of mass across the line [m], >= 0.
  double pivot_radius;                 ///< Shaft centre to pivot a [m], > 0.
  double drum_radius;                  ///< Radius of the rubbing surface r [m], > 0.
  double arc_start;                    ///< Lining's start, from the line to the pivot [rad], >= 0.
  double arc_end;                      ///< Lining's end [rad], > arc_start, <= pi.
  ShoeOrientation orientation;         ///< How the shoe lies at the upshift.
  double friction;                     ///< Sliding friction coefficient, cold [-], > 0.
  double static_friction;              ///< Friction coefficient at rest, cold [-], >= friction.
  double clearance;                    ///< Way of the lining to the drum [m], > 0.
  double spring_rate;                  ///< Rate at the screw k [N/m], > 0.
  double screw_arm;                    ///< Arm of the screw's force about the pivot h [m], > 0.
  double zero_preload_reading;         ///< Caliper reading at which the spring is slack g_0 [m].
  ReadingDirection reading_direction;  ///< What the reading does as the screw goes in.
  double screw_pitch;                  ///< Advance of the screw in a turn [m], > 0.
  HoldIn hold_in;                      ///< Spring or detent.
  double detent_ratio;  ///< Hold left at contact rho [-], 0..1; a plain spring does not use it.
  std::array<ShoeSetting, kShoes> shoes;  ///< Settings, shoe by shoe.
  bool operator==(const TwoSpeed&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound. A shoe at or past
/// self-locking with its static friction is refused, whichever direction it would lock in, and so
/// is one that speed pulls in at contact.
void validate(const TwoSpeed& two_speed);

/// Preload travel u [m]; below 0 the spring is slack on the seat.
[[nodiscard]] double preload_travel(const TwoSpeed& two_speed, const ShoeSetting& setting);

/// Arms of the lining's forces about the pivot.
[[nodiscard]] ShoeArms shoe_arms(const TwoSpeed& two_speed);

/// Swing at which the lining meets the drum [rad].
[[nodiscard]] double contact_swing(const TwoSpeed& two_speed);

/// Centrifugal moment per square of the shaft speed S [kg*m^2] at a swing [rad].
[[nodiscard]] double centrifugal_gain(const TwoSpeed& two_speed, const ShoeSetting& setting,
                                      double swing);

/// Moment holding the shoe in [N*m], >= 0, at a swing [rad] between seat and contact.
[[nodiscard]] double hold_moment(const TwoSpeed& two_speed, const ShoeSetting& setting,
                                 double swing);

/// Shaft speed squared [rad^2/s^2] at which the shoe goes out.
[[nodiscard]] double contact_speed_squared(const TwoSpeed& two_speed, const ShoeSetting& setting);

/// Shaft speed squared [rad^2/s^2] at which it comes back.
[[nodiscard]] double release_speed_squared(const TwoSpeed& two_speed, const ShoeSetting& setting);

/// Coefficients of one shoe with its setting.
[[nodiscard]] ShoeLaw<double> make_shoe_law(const TwoSpeed& two_speed, const ShoeSetting& setting);

/// The laws of all shoes, each with its own setting.
[[nodiscard]] std::array<ShoeLaw<double>, kShoes> make_shoe_laws(const TwoSpeed& two_speed);

[[nodiscard]] inline std::string to_string(ShoeOrientation orientation) {
  return orientation == ShoeOrientation::leading ? "leading" : "trailing";
}

[[nodiscard]] inline std::string to_string(HoldIn hold_in) {
  return hold_in == HoldIn::spring ? "spring" : "detent";
}

}  // namespace layshaft
