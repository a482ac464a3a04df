#include "layshaft/car/warnings.hpp"

#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/fields.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

std::set<std::string> codes(const Car& car) {
  std::set<std::string> found;
  for (const CarWarning& warning : car_warnings(car)) found.insert(warning.code);
  return found;
}

Car with(std::string_view path, double value) { return with_field(trial_car(), path, value); }

TEST(CarWarnings, SoundCarIsOnlyToldThatItsEngineIsStrongerThanThePublishedOnes) {
  EXPECT_EQ(codes(trial_car()), std::set<std::string>{"outside_published"});
}

TEST(CarWarnings, GearPairsOfUnequalToothSumsShareNoCentre) {
  EXPECT_TRUE(codes(with("first.pinion", 16.0)).contains("no_shared_centre"));
}

TEST(CarWarnings, FrontTyresLeadOrLagPastTwoPercent) {
  // The demo front tyre of 34.5 mm leads by 1.3 %: 36 mm leads by 5.7 %, 33 mm lags by 3.1 %.
  EXPECT_TRUE(codes(with("front_tyre.radius", 36.0e-3)).contains("front_leads"));
  EXPECT_TRUE(codes(with("front_tyre.radius", 33.0e-3)).contains("front_lags"));
}

TEST(CarWarnings, EngineThatIdlesAboveTheEngagementDragsTheCar) {
  // Spring of the demo clutch at contact: 45 N/mm * (2.13 + 0.7) mm = 127.35 N; four weights of 1.3
  // g at 13 mm through a lever of 1.1: 7.436e-5 kg m. So it presses from 1308.7 rad/s on.
  EXPECT_FALSE(codes(with("engine.idle_speed", 1308.0)).contains("drags_at_idle"));
  EXPECT_TRUE(codes(with("engine.idle_speed", 1309.4)).contains("drags_at_idle"));
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

constexpr double kRpm = kPi / 30.0;

/// The demo car with a torque curve through these points of rpm and N*m.
Car measured(const std::vector<double>& rpm, const std::vector<double>& torque) {
  Car car = trial_car();
  std::vector<double> speed;
  for (const double n : rpm) speed.push_back(n * kRpm);
  car.engine.torque = make_curve(speed, torque);
  return car;
}

std::string told(const Car& car, std::string_view code) {
  for (const CarWarning& warning : car_warnings(car)) {
    if (warning.code == code) return warning.text;
  }
  return "";
}

TEST(CarWarnings, TorqueThatWasNotMeasuredIsNamedWithItsRange) {
  // The demo engine idles at 10 krpm. The clutch engages where its weights, .0013 * 4 * .013 * 1.1
  // kg*m, lift its spring of 45000 N/m from 2.83 mm: sqrt(127.35/7.436e-5) rad/s = 12497 rpm.
  const Car car = measured({20e3, 28e3, 34e3}, {0.42, 0.48, 0.454});
  const std::string below = told(car, "torque_made_up_below");
  EXPECT_TRUE(below.starts_with("Below 20000 rpm, ")) << below;
  EXPECT_NE(below.find("idles at 10000 rpm and the clutch engages at 12497 rpm"), std::string::npos)
      << below;
  EXPECT_TRUE(told(car, "torque_made_up_above").starts_with("Above 34000 rpm, "));
  EXPECT_EQ(told(car, "full_throttle_hangs"), "");
  const Car lower = measured({11e3, 28e3, 34e3, 44e3}, {0.28, 0.48, 0.454, -0.01});
  EXPECT_EQ(told(lower, "torque_made_up_below").find("clutch"), std::string::npos);
  EXPECT_EQ(told(lower, "torque_made_up_above"), "");
  EXPECT_EQ(told(measured({9e3, 28e3, 44e3}, {0.22, 0.48, -0.01}), "torque_made_up_below"), "");
}

TEST(CarWarnings, AnEngineThatHangsBelowItsFirstPointIsToldAtWhichSpeed) {
  // Two points of a steep rise: the torque over the shut throttle's fades within 1500 rad/s.
  const Car car = measured({29.3e3, 34e3}, {0.05, 0.45});
  const std::string text = told(car, "full_throttle_hangs");
  ASSERT_TRUE(text.starts_with("Full throttle holds only ")) << text;
  const double held = std::stod(text.substr(25)) * kRpm;
  const EngineLaw<double> law = Drivetrain(car).law().engine;
  constexpr double kRounded = 0.5 * kRpm + 2.1;  // whole rpm, and a look in a thousand
  EXPECT_GT(engine_torque(law, held - kRounded, 1.0), 0.0);
  EXPECT_LT(engine_torque(law, held + kRounded, 1.0), 0.0);
  EXPECT_GT(held, law.idle_speed);
}

}  // namespace
}  // namespace layshaft
