#include "layshaft/laws/two_speed.hpp"

#include <cmath>
#include <string>

#include "layshaft/laws/heat.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

/// Centrifugal moment per speed squared is constant * cos(swing) + slope * sin(swing) [kg*m^2].
struct CentrifugalLever {
  double constant;
  double slope;
};

[[nodiscard]] CentrifugalLever centrifugal_lever(const TwoSpeed& two_speed,
                                                 const ShoeSetting& setting) {
  const double across = two_speed.shoe_mass * two_speed.shoe_centre_across +
                        setting.slug_mass * two_speed.slug_centre_across;
  // The swing turns the shoe about its pivot, so what counts along the line is the way from there.
  const double from_pivot =
      two_speed.shoe_mass * (two_speed.pivot_radius - two_speed.shoe_centre_along) +
      setting.slug_mass * (two_speed.pivot_radius - two_speed.slug_centre_along);
  return {.constant = two_speed.pivot_radius * across,
          .slope = two_speed.pivot_radius * from_pivot};
}

/// Hold left at contact [-].
[[nodiscard]] double hold_ratio(const TwoSpeed& two_speed) {
  return two_speed.hold_in == HoldIn::spring ? 1.0 : two_speed.detent_ratio;
}

/// Hold moment over k h as a parabola in the swing, q(s) = (u + h s) (1 - (1 - rho) s / s_c) [m];
/// below zero where the spring is slack.
struct HoldParabola {
  double preload;        ///< u [m].
  double arm;            ///< h [m].
  double fall;           ///< (1 - rho) / contact swing [1/rad].
  double contact_swing;  ///< s_c [rad].
};

[[nodiscard]] HoldParabola hold_parabola(const TwoSpeed& two_speed, const ShoeSetting& setting) {
  const double contact = contact_swing(two_speed);
  return {.preload = preload_travel(two_speed, setting),
          .arm = two_speed.screw_arm,
          .fall = (1.0 - hold_ratio(two_speed)) / contact,
          .contact_swing = contact};
}

[[nodiscard]] double hold_at(const HoldParabola& hold, double swing) {
  return (hold.preload + hold.arm * swing) * (1.0 - hold.fall * swing);
}

