#include "layshaft/laws/two_speed_setup.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "invented_two_speed.hpp"
#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::car_speed_kmh;
using testing::check_published;
using testing::invented_two_speed;
using testing::kCarPerShaft;
using testing::Seen;

constexpr double kRpm = kPi / 30.0;  // [rad/s]

/// A few roundings, relative.
constexpr double kRoundOff = 1e-12;

const std::string kInvented = "invented demo car, closed forms of the two-speed";

bool warns(const std::vector<SetupWarning>& warnings, SetupWarningCode code) {
  return std::any_of(warnings.begin(), warnings.end(),
                     [code](const SetupWarning& warning) { return warning.code == code; });
}

TEST(TwoSpeedSetup, SmallChangesMoveTheShiftNearFiftyOneKilometresAnHour) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const double shaft_speed = 51.0 / 3.6 / kCarPerShaft;
  // Preload for 51 km/h: the hold on the seat k h u balances S w^2.
  const double preload =
      centrifugal_gain(two_speed, two_speed.shoes[0], 0.0) * square(shaft_speed) / 928.0;
  const ShoeSetting setting{.gap = 5.571e-3 - preload, .slug_mass = 1e-3};
  EXPECT_NEAR(car_speed_kmh(shoe_speeds(two_speed, setting).contact), 51.0, 1e-9);
  const ContactChanges changes = contact_changes(two_speed, setting);
  constexpr double kDigits = 0.05;  // [km/h]
  check_published(
      {"D-shoe", "upshift, screw 0.1 mm in [km/h]", kInvented, Seen::kDerived, "contact_changes"},
      2.5, car_speed_kmh(changes.tenth_millimetre_in), kDigits);
  check_published({"D-shoe", "upshift, an eighth of a turn in [km/h]", kInvented, Seen::kDerived,
                   "contact_changes"},
                  2.2, car_speed_kmh(changes.eighth_turn_in), kDigits);
  check_published({"D-shoe", "upshift, 0.5 g more in each slug [km/h]", kInvented, Seen::kDerived,
                   "contact_changes"},
                  -2.0, car_speed_kmh(changes.half_gram_slug), kDigits);
}

TEST(TwoSpeedSetup, ScrewedInIsALaterShiftWhicheverWayTheReadingGoes) {
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ContactChanges falling = contact_changes(two_speed, two_speed.shoes[0]);
  two_speed.reading_direction = ReadingDirection::rises_as_screw_goes_in;
  two_speed.zero_preload_reading = 4.5e-3 - 1.071e-3;
  const ContactChanges rising = contact_changes(two_speed, two_speed.shoes[0]);
  EXPECT_NEAR(rising.eighth_turn_in / falling.eighth_turn_in, 1.0, 1e-9);
  EXPECT_GT(rising.eighth_turn_in, 0.0);
  const ShoeSetting turned = screwed_in(two_speed, two_speed.shoes[0], 1.0);
  EXPECT_NEAR(turned.gap, 5.2e-3, kRoundOff);
  EXPECT_EQ(turned.slug_mass, two_speed.shoes[0].slug_mass);
}

TEST(TwoSpeedSetup, UnequalScrewsStaggerTheContacts) {
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShiftBand alike = shift_band(two_speed);
  EXPECT_EQ(alike.first_contact, alike.last_contact);
  EXPECT_EQ(alike.first_release, alike.last_release);
  two_speed.shoes[1].gap = 4.6e-3;
  const ShiftBand apart = shift_band(two_speed);
  EXPECT_LT(apart.first_contact, apart.last_contact);
  EXPECT_EQ(apart.last_contact, alike.last_contact);
  EXPECT_LT(apart.last_release, apart.first_release);
  // A tenth of a millimetre apart: a few km/h.
  const double between = car_speed_kmh(apart.last_contact - apart.first_contact);
  EXPECT_GT(between, 2.0);
  EXPECT_LT(between, 3.0);
  std::swap(two_speed.shoes[0], two_speed.shoes[1]);
  EXPECT_EQ(shift_band(two_speed).first_contact, apart.first_contact);
}

TEST(TwoSpeedSetup, EqualShoesBalanceEachOtherSeatedAndOut) {
  const Unbalance equal = unbalance(invented_two_speed(4.5e-3));
  EXPECT_NEAR(equal.all_seated, 0.0, 1e-20);
  EXPECT_NEAR(equal.all_out, 0.0, 1e-20);
}

