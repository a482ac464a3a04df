#include "layshaft/car/warnings.hpp"

#include <gtest/gtest.h>

#include <set>

#include "layshaft/car/fields.hpp"

namespace layshaft {
namespace {

std::set<std::string> codes(const Car& car) {
  std::set<std::string> found;
  for (const CarWarning& warning : car_warnings(car)) found.insert(warning.code);
  return found;
}

Car with(std::string_view path, double value) { return with_field(demo_car(), path, value); }

TEST(CarWarnings, SoundCarIsOnlyToldThatItsEngineIsStrongerThanThePublishedOnes) {
  EXPECT_EQ(codes(demo_car()), std::set<std::string>{"outside_published"});
}

TEST(CarWarnings, ScrewTooFarInNeverShiftsAndTooFarOutStartsInSecond) {
  EXPECT_TRUE(codes(with("two_speed.gap", 3.0e-3)).contains("never_shifts"));
  EXPECT_FALSE(codes(with("two_speed.gap", 4.0e-3)).contains("never_shifts"));
  EXPECT_TRUE(codes(with("two_speed.gap", 6.1e-3)).contains("always_in_second"));
}

TEST(CarWarnings, GearPairsOfUnequalToothSumsShareNoCentre) {
  EXPECT_TRUE(codes(with("first.pinion", 16.0)).contains("no_shared_centre"));
}

TEST(CarWarnings, FrontTyresLeadOrLagPastTwoPercent) {
  // The demo front tyre of 34.5 mm leads by 1.3 %: 36 mm leads by 5.7 %, 33 mm lags by 3.1 %.
  EXPECT_TRUE(codes(with("front_tyre.radius", 36.0e-3)).contains("front_leads"));
  EXPECT_TRUE(codes(with("front_tyre.radius", 33.0e-3)).contains("front_lags"));
}

TEST(CarWarnings, ShoesOfLittleFrictionNeverLock) {
  const Car car = with_field(with("two_speed.friction", 0.05), "two_speed.static_friction", 0.05);
  EXPECT_TRUE(codes(car).contains("never_locks"));
}

TEST(CarWarnings, HighCarIsToldThatItsAxlesLift) {
  // Friction 1.6 (1 - 0.05 (25 - 14)/14) = 1.537 at the rear, 1.55 (1 - 0.05 (25 - 11)/11) = 1.451
  // in front: lifts at 0.44 * 0.29 m/1.537 = 83.0 mm and 0.56 * 0.29 m/1.451 = 111.9 mm.
  EXPECT_FALSE(codes(with("body.centre_height", 82.5e-3)).contains("front_lifts"));
  EXPECT_TRUE(codes(with("body.centre_height", 83.5e-3)).contains("front_lifts"));
  EXPECT_FALSE(codes(with("body.centre_height", 111.4e-3)).contains("rear_lifts"));
  const Car high = with("body.centre_height", 112.4e-3);
  EXPECT_TRUE(codes(high).contains("rear_lifts"));
  EXPECT_FALSE(codes(with_field(high, "front_axle", 1.0)).contains("rear_lifts"));
}

TEST(CarWarnings, RunIsWarnedOfAWheelieFromTwoDegreesOn) {
  EXPECT_TRUE(pitch_warnings(0.0).empty());
  EXPECT_TRUE(pitch_warnings(1.99 * kPi / 180.0).empty());
  const auto seen = pitch_warnings(7.0 * kPi / 180.0);
  ASSERT_EQ(seen.size(), 1U);
  EXPECT_EQ(seen[0].code, "wheelie");
  EXPECT_NE(seen[0].text.find("7 degrees"), std::string::npos);
}

}  // namespace
}  // namespace layshaft
