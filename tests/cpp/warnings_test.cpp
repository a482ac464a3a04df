#include "layshaft/car/warnings.hpp"

#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

#include "layshaft/car/drivetrain.hpp"
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

constexpr double kRpm = kPi / 30.0;

/// The demo car with a torque curve through these points of rpm and N*m.
Car measured(const std::vector<double>& rpm, const std::vector<double>& torque) {
  Car car = demo_car();
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
