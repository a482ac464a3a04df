#pragma once

/// A pair of spur gears: ratio, centre distance, tooth contact and mesh loss.
///
/// Sign: the pinion drives; approach is the contact before the pitch point, recess after it.
/// Law: base radius r_b = m z cos(alpha)/2; at a centre distance a the working pressure angle is
/// acos((r_b1 + r_b2)/a); contact ratio = (sqrt(r_a1^2 - r_b1^2) + sqrt(r_a2^2 - r_b2^2)
/// - a sin(alpha_w))/p_b; circular backlash 2 a (inv alpha_w - inv alpha) for teeth cut without
/// thinning; loss factor H_V = pi (u + 1)/(z1 u) (1 - eps + e1^2 + e2^2), efficiency 1 - mu H_V.
/// Source: R. L. Norton, Machine Design, ch. 12 (contact); H. Ohlendorf (loss factor); ISO/TR
/// 14179-2 (efficiency); ISO 54 and DIN 780 (modules).

#include <string_view>

#include "layshaft/number/real.hpp"

namespace layshaft {

/// Where the mesh efficiency comes from.
enum class MeshLoss {
  from_teeth,  ///< 1 - friction * loss factor of the tooth contact.
  given,       ///< The field `efficiency`.
};

/// One pair of spur gears, cut to standard depth without profile shift.
struct GearPair {
  double spur;            ///< Teeth of the driven gear [-], whole, 8 to 200.
  double pinion;          ///< Teeth of the driving gear [-], whole, 8 to 200.
  double module;          ///< Pitch diameter per tooth [m], > 0.
  double pressure_angle;  ///< Of the cutter [rad], 0.17 to 0.53 (10 to 30 degrees).
  double addendum;        ///< Tooth height above the pitch circle, in modules [-], 0.5 to 1.3.
  double friction;        ///< Mean friction coefficient of the mesh [-], 0 to 0.5.
  double efficiency;      ///< Used when `loss` is given [-], > 0, <= 1.
  MeshLoss loss;          ///< Which of the two gives the efficiency.
  bool operator==(const GearPair&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const GearPair& pair);

/// Speed of the pinion over speed of the spur [-].
[[nodiscard]] constexpr double ratio(const GearPair& pair) { return pair.spur / pair.pinion; }

[[nodiscard]] constexpr double tooth_sum(const GearPair& pair) { return pair.spur + pair.pinion; }

/// Centre distance without backlash [m]: module * tooth_sum / 2.
[[nodiscard]] constexpr double nominal_centre(const GearPair& pair) {
  return 0.5 * pair.module * tooth_sum(pair);
}

/// Base circle radius [m] of a gear with `teeth` [-].
[[nodiscard]] double base_radius(const GearPair& pair, double teeth);

/// Tip circle radius [m] of a gear with `teeth` [-] cut to standard depth.
[[nodiscard]] double tip_radius(const GearPair& pair, double teeth);

/// Pressure angle [rad] at which the pair runs at `centre` [m]. Throws below the sum of base radii.
[[nodiscard]] double working_pressure_angle(const GearPair& pair, double centre);

/// Play between the teeth along the working pitch circle [m]; negative: the teeth jam.
[[nodiscard]] double backlash(const GearPair& pair, double centre);

/// Fewest teeth a rack of this depth cuts without undercut [-]: 2 addendum / sin^2(pressure_angle).
[[nodiscard]] double undercut_limit(const GearPair& pair);

/// How the teeth touch at one centre distance.
struct ToothContact {
  double working_pressure_angle;  ///< [rad].
  double approach_length;         ///< Path of contact before the pitch point [m].
  double recess_length;           ///< Path of contact after it [m].
  double path_length;             ///< Sum of both [m].
  double arc_length;              ///< The same along the working pitch circle [m].
  double contact_ratio;           ///< Mean number of teeth in contact [-].
  double loss_factor;             ///< H_V [-].
  bool clear;                     ///< Neither tip reaches below the other's base circle.
  bool operator==(const ToothContact&) const = default;
};

/// At `centre` [m] with the tip radii given [m], for gears with profile shift or cut tips.
[[nodiscard]] ToothContact tooth_contact(const GearPair& pair, double centre, double pinion_tip,
                                         double spur_tip);

/// At `centre` [m] with tips of standard depth.
[[nodiscard]] ToothContact tooth_contact(const GearPair& pair, double centre);

/// Fastest sliding of tooth on tooth [m/s] at `pinion_speed` [rad/s].
[[nodiscard]] double sliding_speed(const GearPair& pair, const ToothContact& contact,
                                   double pinion_speed);

/// Power out over power in [-] at the nominal centre.
[[nodiscard]] double mesh_efficiency(const GearPair& pair);

/// Range of centre distances [m]; empty when lowest > highest.
struct CentreRange {
  double lowest;
  double highest;
  bool operator==(const CentreRange&) const = default;
};

[[nodiscard]] constexpr bool is_empty(const CentreRange& range) {
  return !(range.lowest <= range.highest);
}

/// Centre distances at which the backlash lies from `least` to `most` [m], 0 <= least <= most.
[[nodiscard]] CentreRange centres_for_backlash(const GearPair& pair, double least, double most);

/// Centre distances at which both pairs keep their backlash from `least` to `most` [m]: the two
/// pairs of a two-speed share their two shafts. Empty when they cannot be combined.
[[nodiscard]] CentreRange shared_centres(const GearPair& first, const GearPair& second,
                                         double least, double most);

/// Whether `module` [m] is of the first choice of ISO 54 (1 to 3 mm) or a preferred one of DIN 780
/// below 1 mm.
[[nodiscard]] bool is_standard_module(double module);

[[nodiscard]] constexpr std::string_view to_string(MeshLoss loss) {
  switch (loss) {
    case MeshLoss::from_teeth: return "from teeth";
    case MeshLoss::given: return "given";
  }
  return "unknown";
}

}  // namespace layshaft
