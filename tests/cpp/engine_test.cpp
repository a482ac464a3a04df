#include "layshaft/laws/engine.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Published;
using testing::Seen;

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-14;

constexpr double kHeatingValue = 15e6;  // [J/kg]

/// 1000 rpm in rad/s.
constexpr double kThousandRpm = 1000.0 * 2.0 * kPi / 60.0;

/// An invented engine of 3.5 cm3: T = 0.48 [1 - ((n - 28)/26)^2] N*m from 6 to 38 krpm, then a
/// fall.
Engine demo_engine() {
  const std::vector<double> krpm = {0, 6, 10, 14, 18, 22, 25, 28, 31, 34, 36, 38, 40, 42, 44, 46};
  const std::vector<double> above = {0.33, 0.20, 0.05, -0.08};
  std::vector<double> speed;
  std::vector<double> torque;
  for (const double n : krpm) {
    speed.push_back(n * kThousandRpm);
    const double offset = (n - 28.0) / 26.0;
    torque.push_back(n <= 38.0 ? 0.48 * (1.0 - offset * offset)
                               : above[static_cast<std::size_t>((n - 40.0) / 2.0)]);
  }
  torque[0] = 0.02;
  return {.torque = make_curve(speed, torque),
          .power_scale = 1.0,
          .idle_speed = 10.0 * kThousandRpm,
          .drag_slope = 4e-5,
          .inertia = 1.4e-5,
          .displacement = 3.5e-6,
          .speed_limit = 45.0 * kThousandRpm,
          .efficiency = 0.12};
}

/// The same torque at every speed, no friction.
Engine flat_engine(double torque) {
  Engine engine = demo_engine();
  const std::vector<double> speed = {0.0, 10.0 * engine.speed_limit};
  const std::vector<double> level = {torque, torque};
  engine.torque = make_curve(speed, level);
  engine.drag_slope = 0.0;
  return engine;
}

TEST(Engine, ShutThrottleHoldsIdleFromBothSides) {
  const EngineLaw<double> law = make_engine_law(demo_engine(), 1.0, kHeatingValue);
  const double idle = law.idle_speed;
  EXPECT_EQ(engine_torque(law, idle, 0.0), 0.0);
  // 4e-5 N*m*s times 100 rad/s
  EXPECT_NEAR(engine_torque(law, idle - 100.0, 0.0), 4e-3, kRoundOff);
  EXPECT_NEAR(engine_torque(law, idle + 100.0, 0.0), -4e-3, kRoundOff);
}

TEST(Engine, OpenThrottleFollowsTheCurve) {
  const EngineLaw<double> law = make_engine_law(demo_engine(), 1.0, kHeatingValue);
  EXPECT_NEAR(engine_torque(law, 28.0 * kThousandRpm, 1.0), 0.48, kRoundOff);
  // 0.48 (1 - (10/26)^2) = 0.48 * 0.852071
  EXPECT_NEAR(engine_torque(law, 38.0 * kThousandRpm, 1.0), 0.48 * (1.0 - 100.0 / 676.0),
              kRoundOff);
}

TEST(Engine, TorqueIsAStraightLineInTheThrottle) {
  const EngineLaw<double> law = make_engine_law(demo_engine(), 1.0, kHeatingValue);
  const double speed = 25.0 * kThousandRpm;
  const double shut = engine_torque(law, speed, 0.0);
  const double open = engine_torque(law, speed, 1.0);
  EXPECT_NEAR(engine_torque(law, speed, 0.3), shut + 0.3 * (open - shut), kRoundOff);
}

TEST(Engine, ThinAirTakesFromTheOpenThrottleOnly) {
  const EngineLaw<double> dense = make_engine_law(demo_engine(), 1.0, kHeatingValue);
  const EngineLaw<double> thin = make_engine_law(demo_engine(), 0.9, kHeatingValue);
  const double speed = 30.0 * kThousandRpm;
  EXPECT_NEAR(engine_torque(thin, speed, 1.0), 0.9 * engine_torque(dense, speed, 1.0), kRoundOff);
  EXPECT_EQ(engine_torque(thin, speed, 0.0), engine_torque(dense, speed, 0.0));
}

