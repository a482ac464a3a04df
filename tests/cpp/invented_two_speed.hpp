#pragma once

/// Two-speed of the invented demo car, for the tests of its laws.

#include "layshaft/laws/two_speed.hpp"

namespace layshaft::testing {

/// Rolling radius over final drive of the demo car: speed of the car [m/s] per shaft speed [rad/s].
inline constexpr double kCarPerShaft = 36.5e-3 / 2.5;

/// Speed of the demo car [km/h] at a shaft speed [rad/s].
[[nodiscard]] constexpr double car_speed_kmh(double shaft_speed) {
  return shaft_speed * kCarPerShaft * 3.6;
}

/// Both shoes at this caliper reading [m].
[[nodiscard]] inline TwoSpeed invented_two_speed(double gap) {
  const ShoeSetting setting{.gap = gap, .slug_mass = 1e-3};
  return {.shoe_mass = 6e-3,
          .shoe_centre_along = -3e-3,
          .shoe_centre_across = 11.3e-3,
          .slug_centre_along = 0.0,
          .slug_centre_across = 13.5e-3,
          .pivot_radius = 12e-3,
          .drum_radius = 20e-3,
          .arc_start = kPi / 3.0,
          .arc_end = kPi * 5.0 / 6.0,
          .orientation = ShoeOrientation::leading,
          .friction = 0.25,
          .static_friction = 0.28,
          .clearance = 0.3e-3,
          .spring_rate = 116e3,
          .screw_arm = 8e-3,
          .zero_preload_reading = 5.571e-3,
          .reading_direction = ReadingDirection::falls_as_screw_goes_in,
          .screw_pitch = 0.7e-3,
          .hold_in = HoldIn::detent,
          .detent_ratio = 0.65,
          .shoes = {setting, setting}};
}

/// The same with plain return springs.
[[nodiscard]] inline TwoSpeed sprung_two_speed(double gap) {
  TwoSpeed two_speed = invented_two_speed(gap);
  two_speed.hold_in = HoldIn::spring;
  return two_speed;
}

}  // namespace layshaft::testing
