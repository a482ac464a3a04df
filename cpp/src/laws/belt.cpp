#include "layshaft/laws/belt.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

/// tanh(K/2), the share of twice the tension that the teeth carry before they lift [-]. Flanks
/// steeper than the friction angle hold whatever comes: the slack span then runs empty, share 1.
double carried_share(const Belt& belt, double wrap) {
  const double lift_angle = belt.flank_angle - std::atan(belt.friction);
  if (!(lift_angle > 0.0)) return 1.0;
  return std::tanh(0.5 * wrap / std::tan(lift_angle));
}

}  // namespace

void validate(const Belt& belt) {
  const auto check = [](bool good, const char* field, double value, const char* bound) {
    require(good, "Belt", field, value, bound);
  };
  const auto teeth = [&check](const char* field, double value, double most, const char* bound) {
    check(value >= 8.0 && value <= most && std::floor(value) == value, field, value, bound);
  };
  teeth("in_teeth", belt.in_teeth, 200.0, "a whole number from 8 to 200");
  teeth("out_teeth", belt.out_teeth, 200.0, "a whole number from 8 to 200");
  teeth("belt_teeth", belt.belt_teeth, 2000.0, "a whole number from 8 to 2000");
  check(belt.pitch > 0.0 && belt.pitch < 0.1, "pitch", belt.pitch, "> 0 and < 0.1 m");
  check(belt.tension >= 0.0 && belt.tension < 1e5, "tension", belt.tension, ">= 0 and finite");
  check(belt.flank_angle >= 0.0 && belt.flank_angle <= 1.0, "flank_angle", belt.flank_angle,
        "from 0 to 1 rad");
  check(belt.friction >= 0.0 && belt.friction <= 1.0, "friction", belt.friction, "from 0 to 1");
  check(belt.linear_mass >= 0.0 && belt.linear_mass < 10.0, "linear_mass", belt.linear_mass,
        ">= 0 and < 10 kg/m");
  check(belt.efficiency > 0.0 && belt.efficiency <= 1.0, "efficiency", belt.efficiency,
        "> 0 and <= 1");
  const double in_radius = pitch_radius(belt.in_teeth, belt.pitch);
  const double out_radius = pitch_radius(belt.out_teeth, belt.pitch);
  const PulleyPair closest{.in_radius = in_radius,
                           .out_radius = out_radius,
                           .centre = in_radius + out_radius,
                           .run = BeltRun::kOpen};
  check(belt.belt_teeth * belt.pitch > belt_length(closest), "belt_teeth", belt.belt_teeth,
        "long enough for pulleys side by side");
}

PulleyPair pulleys_of(const Belt& belt) {
  validate(belt);
  const double in_radius = pitch_radius(belt.in_teeth, belt.pitch);
  const double out_radius = pitch_radius(belt.out_teeth, belt.pitch);
  return {.in_radius = in_radius,
          .out_radius = out_radius,
          .centre = centre_for_length(in_radius, out_radius, belt.belt_teeth * belt.pitch),
          .run = BeltRun::kOpen};
}

double hanging_tension(const Belt& belt) {
  const PulleyPair pulleys = pulleys_of(belt);
  const double apart = pulleys.in_radius + pulleys.out_radius;
  return belt.linear_mass * kStandardGravity * square(span_length(pulleys)) / (8.0 * apart);
}

double jump_torque(const Belt& belt, double speed) {
  const PulleyPair pulleys = pulleys_of(belt);
  const double standing = std::max(belt.tension, hanging_tension(belt));
  const double seating = standing - centrifugal_tension(belt.linear_mass, speed);
  return 2.0 * std::max(0.0, seating) * pulleys.in_radius *
         carried_share(belt, least_wrap(pulleys));
}

double belt_inertia(const Belt& belt) {
  validate(belt);
  const double mass = belt.linear_mass * belt.belt_teeth * belt.pitch;
  return mass * square(pitch_radius(belt.in_teeth, belt.pitch));
}

double tension_from_press(double span, double deflection, double force) {
  require(span > 0.0, "tension_from_press", "span", span, "> 0");
  require(deflection > 0.0, "tension_from_press", "deflection", deflection, "> 0");
  require(force >= 0.0, "tension_from_press", "force", force, ">= 0");
  // Each half carries force/2 with the slope deflection over half the span.
  return 0.5 * force * std::hypot(0.5 * span, deflection) / deflection;
}

double tension_from_travel(double span, double travel, double stiffness, double length) {
  require(span > 0.0, "tension_from_travel", "span", span, "> 0");
  require(travel >= 0.0, "tension_from_travel", "travel", travel, ">= 0");
  require(stiffness >= 0.0, "tension_from_travel", "stiffness", stiffness, ">= 0");
  require(length >= span, "tension_from_travel", "length", length, ">= span");
  return stiffness * (2.0 * std::hypot(0.5 * span, travel) - span) / length;
}

BeltPath in_series(std::span<const Belt> belts) {
  require(!belts.empty(), "in_series", "belts", 0.0, "at least one belt");
  BeltPath path{.ratio = 1.0,
                .efficiency = 1.0,
                .jump_torque = std::numeric_limits<double>::infinity(),
                .inertia = 0.0};
  for (const Belt& belt : belts) {
    path.jump_torque = std::min(path.jump_torque, jump_torque(belt, 0.0) / path.ratio);
    path.inertia += belt_inertia(belt) / square(path.ratio);
    path.ratio *= ratio(belt);
    path.efficiency *= belt.efficiency;
  }
  return path;
}

}  // namespace layshaft
