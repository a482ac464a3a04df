#include "layshaft/fit/learn.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "layshaft/fit/interval_ends.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

constexpr double kNotANumber = std::numeric_limits<double>::quiet_NaN();

// Of quotients over 0.04 doubts of numbers known to 1e-16 of themselves.
constexpr double kRoundOff = 1e-11;

const std::string kRate = "two_speed.spring_rate";
const std::string kReading = "two_speed.zero_preload_reading";

Unknown at_guess(const std::string& path, double guess, double doubt) {
  return unknown_of(with_field(trial_car(), path, guess), path, doubt);
}

Unknown rate(double guess, double doubt) { return at_guess(kRate, guess, doubt); }

Unknown reading(double guess, double doubt) { return at_guess(kReading, guess, doubt); }

double value_at(const Point& point, const std::string& path) {
  for (const Setting& setting : point) {
    if (setting.path == path) return setting.value;
  }
  return kNotANumber;
}

// Shows a number for each row: row[0] * rate + row[1] * 1e6 * reading.
using Rows = std::vector<std::array<double, 2>>;
Predictor linear(const Rows& rows) {
  return [rows](std::span<const Point> points) {
    std::vector<double> shown;
    for (const Point& point : points) {
      for (const auto& row : rows) {
        double value = row[0] * value_at(point, kRate);
        if (row[1] != 0.0) value += row[1] * 1e6 * value_at(point, kReading);
        shown.push_back(value);
      }
    }
    return shown;
  };
}

TEST(Learn, OneNumberIsTheMeanOfGuessAndDataByTheirWeights) {
  // Guess 2000 +- 100; seen 2 x = 4200 +- 100, so x = 2100 +- 50. Weights 1 : 4.
  const std::array unknowns{rate(2000.0, 100.0)};
  const Learned found = learn(unknowns, {{4200.0}, {100.0}, linear({{2.0, 0.0}})});
  EXPECT_NEAR(found.values[0], (2000.0 + 4.0 * 2100.0) / 5.0, 2080.0 * kRoundOff);
  EXPECT_NEAR(found.covariance[0], 100.0 * 100.0 / 5.0, 2000.0 * kRoundOff);
  const double half = kWidth95 * 100.0 / std::sqrt(5.0);
  EXPECT_NEAR(found.low[0], found.values[0] - half, 2080.0 * kRoundOff);
  EXPECT_NEAR(found.high[0], found.values[0] + half, 2080.0 * kRoundOff);
  EXPECT_NEAR(found.information[0], 4.0, 4.0 * kRoundOff);
  EXPECT_NEAR(found.shown_before[0], 4000.0, 4000.0 * kRoundOff);
  EXPECT_NEAR(found.shown[0], 4160.0, 4160.0 * kRoundOff);
  EXPECT_EQ(found.end, FitEnd::settled);
  EXPECT_EQ(found.looks, 2);
  // Three cars a look: two of the fit, and one at each end of the interval.
  EXPECT_EQ(found.cars, 12U);
}

TEST(Learn, TwoNumbersAreThoseOfBayesianLeastSquares) {
  // In doubts: x = 2000 + 100 a, 1e6 y = 4000 + 200 b. Seen x + 1e6 y = 6300 +- 100 and
  // x - 1e6 y = -2000 +- 200, in errors a + 2 b = 3 and a / 2 - b = 0. With the guesses the sum is
  // least where [2.25 1.5; 1.5 6] (a b) = (3 6): determinant 11.25, a = 9 / 11.25 = 0.8,
  // b = 9 / 11.25 = 0.8; covariance [6 -1.5; -1.5 2.25] / 11.25.
  const std::array unknowns{rate(2000.0, 100.0), reading(4e-3, 2e-4)};
  const Learned found =
      learn(unknowns, {{6300.0, -2000.0}, {100.0, 200.0}, linear({{1.0, 1.0}, {1.0, -1.0}})});
  EXPECT_NEAR(found.values[0], 2080.0, 2080.0 * kRoundOff);
  EXPECT_NEAR(found.values[1], 4.16e-3, 4.16e-3 * kRoundOff);
  EXPECT_NEAR(found.covariance[0], 6.0 / 11.25 * 1e4, 1e4 * kRoundOff);
  EXPECT_NEAR(found.covariance[1], -1.5 / 11.25 * 2e-2, 2e-2 * kRoundOff);
  EXPECT_EQ(found.covariance[1], found.covariance[2]);
  EXPECT_NEAR(found.covariance[3], 2.25 / 11.25 * 4e-8, 4e-8 * kRoundOff);
  EXPECT_NEAR(found.information[1], 1.5, 10.0 * kRoundOff);
}

TEST(Learn, ANumberEndsExactlyAtItsBoundAndTheDataAreWorthAsMuchThere) {
  Unknown bounded = rate(2000.0, 100.0);
  bounded.high = 2033.3;
  const std::array unknowns{bounded};
  const Learned found = learn(unknowns, {{4200.0}, {100.0}, linear({{2.0, 0.0}})});
  EXPECT_EQ(found.values[0], 2033.3);
  EXPECT_NEAR(found.information[0], 4.0, 4.0 * kRoundOff);
}