TEST(Engine, IdleFuelIsWhatFrictionTakes) {
  const EngineLaw<double> law = make_engine_law(demo_engine(), 1.0, kHeatingValue);
  // friction power 4e-5 * 1047.1976^2 = 43.864908 W; / (0.12 * 15 MJ/kg) = 24.369393 mg/s
  const double expected = 4e-5 * law.idle_speed * law.idle_speed / (0.12 * 15e6);
  EXPECT_NEAR(fuel_mass_flow(law, law.idle_speed, 0.0), expected, kRoundOff * expected);
  EXPECT_NEAR(expected, 24.369e-6, 1e-9);
}

TEST(Engine, FuelFlowIsNeverNegative) {
  const EngineLaw<double> law = make_engine_law(flat_engine(0.2), 1.0, kHeatingValue);
  const double driven = 1.4 * law.beyond.last_speed;  // by the wheels; no torque is left there
  EXPECT_LT(engine_torque(law, driven, 1.0), 0.0);
  EXPECT_EQ(fuel_mass_flow(law, driven, 1.0), 0.0);
  EXPECT_EQ(fuel_mass_flow(law, 0.0, 1.0), 0.0);
}

TEST(Engine, TwoStrokePowerMatchesATextbookExample) {
  // 6 bar, bore 110 mm, stroke 140 mm, 1000 rpm, one working stroke a turn
  const double volume = kPi / 4.0 * 0.110 * 0.110 * 0.140;
  const double power = two_stroke_power(6e5, volume, kThousandRpm);
  const Published published{"N5", "indicated power [kW]",
                            "Rajput, A Textbook of IC Engines, 2nd ed., Ex 17.1", Seen::kCompanion,
                            "two_stroke_power"};
  check_published(published, 13.30, power / 1e3, 0.005);  // half of the last printed digit
  EXPECT_NEAR(power / 1e3, 13.305, 5e-4);                 // digits of the recomputation
  EXPECT_NEAR(two_stroke_mean_pressure(power / kThousandRpm, volume), 6e5, kRoundOff * 6e6);
}

TEST(Engine, RatingFindsTheTopOfAFallingLine) {
  // T = 0.6 N*m (1 - w/6000): power 0.6 w (1 - w/6000), highest at 3000 rad/s with 900 W; below the
  // limit of 4712.4 rad/s the torque is highest at the first speed looked at, 2.356 rad/s.
  Engine engine = demo_engine();
  const std::vector<double> speed = {0.0, 6000.0};
  const std::vector<double> torque = {0.6, 0.0};
  engine.torque = make_curve(speed, torque);
  const EngineRating rating = engine_rating(engine);
  const double step = engine.speed_limit / 2000.0;
  EXPECT_NEAR(rating.peak_power_speed, 3000.0, 0.5 * step);
  EXPECT_NEAR(rating.peak_power, 900.0,
              1e-4 * 0.25 * step * step);  // curvature 2e-4, half a step off
  EXPECT_NEAR(rating.peak_torque_speed, step, kRoundOff * step);
  EXPECT_NEAR(rating.peak_torque, 0.6 - 1e-4 * step, kRoundOff);
  EXPECT_NEAR(rating.peak_mean_pressure, 2.0 * kPi * rating.peak_torque / 3.5e-6, 1e-8);
}

TEST(Engine, InventedEngineLiesInTheUsualRange) {
  // 3.5 cm3, common practice, no source: torque peak 24-30 krpm, power peak 33-38 krpm, 1.2-2.0 kW
  const EngineRating rating = engine_rating(demo_engine());
  EXPECT_NEAR(rating.peak_torque, 0.48, 1e-6);
  EXPECT_NEAR(rating.peak_torque_speed / kThousandRpm, 27.0, 3.0);
  EXPECT_NEAR(rating.peak_power_speed / kThousandRpm, 35.5, 2.5);
  EXPECT_NEAR(rating.peak_power, 1600.0, 400.0);
}

