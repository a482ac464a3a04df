#include "layshaft/fit/least_squares.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Published;
using testing::Seen;

constexpr double kInfinite = std::numeric_limits<double>::infinity();

// Of a few sums of numbers near 1.
constexpr double kRoundOff = 1e-13;

FitBounds unbounded(std::size_t count) {
  return {std::vector<double>(count, -kInfinite), std::vector<double>(count, kInfinite)};
}

// r = (x + y - 3, 2 (x - y - 1)): nothing is left at (2, 1).
FitLook two_lines(std::span<const double> at) {
  return {{at[0] + at[1] - 3.0, 2.0 * (at[0] - at[1] - 1.0)}, {1.0, 1.0, 2.0, -2.0}};
}

TEST(LeastSquares, ALinearProblemIsSolvedInOneStep) {
  const Fit fit = least_squares(two_lines, {10.0, -7.0}, unbounded(2));
  EXPECT_NEAR(fit.at[0], 2.0, kRoundOff);
  EXPECT_NEAR(fit.at[1], 1.0, kRoundOff);
  EXPECT_EQ(fit.looks, 2);
  EXPECT_EQ(fit.end, FitEnd::settled);
}

TEST(LeastSquares, WhatABoundHoldsMovesTheOthersWithIt) {
  // At x = 1: (y - 2)^2 + 4 y^2 is least at y = 2/5, which is not the 1 of the problem without.
  FitBounds bounds = unbounded(2);
  bounds.high[0] = 1.0;
  const Fit fit = least_squares(two_lines, {-3.0, 4.0}, bounds);
  EXPECT_EQ(fit.at[0], 1.0);
  EXPECT_NEAR(fit.at[1], 0.4, kRoundOff);
  EXPECT_EQ(fit.end, FitEnd::settled);
}

TEST(LeastSquares, ABoundLetsGoOfWhatPullsInwards) {
  // The start lies on a bound that does not hold the solution.
  FitBounds bounds = unbounded(2);
  bounds.low[0] = -3.0;
  const Fit fit = least_squares(two_lines, {-3.0, 4.0}, bounds);
  EXPECT_NEAR(fit.at[0], 2.0, kRoundOff);
  EXPECT_NEAR(fit.at[1], 1.0, kRoundOff);
}

TEST(LeastSquares, AStepTooLongIsShortened) {
  // Undamped steps from 3 lead ever further away: the first one to 3 - 10 atan(3) = -9.5.
  const auto look = [](std::span<const double> at) {
    return FitLook{{std::atan(at[0])}, {1.0 / (1.0 + at[0] * at[0])}};
  };
  const Fit fit = least_squares(look, {3.0}, unbounded(1));
  EXPECT_EQ(fit.end, FitEnd::settled);
  EXPECT_NEAR(fit.at[0], 0.0, FitOptions{}.settled);
}

TEST(LeastSquares, StepsThatOvershootAgainAndAgainAreShortenedOnce) {
  // r = (1 + 0.45 x^2, x): near 0 the sum bends 1.9 times as much as the slopes tell, so that full
  // steps go from x to -0.9 x.
  const auto look = [](std::span<const double> at) {
    return FitLook{{1.0 + 0.45 * at[0] * at[0], at[0]}, {0.9 * at[0], 1.0}};
  };
  const Fit fit = least_squares(look, {1.0}, unbounded(1));
  EXPECT_EQ(fit.end, FitEnd::settled);
  EXPECT_LE(fit.looks, 15);
  EXPECT_NEAR(fit.at[0], 0.0, 10.0 * FitOptions{}.settled);
  const Fit near = least_squares(look, {5e-4}, unbounded(1));  // Where round-off hides the sum.
  EXPECT_EQ(near.end, FitEnd::settled);
  EXPECT_LE(near.looks, 10);
}

TEST(LeastSquares, AKinkIsNotToldAsSettled) {
  const auto look = [](std::span<const double> at) {
    return FitLook{{1.0 + std::abs(at[0])}, {at[0] < 0.0 ? -1.0 : 1.0}};
  };
  const Fit fit = least_squares(look, {0.3}, unbounded(1));
  EXPECT_EQ(fit.end, FitEnd::most_looks);
  EXPECT_EQ(fit.looks, FitOptions{}.most_looks);
  EXPECT_LT(std::abs(fit.at[0]), 0.3);
}

TEST(LeastSquares, StepsOfTheResidualsHideWhatIsFinerThanThey) {
  // A straight line cut into steps of 1e-4: 3 - x as a stair.
  const auto look = [](std::span<const double> at) {
    return FitLook{{std::floor((3.0 - at[0]) * 1e4) * 1e-4 + 0.3e-4}, {-1.0}};
  };
  const Fit fit = least_squares(look, {0.0}, unbounded(1));
  EXPECT_EQ(fit.end, FitEnd::rough);
  EXPECT_LT(fit.looks, FitOptions{}.most_looks);
  EXPECT_NEAR(fit.at[0], 3.0, 2e-4);
}