TEST(TwoSpeedSetup, OneShoeOutLeavesGramMillimetresOnTheShaft) {
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  two_speed.shoes[1].gap = 4.6e-3;
  const Unbalance staggered = unbalance(two_speed);
  // The mass centre moves along a chord about the pivot: 2 sin(swing/2) times its distance.
  const double along = 6e-3 * 15e-3 + 1e-3 * 12e-3;
  const double across = 6e-3 * 11.3e-3 + 1e-3 * 13.5e-3;
  const double chord = std::hypot(along, across) * 2.0 * std::sin(0.5 * contact_swing(two_speed));
  EXPECT_NEAR(staggered.one_out / chord, 1.0, 1e-9);
  EXPECT_GT(staggered.one_out, 3e-6);
  EXPECT_LT(staggered.one_out, 4e-6);
  const double last = contact_speed_squared(two_speed, two_speed.shoes[0]);
  EXPECT_NEAR(staggered.force / (staggered.one_out * last), 1.0, kRoundOff);
  std::swap(two_speed.shoes[0], two_speed.shoes[1]);
  EXPECT_NEAR(unbalance(two_speed).one_out / staggered.one_out, 1.0, kRoundOff);
}

TEST(TwoSpeedSetup, UnequalSlugsAreOutOfBalanceOnTheSeat) {
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  two_speed.shoes[1].slug_mass = 1.5e-3;
  EXPECT_NEAR(unbalance(two_speed).all_seated / (0.5e-3 * 13.5e-3), 1.0, 1e-9);
}

TEST(TwoSpeedSetup, TorqueRisesByCapacityGainOnceBothShoesAreOut) {
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  two_speed.shoes[1].gap = 4.7e-3;
  const ShiftBand band = shift_band(two_speed);
  EXPECT_EQ(rising_torque(two_speed, 0.999 * band.first_contact, 1.0), 0.0);
  const double one = rising_torque(two_speed, 0.999 * band.last_contact, 1.0);
  const double both = rising_torque(two_speed, 1.001 * band.last_contact, 1.0);
  EXPECT_GT(one, 0.0);
  EXPECT_GT(both, 1.2 * one);
  const double later = rising_torque(two_speed, 2000.0, 1.0);
  const double latest = rising_torque(two_speed, 2100.0, 1.0);
  const double squares = 2100.0 * 2100.0 - 2000.0 * 2000.0;
  EXPECT_NEAR((latest - later) / (capacity_gain(two_speed, 1.0) * squares), 1.0, kRoundOff);
  EXPECT_LT(capacity_gain(two_speed, -1.0), 0.5 * capacity_gain(two_speed, 1.0));
}

TEST(SetupWarnings, SoundSetUpHasNone) {
  EXPECT_TRUE(setup_warnings(invented_two_speed(4.5e-3)).empty());
}

TEST(SetupWarnings, NearSelfLockingAboveSevenTenthsOfIt) {
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const double locking = locking_friction(two_speed);
  two_speed.static_friction = 0.699 * locking;
  EXPECT_FALSE(warns(setup_warnings(two_speed), SetupWarningCode::near_self_locking));
  two_speed.static_friction = 0.701 * locking;
  EXPECT_TRUE(warns(setup_warnings(two_speed), SetupWarningCode::near_self_locking));
}

TEST(SetupWarnings, NeverReleasesADetentWithNoHoldLeft) {
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  two_speed.detent_ratio = 0.01;
  EXPECT_FALSE(warns(setup_warnings(two_speed), SetupWarningCode::never_releases));
  two_speed.detent_ratio = 0.0;
  EXPECT_TRUE(warns(setup_warnings(two_speed), SetupWarningCode::never_releases));
  two_speed.hold_in = HoldIn::spring;
  EXPECT_FALSE(warns(setup_warnings(two_speed), SetupWarningCode::never_releases));
}

/// A climb that first gear pulls at .4 N m of engine torque and second does not.
HuntingLoad climb(double shaft_inertia) {
  return {.bodies = {.first_ratio = 46.0 / 16.0,
                     .second_ratio = 44.0 / 21.0,
                     .bell_inertia = 1.9e-5,
                     .shaft_inertia = shaft_inertia,
                     .engine_torque = 0.40,
                     .load_torque = 0.92},
          .efficiency = 0.92};
}

TEST(SetupWarnings, HuntingOrLastingSlipWhenTheLoadLiesBetweenTheGears) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  // The limit is in proportion to the inertia of the car: find the one at which it is met.
  const double release = shift_band(two_speed).first_release;
  const double limit = hunting_gain(climb(1e-4), release);
  const double inertia = 1e-4 * capacity_gain(two_speed, 1.0) / limit;
  EXPECT_TRUE(warns(hunting_warnings(two_speed, climb(0.99 * inertia)), SetupWarningCode::hunting));
  EXPECT_TRUE(
      warns(hunting_warnings(two_speed, climb(1.01 * inertia)), SetupWarningCode::lasting_slip));
  HuntingLoad level = climb(inertia);
  level.bodies.load_torque = 0.1;
  EXPECT_TRUE(hunting_warnings(two_speed, level).empty());
}

TEST(SetupWarnings, CodesHaveNames) {
  EXPECT_EQ(to_string(SetupWarningCode::near_self_locking), "near_self_locking");
  EXPECT_EQ(to_string(SetupWarningCode::lasting_slip), "lasting_slip");
}

}  // namespace
}  // namespace layshaft
