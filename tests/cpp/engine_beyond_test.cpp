// The engine's torque beyond its measured points.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "layshaft/laws/engine.hpp"

namespace layshaft {
namespace {

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-14;

constexpr double kKrpm = 1000.0 * 2.0 * kPi / 60.0;

Engine engine_with(const std::vector<double>& speed, const std::vector<double>& torque) {
  return {.torque = make_curve(speed, torque),
          .power_scale = 1.0,
          .idle_speed = 1000.0,
          .drag_slope = 4e-5,
          .inertia = 1.4e-5,
          .displacement = 3.5e-6,
          .speed_limit = 4700.0,
          .efficiency = 0.12};
}

EngineLaw<double> law_of(const Engine& engine) { return make_engine_law(engine, 1.0, 15e6); }

TEST(EngineBeyond, BelowTheFirstPointItNearsTheShutThrottle) {
  // Slope 8e-5, drag 4e-5; over the shut throttle's -.04 N*m: .44. At idle, 1000 rad/s below, that
  // is .44/(1 + 1000 * 1.2e-4/.44) = .44^2/.56.
  const EngineLaw<double> law = law_of(engine_with({2000.0, 3000.0}, {0.40, 0.48}));
  EXPECT_NEAR(engine_torque(law, 1000.0, 1.0), 0.44 * 0.44 / 0.56, kRoundOff);
  EXPECT_NEAR(engine_torque(law, 2000.0, 1.0), 0.40, kRoundOff);
}

TEST(EngineBeyond, BelowAFallingCurveItGrowsByATenthAtMost) {
  // Slope -8e-5: over the shut throttle .52, growing at 4e-5: .52 (1 + g/(1 + 10 g)), g = 1/13.
  const EngineLaw<double> law = law_of(engine_with({2000.0, 3000.0}, {0.48, 0.40}));
  EXPECT_NEAR(engine_torque(law, 1000.0, 1.0), 0.52 * (1.0 + 1.0 / 23.0), kRoundOff);
}

TEST(EngineBeyond, AboveARisingCurveItTurnsToAFall) {
  // Fall 4 * .48/3000 = 6.4e-4; the way to it the lesser of 150 and .048/8e-5 = 600 rad/s. There
  // .48 + 150 * 8e-5 - 7.2e-4 * 150 * 150/300 = .438.
  const EngineLaw<double> law = law_of(engine_with({2000.0, 3000.0}, {0.40, 0.48}));
  EXPECT_NEAR(engine_torque(law, 3150.0, 1.0), 0.438, kRoundOff);
}

TEST(EngineBeyond, AboveACurveThatFallsFastItGoesStraightOnToTheBit) {
  const Engine engine = engine_with({2000.0, 3000.0, 4000.0}, {0.40, 0.48, -0.05});
  const EngineLaw<double> law = law_of(engine);
  const double slope = law.full_torque.linear[3];
  ASSERT_LT(slope, -4.0 * 0.48 / 4000.0);
  for (const double way : {0.0, 1e-3, 100.0, 700.0}) {
    const double speed = 4000.0 + way;
    EXPECT_EQ(engine_torque(law, speed, 1.0), -0.05 + (speed - 4000.0) * slope);
  }
}

TEST(EngineBeyond, IsBuiltOnTheTorqueOfTheDay) {
  // In half the air, half the torque: over the shut throttle .2 + .04, slope 4e-5.
  const Engine engine = engine_with({2000.0, 3000.0}, {0.40, 0.48});
  const EngineLaw<double> law = make_engine_law(engine, 0.5, 15e6);
  EXPECT_NEAR(engine_torque(law, 1000.0, 1.0), 0.24 * 0.24 / (0.24 + 0.08), kRoundOff);
}

TEST(EngineBeyond, ThinAirBelowIdleLeavesATorqueThatNeverTurnsBack) {
  // At standstill the idle charge gives .04 N*m, the open throttle a fifth of .05.
  const Engine engine = engine_with({0.0, 3000.0, 4000.0}, {0.05, 0.48, 0.3});
  const EngineLaw<double> law = make_engine_law(engine, 0.2, 15e6);
  for (double speed = 0.0; speed > -3000.0; speed -= 10.0) {
    EXPECT_GT(engine_torque(law, speed, 1.0), 0.0);
  }
}

/// A curve of a plausible engine, measured from anywhere up to 30 krpm.
Engine random_engine(std::mt19937& source) {
  const auto draw = [&source](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(source);
  };
  while (true) {
    const auto count = static_cast<std::size_t>(draw(2.0, 16.999));
    const double first = draw(0.0, 30.0) * kKrpm;
    const double last = draw(std::max(first + 2.0 * kKrpm, 30.0 * kKrpm), 46.0 * kKrpm);
    const double peak = draw(20.0, 32.0) * kKrpm;
    const double width = draw(18.0, 34.0) * kKrpm;
    std::vector<double> speed;
    std::vector<double> torque;
    for (std::size_t k = 0; k < count; ++k) {
      speed.push_back(first +
                      (last - first) * static_cast<double>(k) / static_cast<double>(count - 1));
      const double off = (speed.back() - peak) / width;
      torque.push_back(0.48 * (1.0 - off * off) * draw(0.92, 1.08));
    }
    try {
      Engine engine = engine_with(speed, torque);
      engine.idle_speed = draw(6.0, 12.0) * kKrpm;
      engine.drag_slope = draw(0.0, 1.2e-4);
      validate(engine);
      return engine;
    } catch (const std::invalid_argument&) {  // a point without torque below the peak
    }
  }
}

TEST(EngineBeyond, AFreeCrankNeitherTurnsBackNorRunsAway) {
  std::mt19937 source(1);  // NOLINT: the same engines every time
  for (int k = 0; k < 2000; ++k) {
    const Engine engine = random_engine(source);
    const EngineLaw<double> law = law_of(engine);
    const double last = engine.torque.x[engine.torque.count - 1];
    double speed = engine.idle_speed;
    double least = speed;
    double most = speed;
    constexpr double kStep = 1e-3;  // [s]; the steepest law has a rate of some 100/s
    for (double time = 0.0; time < 8.0; time += kStep) {
      const double now = engine_torque(law, speed, 1.0) / engine.inertia;
      const double then = engine_torque(law, speed + kStep * now, 1.0) / engine.inertia;
      speed += 0.5 * kStep * (now + then);
      least = std::min(least, speed);
      most = std::max(most, speed);
    }
    EXPECT_GE(least, engine.idle_speed * (1.0 - 1e-12)) << k;
    EXPECT_LE(most, 1.325 * last) << k;
  }
}

TEST(EngineBeyond, OpenThrottleNeverGivesLessThanShutAndNoTorqueIsGainedAbove) {
  std::mt19937 source(2);  // NOLINT: the same engines every time
  for (int k = 0; k < 2000; ++k) {
    const Engine engine = random_engine(source);
    const EngineLaw<double> law = law_of(engine);
    const std::size_t count = engine.torque.count;
    const double first = engine.torque.x[0];
    const double last = engine.torque.x[count - 1];
    const auto begin = engine.torque.y.begin();
    const double largest = *std::max_element(begin, begin + static_cast<std::ptrdiff_t>(count));
    // Below idle an engine may be measured under its idle charge; then no more than that is asked.
    const double at_first = engine_torque(law, first, 1.0) - engine_torque(law, first, 0.0);
    if (at_first > 0.1 * engine.torque.y[0]) {
      for (int i = 0; i <= 300; ++i) {
        const double speed = first - (first + last) * i / 300.0;
        EXPECT_GT(engine_torque(law, speed, 1.0), engine_torque(law, speed, 0.0)) << k;
      }
    }
    for (int i = 0; i <= 300; ++i) {
      const double speed = last * (1.0 + 0.5 * i / 300.0);
      EXPECT_LE(engine_torque(law, speed, 1.0), 1.1 * largest) << k;
    }
    EXPECT_LE(engine_torque(law, 1.325 * last, 1.0), 0.0) << k;
    EXPECT_LE(engine_torque(law, most_engine_speed(law), 0.0), 0.0) << k;
  }
}

TEST(EngineBeyond, ValueAndSlopeAreTheSameOnBothSidesOfAnEnd) {
  std::mt19937 source(3);         // NOLINT: the same engines every time
  constexpr double kStep = 1e-3;  // [rad/s]
  for (int k = 0; k < 500; ++k) {
    const Engine engine = random_engine(source);
    const EngineLaw<double> law = law_of(engine);
    const BeyondLaw<double>& beyond = law.beyond;
    for (const double end : {beyond.first_speed, beyond.last_speed}) {
      const auto at = [&](double speed) { return engine_torque(law, speed, 1.0); };
      const double before = (at(end) - at(end - kStep)) / kStep;
      const double after = (at(end + kStep) - at(end)) / kStep;
      // Curvature: of a cubic at most 6 N*m over the square of its width, here 100 rad/s; of a
      // bend twice its size over its radius. Round-off is 1e-16 N*m over the step.
      const double bend = std::max(std::abs(beyond.low_bend) / beyond.low_radius,
                                   std::abs(beyond.high_bend) / beyond.high_radius);
      EXPECT_NEAR(before, after, kStep * (2.0 * bend + 12.0 / 1e4) + 1e-12) << k;
      EXPECT_NEAR(at(end - 1e-9), at(end + 1e-9), 1e-11) << k;
    }
  }
}

std::string refusal(const Engine& engine) {
  try {
    validate(engine);
  } catch (const std::invalid_argument& refused) {
    return refused.what();
  }
  return "";
}

TEST(EngineBeyond, RefusesWhatNoEngineDoes) {
  const auto why = [](const std::vector<double>& torque) {
    return refusal(engine_with({500.0, 2000.0, 4000.0}, torque));
  };
  EXPECT_EQ(why({0.1, 0.4, -0.2}), "");  // behind its peak it may fall as it likes
  EXPECT_EQ(why({-0.1, -0.2, -0.3}), "Engine.torque.y[0] = -0.1 must be > 0, the largest torque");
  EXPECT_EQ(why({0.0, 0.4, 0.3}), "Engine.torque.y[0] = 0 must be > 0 up to idle");
  // The shut throttle takes 4e-5 * 1000 = .04 N*m at 2000 rad/s.
  EXPECT_EQ(why({0.1, -0.039, 0.3}), "");
  EXPECT_EQ(why({0.1, -0.041, 0.3}),
            "Engine.torque.y[1] = -0.041 must be above the drag with the throttle shut, -0.040000");
  EXPECT_EQ(refusal(engine_with({500.0, 900.0}, {0.3, 0.2})),
            "Engine.torque.x[1] = 900 must be > idle_speed");
}

}  // namespace
}  // namespace layshaft