TEST(LeastSquares, BadInputIsRefused) {
  EXPECT_THROW((void)least_squares(two_lines, {}, unbounded(0)), std::invalid_argument);
  EXPECT_THROW((void)least_squares(two_lines, {0.0, 0.0}, unbounded(1)), std::invalid_argument);
  FitBounds bounds = unbounded(2);
  bounds.low[1] = 0.5;
  EXPECT_THROW((void)least_squares(two_lines, {0.0, 0.0}, bounds), std::invalid_argument);
  const auto nothing = [](std::span<const double>) { return FitLook{{std::nan("")}, {1.0}}; };
  EXPECT_THROW((void)least_squares(nothing, {0.0}, unbounded(1)), std::invalid_argument);
  const auto uneven = [](std::span<const double>) { return FitLook{{1.0}, {1.0, 2.0}}; };
  EXPECT_THROW((void)least_squares(uneven, {0.0}, unbounded(1)), std::invalid_argument);
}

// A dataset of NIST with its certified values: eleven digits each.
template <std::size_t Count, std::size_t Rows>
struct Dataset {
  std::string id;
  std::string source;
  std::array<std::vector<double>, 2> starts;
  std::array<double, Count> certified;
  double sum;                                    // Of squares.
  std::array<std::array<double, 2>, Rows> rows;  // y, x
};

const Dataset<2, 14> kMisra{
    "NLS1",
    "NIST Statistical Reference Datasets, nonlinear regression, Misra1a (1978)",
    {{{500.0, 1e-4}, {250.0, 5e-4}}},
    {2.3894212918e+02, 5.5015643181e-04},
    1.2455138894e-01,
    {{{10.07, 77.6},
      {14.73, 114.9},
      {17.94, 141.1},
      {23.93, 190.8},
      {29.61, 239.9},
      {35.18, 289.0},
      {40.02, 332.8},
      {44.82, 378.4},
      {50.76, 434.8},
      {55.05, 477.3},
      {61.01, 536.8},
      {66.40, 593.1},
      {75.47, 689.1},
      {81.78, 760.0}}}};

const Dataset<3, 9> kRatkowsky{
    "NLS2",
    "NIST Statistical Reference Datasets, nonlinear regression, Rat42 (Ratkowsky 1983)",
    {{{100.0, 1.0, 0.1}, {75.0, 2.5, 0.07}}},
    {7.2462237576e+01, 2.6180768402e+00, 6.7359200066e-02},
    8.0565229338e+00,
    {{{8.93, 9.0},
      {10.8, 14.0},
      {18.59, 21.0},
      {22.33, 28.0},
      {39.35, 42.0},
      {56.11, 57.0},
      {61.73, 63.0},
      {64.62, 70.0},
      {67.08, 79.0}}}};

// y = b1 (1 - exp(-b2 x))
std::vector<double> misra(std::span<const double> b, double x) {
  const double fade = std::exp(-b[1] * x);
  return {b[0] * (1.0 - fade), 1.0 - fade, b[0] * x * fade};
}

// y = b1 / (1 + exp(b2 - b3 x))
std::vector<double> ratkowsky(std::span<const double> b, double x) {
  const double fade = std::exp(b[1] - b[2] * x);
  const double fall = b[0] * fade / ((1.0 + fade) * (1.0 + fade));
  return {b[0] / (1.0 + fade), 1.0 / (1.0 + fade), -fall, x * fall};
}

// Half of the eleventh digit.
double last_digit(double printed) {
  return 0.5 * std::pow(10.0, std::floor(std::log10(std::abs(printed))) - 10.0);
}

template <std::size_t Count, std::size_t Rows, class Model>
void check_dataset(const Dataset<Count, Rows>& data, Model model) {
  const auto look = [&](std::span<const double> at) {
    FitLook found;
    for (const auto& [y, x] : data.rows) {
      const std::vector<double> shown = model(at, x);
      found.residuals.push_back(shown[0] - y);
      found.slopes.insert(found.slopes.end(), shown.begin() + 1, shown.end());
    }
    return found;
  };
  for (const std::size_t start : {std::size_t{0}, std::size_t{1}}) {
    const Fit fit = least_squares(look, data.starts[start], unbounded(Count), {1e-11, 100});
    EXPECT_EQ(fit.end, FitEnd::settled);
    const std::string from = ", from start " + std::to_string(start + 1);
    for (std::size_t i = 0; i < Count; ++i) {
      const std::string name = "b" + std::to_string(i + 1) + from + " [-]";
      check_published({data.id, name, data.source, Seen::kPrinted, "least_squares"},
                      data.certified[i], fit.at[i], last_digit(data.certified[i]));
    }
    double sum = 0.0;
    for (const double residual : fit.look.residuals) sum += residual * residual;
    check_published({data.id, "sum of squares" + from + " [-]", data.source, Seen::kPrinted,
                     "least_squares; residuals squared and summed"},
                    data.sum, sum, last_digit(data.sum));
  }
}

TEST(LeastSquares, CertifiedValuesOfMisra1aAreMet) { check_dataset(kMisra, misra); }

TEST(LeastSquares, CertifiedValuesOfRat42AreMet) { check_dataset(kRatkowsky, ratkowsky); }

}  // namespace
}  // namespace layshaft
