#pragma once

/// Load on the front and the rear axle, standing and while the car speeds up or brakes.
///
/// Sign: acceleration is positive forwards; it moves load from the front axle to the rear.
/// Law: front = m g front_share - m a h/wheelbase, rear = m g (1 - front_share) + m a h/wheelbase.
/// With a driven axle at its grip, m a = mu * load of that axle:
/// front drive a = mu g share/(1 + mu h/wheelbase), rear drive a = mu g share/(1 - mu h/wheelbase).
/// Source: moments about the axle contact points of a rigid car on the level; T. Bevan, The Theory
/// of Machines, 3rd ed., ch. 8 for braking.

#include <string_view>

#include "layshaft/laws/axle_loading.hpp"
#include "layshaft/number/bounds.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {

/// Where the mass of the car lies.
struct MassLayout {
  double mass;         ///< Car ready to run [kg], > 0.
  double wheelbase;    ///< Distance between the axles [m], > 0.
  double height;       ///< Centre of gravity above the ground [m], >= 0.
  double front_share;  ///< Share of the weight on the front axle, standing [-], > 0, < 1.
  bool operator==(const MassLayout&) const = default;
};

/// Which axle grips.
enum class GripAxle { front, rear, both };

/// Throws std::invalid_argument naming the field, its value and the broken bound.
inline void validate(const MassLayout& layout) {
  const auto check = [](bool good, const char* field, double value, const char* bound) {
    require(good, "MassLayout", field, value, bound);
  };
  check(layout.mass > 0.0 && layout.mass < 1e5, "mass", layout.mass, "> 0 and finite");
  check(layout.wheelbase > 0.0 && layout.wheelbase < 1e3, "wheelbase", layout.wheelbase,
        "> 0 and finite");
  check(layout.height >= 0.0 && layout.height < 1e3, "height", layout.height, ">= 0 and finite");
  check(layout.front_share > 0.0 && layout.front_share < 1.0, "front_share", layout.front_share,
        "> 0 and < 1");
}

/// Hoisted coefficients.
template <class Real>
struct LoadTransferLaw {
  Real front_static;               ///< [N].
  Real rear_static;                ///< [N].
  Real transfer_per_acceleration;  ///< mass * height / wheelbase [kg].
};

/// `gravity` [m/s^2].
[[nodiscard]] inline LoadTransferLaw<double> make_load_transfer_law(
    const MassLayout& layout, double gravity = kStandardGravity) {
  validate(layout);
  const double weight = layout.mass * gravity;
  return {.front_static = weight * layout.front_share,
          .rear_static = weight * (1.0 - layout.front_share),
          .transfer_per_acceleration = layout.mass * layout.height / layout.wheelbase};
}

/// Loads at `acceleration` [m/s^2] once the body has settled. A load below 0 means that the axle
/// has lifted.
template <class Coefficient, class Real>
[[nodiscard]] AxleLoads<Real> axle_loads(const LoadTransferLaw<Coefficient>& law,
                                         const Real& acceleration) {
  const Real transfer = law.transfer_per_acceleration * acceleration;
  return {.front = law.front_static - transfer, .rear = law.rear_static + transfer};
}

/// Greatest acceleration [m/s^2] that the driven axle's grip `friction` [-] allows, while neither
/// axle lifts.
[[nodiscard]] inline double drive_limit(const MassLayout& layout, GripAxle driven, double friction,
                                        double gravity = kStandardGravity) {
  validate(layout);
  const double lever = friction * layout.height / layout.wheelbase;
  switch (driven) {
    case GripAxle::front: return friction * gravity * layout.front_share / (1.0 + lever);
    case GripAxle::rear: return friction * gravity * (1.0 - layout.front_share) / (1.0 - lever);
    case GripAxle::both: return friction * gravity;
  }
  return 0.0;
}

/// Greatest deceleration [m/s^2], positive, that the braked axle's grip allows: driving backwards.
[[nodiscard]] inline double brake_limit(const MassLayout& layout, GripAxle braked, double friction,
                                        double gravity = kStandardGravity) {
  validate(layout);
  const double lever = friction * layout.height / layout.wheelbase;
  switch (braked) {
    case GripAxle::front: return friction * gravity * layout.front_share / (1.0 - lever);
    case GripAxle::rear: return friction * gravity * (1.0 - layout.front_share) / (1.0 + lever);
    case GripAxle::both: return friction * gravity;
  }
  return 0.0;
}

/// Distance [m] in which `deceleration` [m/s^2] stops a car from `speed` [m/s].
[[nodiscard]] constexpr double stopping_distance(double speed, double deceleration) {
  return speed * speed / (2.0 * deceleration);
}

[[nodiscard]] constexpr std::string_view to_string(GripAxle axle) {
  switch (axle) {
    case GripAxle::front: return "front";
    case GripAxle::rear: return "rear";
    case GripAxle::both: return "both";
  }
  return "unknown";
}

}  // namespace layshaft