TEST(Engine, WithoutFrictionBrakeEfficiencyIsTheIndicatedOne) {
  EXPECT_NEAR(engine_rating(flat_engine(0.2)).peak_efficiency, 0.12, kRoundOff);
}

TEST(Engine, WarnsAboveThePublishedMeanPressure) {
  // 4 bar * 3.5 cm3 / (2 pi) = 0.22282 N*m; the power per volume then stays below 338 W/cm3 up to
  // 50 krpm
  Engine engine = flat_engine(0.2228);
  engine.efficiency = 0.05;
  EXPECT_TRUE(engine_warnings(engine).empty());
  engine = flat_engine(0.2229);
  engine.efficiency = 0.05;
  const std::vector<std::string> warnings = engine_warnings(engine);
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_NE(warnings[0].find("mean effective pressure"), std::string::npos);
}

TEST(Engine, WarnsAboveThePublishedEfficiency) {
  Engine engine = flat_engine(0.2);
  engine.efficiency = 0.0899;
  EXPECT_TRUE(engine_warnings(engine).empty());
  engine.efficiency = 0.0901;
  const std::vector<std::string> warnings = engine_warnings(engine);
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_NE(warnings[0].find("brake efficiency"), std::string::npos);
}

TEST(Engine, WarnsAboveThePublishedPowerPerVolume) {
  // 2200 W / 6.5 cm3 * 3.5 cm3 = 1184.6 W at 45 krpm = 4712.4 rad/s: 0.25138 N*m, 4.5 bar
  Engine engine = flat_engine(0.2513);
  engine.efficiency = 0.05;
  EXPECT_EQ(engine_warnings(engine).size(), 1U);
  engine = flat_engine(0.2515);
  engine.efficiency = 0.05;
  const std::vector<std::string> warnings = engine_warnings(engine);
  ASSERT_EQ(warnings.size(), 2U);
  EXPECT_NE(warnings[1].find("power per displacement"), std::string::npos);
}

TEST(Engine, RefusesValuesOutOfBounds) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](double Engine::* field, double value) {
    Engine engine = demo_engine();
    engine.*field = value;
    EXPECT_THROW(validate(engine), std::invalid_argument);
  };
  for (double Engine::* const field :
       {&Engine::power_scale, &Engine::idle_speed, &Engine::inertia, &Engine::displacement,
        &Engine::speed_limit, &Engine::efficiency}) {
    refused(field, nan);
    refused(field, 0.0);
    refused(field, -1.0);
  }
  refused(&Engine::drag_slope, nan);
  refused(&Engine::drag_slope, -1e-6);
  refused(&Engine::efficiency, 1.0);
  refused(&Engine::speed_limit, 1000.0);  // below idle
  EXPECT_NO_THROW(validate(demo_engine()));
}

TEST(Engine, RefusesATorqueThatNoEngineHasAndNamesIt) {
  Engine engine = demo_engine();
  const std::size_t last = engine.torque.count - 1;
  engine.torque.y[last] = -1001.0;
  try {
    validate(engine);
    ADD_FAILURE() << "was taken";
  } catch (const std::invalid_argument& refused) {
    const std::string told = refused.what();
    EXPECT_NE(told.find("torque.y[" + std::to_string(last) + "] = -1001"), std::string::npos)
        << told;
  }
  engine = demo_engine();
  engine.torque.x[last] = 1.01e5;
  EXPECT_THROW(validate(engine), std::invalid_argument);
}

TEST(Engine, RefusesAirAndFuelThatCannotBe) {
  for (const double bad : {0.0, -1.0, std::numeric_limits<double>::quiet_NaN()}) {
    EXPECT_THROW(static_cast<void>(make_engine_law(demo_engine(), bad, kHeatingValue)),
                 std::invalid_argument);
    EXPECT_THROW(static_cast<void>(make_engine_law(demo_engine(), 1.0, bad)),
                 std::invalid_argument);
  }
}

}  // namespace
}  // namespace layshaft
