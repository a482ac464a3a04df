#include "layshaft/laws/two_speed_setup.hpp"

#include <array>
#include <cmath>
#include <string>

#include "layshaft/number/text.hpp"

namespace layshaft {
namespace {

constexpr double kLockingMargin = 0.7;     // warn above this share of self-locking
constexpr double kTenthMillimetre = 1e-4;  // [m]

/// Speed whose square this is; 0 where the spring is slack and the square stands below zero.
[[nodiscard]] double speed_of(double speed_squared) { return sqrt(max(speed_squared, 0.0)); }

/// Sum of mass times position of one shoe with its slug in the hub's frame [kg*m].
struct MassMoment {
  double along;
  double across;
};

[[nodiscard]] MassMoment mass_moment(const TwoSpeed& two_speed, const ShoeSetting& setting,
                                     double swing) {
  const double pivot = two_speed.pivot_radius;
  const double mass = two_speed.shoe_mass + setting.slug_mass;
  const double along = two_speed.shoe_mass * (two_speed.shoe_centre_along - pivot) +
                       setting.slug_mass * (two_speed.slug_centre_along - pivot);
  const double across = two_speed.shoe_mass * two_speed.shoe_centre_across +
                        setting.slug_mass * two_speed.slug_centre_across;
  return {.along = mass * pivot + along * std::cos(swing) + across * std::sin(swing),
          .across = across * std::cos(swing) - along * std::sin(swing)};
}

/// Length of the difference: the second shoe stands opposite to the first.
[[nodiscard]] double opposed(const MassMoment& first, const MassMoment& second) {
  return std::hypot(first.along - second.along, first.across - second.across);
}

[[nodiscard]] std::array<ShoeLaw<double>, 2> shoe_laws(const TwoSpeed& two_speed) {
  return {make_shoe_law(two_speed, two_speed.shoes[0]),
          make_shoe_law(two_speed, two_speed.shoes[1])};
}

}  // namespace

ShoeSpeeds shoe_speeds(const TwoSpeed& two_speed, const ShoeSetting& setting) {
  return {.contact = speed_of(contact_speed_squared(two_speed, setting)),
          .release = speed_of(release_speed_squared(two_speed, setting))};
}

ShiftBand shift_band(const TwoSpeed& two_speed) {
  const ShoeSpeeds one = shoe_speeds(two_speed, two_speed.shoes[0]);
  const ShoeSpeeds other = shoe_speeds(two_speed, two_speed.shoes[1]);
  return {.first_contact = min(one.contact, other.contact),
          .both_out = max(one.contact, other.contact),
          .first_release = max(one.release, other.release),
          .both_in = min(one.release, other.release)};
}

Unbalance unbalance(const TwoSpeed& two_speed) {
  const double contact = contact_swing(two_speed);
  const bool first_is_earlier = contact_speed_squared(two_speed, two_speed.shoes[0]) <=
                                contact_speed_squared(two_speed, two_speed.shoes[1]);
  const ShoeSetting& early = two_speed.shoes[first_is_earlier ? 0 : 1];
  const ShoeSetting& late = two_speed.shoes[first_is_earlier ? 1 : 0];
  const MassMoment early_out = mass_moment(two_speed, early, contact);
  const MassMoment late_in = mass_moment(two_speed, late, 0.0);
  const double one_out = opposed(early_out, late_in);
  return {.both_seated = opposed(mass_moment(two_speed, early, 0.0), late_in),
          .one_out = one_out,
          .both_out = opposed(early_out, mass_moment(two_speed, late, contact)),
          .force = one_out * max(contact_speed_squared(two_speed, late), 0.0)};
}

ShoeSetting screwed_in(const TwoSpeed& two_speed, const ShoeSetting& setting, double turns) {
  ShoeSetting turned = setting;
  turned.gap =
      reading_after(setting.gap, turns, two_speed.screw_pitch, two_speed.reading_direction);
  return turned;
}

ContactChanges contact_changes(const TwoSpeed& two_speed, const ShoeSetting& setting) {
  const double now = shoe_speeds(two_speed, setting).contact;
  const ShoeSetting tenth =
      screwed_in(two_speed, setting, kTenthMillimetre / two_speed.screw_pitch);
  const ShoeSetting eighth = screwed_in(two_speed, setting, 0.125);
  const ShoeSetting heavier{.gap = setting.gap, .slug_mass = setting.slug_mass + 0.5e-3};
  return {.tenth_millimetre_in = shoe_speeds(two_speed, tenth).contact - now,
          .eighth_turn_in = shoe_speeds(two_speed, eighth).contact - now,
          .half_gram_slug = shoe_speeds(two_speed, heavier).contact - now};
}

double locking_friction(const TwoSpeed& two_speed) {
  return locking_friction(shoe_arms(two_speed));
}

double capacity_gain(const TwoSpeed& two_speed, double direction) {
  double gain = 0.0;
  for (const ShoeLaw<double>& law : shoe_laws(two_speed)) {
    gain += shoe_grip(law, direction, law.friction) * law.centrifugal_gain;
  }
  return gain;
}

double rising_torque(const TwoSpeed& two_speed, double shaft_speed, double direction) {
  double torque = 0.0;
  for (const ShoeLaw<double>& law : shoe_laws(two_speed)) {
    const bool out = shoe_contact_guard(law, shaft_speed) < 0.0;
    torque += select(out, shoe_torque(law, shaft_speed, direction, 1.0), 0.0);
  }
  return torque;
}

std::vector<SetupWarning> setup_warnings(const TwoSpeed& two_speed) {
  std::vector<SetupWarning> warnings;
  const double locking = locking_friction(two_speed);
  if (two_speed.static_friction > kLockingMargin * locking) {
    warnings.push_back({SetupWarningCode::near_self_locking,
                        "near self-locking: static friction " +
                            in_digits(two_speed.static_friction) + " against the locking value " +
                            in_digits(locking)});
  }
  const auto keeps_out = [](const ShoeLaw<double>& law) {
    return !always_out(law) && !(law.release_speed_squared > 0.0);
  };
  const std::array<ShoeLaw<double>, 2> laws = shoe_laws(two_speed);
  if (keeps_out(laws[0]) || keeps_out(laws[1])) {
    warnings.push_back({SetupWarningCode::never_releases,
                        "never releases: at contact nothing is left of the hold"});
  }
  return warnings;
}

std::vector<SetupWarning> hunting_warnings(const TwoSpeed& two_speed, const HuntingLoad& load) {
  const double release = shift_band(two_speed).first_release;
  if (!load_between_gears(load) || !(release > 0.0)) return {};
  const double limit = hunting_gain(load, release);
  const double gain = capacity_gain(two_speed, 1.0);
  const bool hunts = gain > limit;
  const std::string why = ": first gear pulls this load, second does not; the shoes' capacity " +
                          in_digits(gain) + " N m s^2 is " + (hunts ? "above " : "below ") +
                          in_digits(limit);
  if (hunts) {
    return {{SetupWarningCode::hunting,
             "hunting" + why + ", so the car shifts up and down again and again"}};
  }
  return {{SetupWarningCode::lasting_slip,
           "lasting slip" + why + ", so second gear slips on and gets hot"}};
}

std::string to_string(SetupWarningCode code) {
  switch (code) {
    case SetupWarningCode::near_self_locking: return "near_self_locking";
    case SetupWarningCode::never_releases: return "never_releases";
    case SetupWarningCode::hunting: return "hunting";
    case SetupWarningCode::lasting_slip: return "lasting_slip";
  }
  return "unknown";
}

}  // namespace layshaft
