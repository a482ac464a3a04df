#include "layshaft/laws/two_speed_setup.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string>

#include "layshaft/number/real.hpp"
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

/// Length of the sum over all shoes, which stand evenly round the shaft, each at its own swing.
[[nodiscard]] double out_of_balance(const TwoSpeed& two_speed,
                                    const std::array<double, kShoes>& swings) {
  double along = 0.0;
  double across = 0.0;
  for (std::size_t k = 0; k < kShoes; ++k) {
    const MassMoment moment = mass_moment(two_speed, two_speed.shoes[k], swings[k]);
    const double turned = 2.0 * kPi * static_cast<double>(k) / static_cast<double>(kShoes);
    const double sine = 2 * k == kShoes ? 0.0 : std::sin(turned);  // Opposite to the first: exact.
    along += moment.along * std::cos(turned) - moment.across * sine;
    across += moment.along * sine + moment.across * std::cos(turned);
  }
  return std::hypot(along, across);
}

}  // namespace

ShoeSpeeds shoe_speeds(const TwoSpeed& two_speed, const ShoeSetting& setting) {
  return {.contact = speed_of(contact_speed_squared(two_speed, setting)),
          .release = speed_of(release_speed_squared(two_speed, setting))};
}

ShiftBand shift_band(const TwoSpeed& two_speed) {
  const ShoeSpeeds own = shoe_speeds(two_speed, two_speed.shoes.front());
  ShiftBand band{own.contact, own.contact, own.release, own.release};
  for (const ShoeSetting& setting : two_speed.shoes) {
    const ShoeSpeeds speeds = shoe_speeds(two_speed, setting);
    band.first_contact = min(band.first_contact, speeds.contact);
    band.last_contact = max(band.last_contact, speeds.contact);
    band.first_release = max(band.first_release, speeds.release);
    band.last_release = min(band.last_release, speeds.release);
  }
  return band;
}

Unbalance unbalance(const TwoSpeed& two_speed) {
  const double contact = contact_swing(two_speed);
  std::array<double, kShoes> squares;  // Of the contact speeds.
  std::ranges::transform(two_speed.shoes, squares.begin(), [&](const ShoeSetting& setting) {
    return contact_speed_squared(two_speed, setting);
  });
  const auto earliest = std::ranges::min_element(squares) - squares.begin();
  std::array<double, kShoes> swings{};
  const double all_seated = out_of_balance(two_speed, swings);
  swings[static_cast<std::size_t>(earliest)] = contact;
  const double one_out = out_of_balance(two_speed, swings);
  swings.fill(contact);
  std::ranges::sort(squares);
  return {.all_seated = all_seated,
          .one_out = one_out,
          .all_out = out_of_balance(two_speed, swings),
          .force = one_out * max(squares[1], 0.0)};
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
  for (const ShoeLaw<double>& law : make_shoe_laws(two_speed)) {
    gain += shoe_grip(law, direction, law.friction) * law.centrifugal_gain;
  }
  return gain;
}

double rising_torque(const TwoSpeed& two_speed, double shaft_speed, double direction) {
  double torque = 0.0;
  for (const ShoeLaw<double>& law : make_shoe_laws(two_speed)) {
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
  if (std::ranges::any_of(make_shoe_laws(two_speed), keeps_out)) {
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