TEST(Learn, WhatFollowsANumberMovesWithIt) {
  Unknown group = rate(2000.0, 100.0);
  group.followers = {{kReading, 2e-6}};
  // Shows the follower alone: 2 x = 4200 +- 100, as above.
  const std::array unknowns{group};
  const Predictor shown = [](std::span<const Point> points) {
    std::vector<double> values;
    for (const Point& point : points) values.push_back(1e6 * value_at(point, kReading));
    return values;
  };
  const Learned found = learn(unknowns, {{4200.0}, {100.0}, shown});
  EXPECT_NEAR(found.values[0], 2080.0, 2080.0 * kRoundOff);
  EXPECT_NEAR(value_at(found.point, kReading), 2080.0 * 2e-6, 4e-3 * kRoundOff);
}

TEST(Learn, WhatIsNotShownTeachesNothing) {
  // The second is never shown: a residual that does not change.
  const Predictor half = [](std::span<const Point> points) {
    std::vector<double> shown;
    for (const Point& point : points) {
      shown.push_back(2.0 * value_at(point, kRate));
      shown.push_back(kNotANumber);
    }
    return shown;
  };
  const std::array unknowns{rate(2000.0, 100.0)};
  const Learned found = learn(unknowns, {{4200.0, 1.0}, {100.0, 1.0}, half});
  EXPECT_NEAR(found.values[0], 2080.0, 2080.0 * kRoundOff);
  EXPECT_NEAR(found.information[0], 4.0, 4.0 * kRoundOff);
  EXPECT_TRUE(std::isnan(found.shown[1]));
}

TEST(Learn, StaticFrictionFollowsFriction) {
  const Unknown friction = unknown_of(trial_car(), "two_speed.friction", 0.02);
  ASSERT_EQ(friction.followers.size(), 1U);
  const double share = 1.5;
  const Point point = point_at({&friction, 1}, {&share, 1});
  const double moved = value_at(point, "two_speed.friction");
  EXPECT_EQ(moved, friction.guess + 1.5 * 0.02);
  const double ratio = get_field(trial_car(), "two_speed.static_friction") / friction.guess;
  EXPECT_EQ(value_at(point, "two_speed.static_friction"), ratio * moved);
  EXPECT_TRUE(unknown_of(trial_car(), kRate, 1.0).followers.empty());
}

TEST(Learn, BadInputIsRefused) {
  const std::array one{rate(2000.0, 100.0)};
  const Predictor shows = linear({{2.0, 0.0}});
  const auto refused = [](std::span<const Unknown> unknowns, const Evidence& evidence) {
    EXPECT_THROW((void)learn(unknowns, evidence), std::invalid_argument);
  };
  refused({}, {{4200.0}, {100.0}, shows});
  refused(one, {{}, {}, shows});
  refused(one, {{4200.0}, {}, shows});
  refused(one, {{4200.0}, {0.0}, shows});
  refused(one, {{kNotANumber}, {100.0}, shows});
  refused(one, {{4200.0, 4200.0}, {100.0, 100.0}, shows});  // Shows one number, not two.
  refused(std::array{one[0], one[0]}, {{4200.0}, {100.0}, shows});
  refused(one, {{4200.0}, {100.0}, [](std::span<const Point> points) {
                  return std::vector<double>(points.size(), kNotANumber);
                }});
  Unknown sure = one[0];
  sure.doubt = 0.0;
  refused(std::array{sure}, {{4200.0}, {100.0}, shows});
  Unknown below = one[0];
  below.guess = below.low - 1.0;
  refused(std::array{below}, {{4200.0}, {100.0}, shows});
  Unknown teeth = one[0];
  teeth.path = "first.pinion";
  refused(std::array{teeth}, {{4200.0}, {100.0}, shows});
}

TEST(Learn, TrueNumbersComeBackFromSharpLaunches) {
  // Seen of a car with another spring, with errors a thousandth of the doubts' effect.
  const Car guessed = trial_car();
  const double true_rate = 1.08 * get_field(guessed, kRate);
  const double true_reading = get_field(guessed, kReading) - 1e-4;
  const Car truth = with_field(with_field(guessed, kRate, true_rate), kReading, true_reading);
  std::vector<Observation> seen;
  for (const double gap : {4.4e-3, 4.8e-3, 5.2e-3}) {
    LaunchOptions options;
    options.distance = 30.0;
    seen.push_back({"shift_speed", 1.0, 1e-3, {{"two_speed.gap", gap}}, options});
  }
  const std::array nowhere{Point{}};
  const std::vector<double> shown = predict(truth, seen, nowhere);
  for (std::size_t i = 0; i < seen.size(); ++i) seen[i].value = shown[i];
  const std::array unknowns{rate(get_field(guessed, kRate), 0.2 * get_field(guessed, kRate)),
                            reading(get_field(guessed, kReading), 2e-4)};
  const Learned found = learn(guessed, unknowns, seen);
  EXPECT_EQ(found.end, FitEnd::settled);
  // The guess pulls with a ten-thousandth of the data's weight.
  constexpr double kExact = 1e-3;
  EXPECT_NEAR(found.values[0], true_rate, kExact * true_rate);
  EXPECT_NEAR(found.values[1], true_reading, kExact * true_reading);
  EXPECT_GT(std::abs(found.shown_before[0] - shown[0]), 0.1);
  EXPECT_NEAR(found.shown[0], shown[0], 1e-3);
  EXPECT_EQ(learn(guessed, unknowns, seen, 1).values, found.values);
}

}  // namespace
}  // namespace layshaft