/// Swing at which hold / S is greatest, for a centrifugal lever S. The slope of that quotient has
/// the sign of q' S - q S', whose own slope is (q'' + q) S: it falls all the way for a detent
/// (there -q'' outweighs q) and rises all the way for a plain spring. So the greatest value is at
/// an end, unless the sign goes from + to -: then at the one root, found by halving.
[[nodiscard]] double hardest_swing(const HoldParabola& hold, const CentrifugalLever& lever) {
  const double contact = hold.contact_swing;
  const auto gain = [&](double swing) {
    return lever.constant * std::cos(swing) + lever.slope * std::sin(swing);
  };
  const auto slope = [&](double swing) {
    const double gain_slope = lever.slope * std::cos(swing) - lever.constant * std::sin(swing);
    const double hold_slope =
        hold.arm * (1.0 - hold.fall * swing) - hold.fall * (hold.preload + hold.arm * swing);
    return hold_slope * gain(swing) - hold_at(hold, swing) * gain_slope;
  };
  if (!(slope(0.0) > 0.0 && slope(contact) < 0.0)) {
    return hold_at(hold, 0.0) / gain(0.0) > hold_at(hold, contact) / gain(contact) ? 0.0 : contact;
  }
  double low = 0.0;
  double high = contact;
  constexpr int kHalvings = 60;  // leaves less than the spacing of doubles
  for (int k = 0; k < kHalvings; ++k) {
    const double middle = 0.5 * (low + high);
    (slope(middle) > 0.0 ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

/// Speed squared at which the shoe stands in balance at a swing, continued below zero where the
/// spring is slack [rad^2/s^2].
[[nodiscard]] double balance_speed_squared(const TwoSpeed& two_speed, const ShoeSetting& setting,
                                           double swing) {
  return two_speed.spring_rate * two_speed.screw_arm *
         hold_at(hold_parabola(two_speed, setting), swing) /
         centrifugal_gain(two_speed, setting, swing);
}

void validate_shape(const TwoSpeed& two_speed) {
  const char* const owner = "TwoSpeed";
  require(two_speed.shoe_mass > 0.0, owner, "shoe_mass", two_speed.shoe_mass, "> 0");
  require(two_speed.pivot_radius > 0.0, owner, "pivot_radius", two_speed.pivot_radius, "> 0");
  require(two_speed.drum_radius > 0.0, owner, "drum_radius", two_speed.drum_radius, "> 0");
  require(two_speed.arc_start >= 0.0, owner, "arc_start", two_speed.arc_start, ">= 0");
  require(two_speed.arc_end > two_speed.arc_start && two_speed.arc_end <= kPi, owner, "arc_end",
          two_speed.arc_end, "> arc_start and <= pi");
  require(abs(two_speed.shoe_centre_along) < two_speed.drum_radius, owner, "shoe_centre_along",
          two_speed.shoe_centre_along, "inside the drum");
  require(
      two_speed.shoe_centre_across > 0.0 && two_speed.shoe_centre_across < two_speed.drum_radius,
      owner, "shoe_centre_across", two_speed.shoe_centre_across, "> 0 and inside the drum");
  require(abs(two_speed.slug_centre_along) < two_speed.drum_radius, owner, "slug_centre_along",
          two_speed.slug_centre_along, "inside the drum");
  require(
      two_speed.slug_centre_across >= 0.0 && two_speed.slug_centre_across < two_speed.drum_radius,
      owner, "slug_centre_across", two_speed.slug_centre_across, ">= 0 and inside the drum");
  require(two_speed.clearance > 0.0, owner, "clearance", two_speed.clearance, "> 0");
}

void validate_hold_in(const TwoSpeed& two_speed) {
  const char* const owner = "TwoSpeed";
  require(two_speed.spring_rate > 0.0, owner, "spring_rate", two_speed.spring_rate, "> 0");
  require(two_speed.screw_arm > 0.0, owner, "screw_arm", two_speed.screw_arm, "> 0");
  require(two_speed.zero_preload_reading > 0.0, owner, "zero_preload_reading",
          two_speed.zero_preload_reading, "> 0");
  require(two_speed.screw_pitch > 0.0, owner, "screw_pitch", two_speed.screw_pitch, "> 0");
  require(two_speed.detent_ratio >= 0.0 && two_speed.detent_ratio <= 1.0, owner, "detent_ratio",
          two_speed.detent_ratio, "within 0..1");
  for (const ShoeSetting& setting : two_speed.shoes) {
    require(setting.gap > 0.0, "ShoeSetting", "gap", setting.gap, "> 0");
    require(setting.slug_mass >= 0.0, "ShoeSetting", "slug_mass", setting.slug_mass, ">= 0");
  }
}

void validate_friction(const TwoSpeed& two_speed) {
  const char* const owner = "TwoSpeed";
  require(two_speed.friction > 0.0, owner, "friction", two_speed.friction, "> 0");
  require(two_speed.static_friction >= two_speed.friction, owner, "static_friction",
          two_speed.static_friction, ">= friction");
  const ShoeArms arms = shoe_arms(two_speed);
  const double locking = locking_friction(arms) / kMostFrictionRatio;
  // Whichever way the shoe lies it meets both senses of slip; in one of them friction pulls it on.
  const bool leads = two_speed.orientation == ShoeOrientation::leading;
  const bool when_faster = leads == (arms.friction_arm > 0.0);
  require(two_speed.static_friction < locking, owner, "static_friction", two_speed.static_friction,
          "below self-locking at " + std::to_string(locking) + ", with the drum " +
              (when_faster ? "faster" : "slower") + " than the hub");
}

}  // namespace

void validate(const TwoSpeed& two_speed) {
  validate_shape(two_speed);
  validate_hold_in(two_speed);
  validate_friction(two_speed);
  // Past a small swing the linear law of the contact (clearance = e_N swing) is no longer true.
  require(contact_swing(two_speed) <= 0.2, "TwoSpeed", "contact swing", contact_swing(two_speed),
          "<= 0.2 rad; reduce the clearance");
  // A centre of mass beyond the pivot may cross the line to it on the way out: then speed pulls the
  // shoe in. Where it still throws out at contact it does so all the way there.
  for (const ShoeSetting& setting : two_speed.shoes) {
    const double gain = centrifugal_gain(two_speed, setting, contact_swing(two_speed));
    require(gain > 0.0, "TwoSpeed", "centrifugal gain at contact", gain,
            "> 0; move the centre of mass away from the line to the pivot");
  }
}

double preload_travel(const TwoSpeed& two_speed, const ShoeSetting& setting) {
  return travel_in(two_speed.zero_preload_reading, setting.gap, two_speed.reading_direction);
}

ShoeArms shoe_arms(const TwoSpeed& two_speed) {
  return long_shoe_arms(two_speed.drum_radius, two_speed.pivot_radius, two_speed.arc_start,
                        two_speed.arc_end);
}

double contact_swing(const TwoSpeed& two_speed) {
  return two_speed.clearance / shoe_arms(two_speed).normal_arm;
}

double centrifugal_gain(const TwoSpeed& two_speed, const ShoeSetting& setting, double swing) {
  const CentrifugalLever lever = centrifugal_lever(two_speed, setting);
  return lever.constant * std::cos(swing) + lever.slope * std::sin(swing);
}

double hold_moment(const TwoSpeed& two_speed, const ShoeSetting& setting, double swing) {
  return two_speed.spring_rate * two_speed.screw_arm *
         max(hold_at(hold_parabola(two_speed, setting), swing), 0.0);
}

double contact_speed_squared(const TwoSpeed& two_speed, const ShoeSetting& setting) {
  const double swing =
      hardest_swing(hold_parabola(two_speed, setting), centrifugal_lever(two_speed, setting));
  return balance_speed_squared(two_speed, setting, swing);
}

double release_speed_squared(const TwoSpeed& two_speed, const ShoeSetting& setting) {
  return balance_speed_squared(two_speed, setting, contact_swing(two_speed));
}

ShoeLaw<double> make_shoe_law(const TwoSpeed& two_speed, const ShoeSetting& setting) {
  const ShoeArms arms = shoe_arms(two_speed);
  const double contact = contact_swing(two_speed);
  return {.contact_speed_squared = contact_speed_squared(two_speed, setting),
          .release_speed_squared = release_speed_squared(two_speed, setting),
          .centrifugal_gain = centrifugal_gain(two_speed, setting, contact),
          .hold_moment = hold_moment(two_speed, setting, contact),
          .normal_arm = arms.normal_arm,
          .friction_arm = arms.friction_arm,
          .drum_radius = two_speed.drum_radius,
          .friction = two_speed.friction,
          .static_friction = two_speed.static_friction,
          .leading_sign = two_speed.orientation == ShoeOrientation::leading ? 1.0 : -1.0};
}

std::array<ShoeLaw<double>, kShoes> make_shoe_laws(const TwoSpeed& two_speed) {
  std::array<ShoeLaw<double>, kShoes> laws;
  for (std::size_t k = 0; k < kShoes; ++k) {
    laws[k] = make_shoe_law(two_speed, two_speed.shoes[k]);
  }
  return laws;
}

}  // namespace layshaft
