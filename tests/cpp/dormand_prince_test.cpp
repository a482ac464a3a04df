#include "layshaft/network/dormand_prince.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "layshaft/network/integrate.hpp"
#include "switching_plants.hpp"

namespace layshaft {
namespace {

using testing::RubbedBlock;

// Slopes are fitted over a decade of step sizes and more; the next term of the error bends them by
// this much.
constexpr double kSlopeError = 0.3;

struct Measured {
  double size;   // Of a step.
  double error;  // At the end of the run.
};

// Least-squares slope of log(error) over log(size).
double measured_order(const std::vector<Measured>& runs) {
  const auto count = static_cast<double>(runs.size());
  double x = 0.0, y = 0.0, xx = 0.0, xy = 0.0;
  for (const Measured& run : runs) {
    const double a = std::log(run.size);
    const double b = std::log(run.error);
    x += a;
    y += b;
    xx += a * a;
    xy += a * b;
  }
  return (count * xy - x * y) / (count * xx - x * x);
}

using Pair = Vector<double, 2>;
using Basic = dormand_prince::Basic<Pair>;

// x' = x cos t, with x = exp(sin t); the second state follows the first one half as fast.
void smooth_rates(const Pair& x, Pair& rates, double time) {
  rates = {x(0) * std::cos(time), 0.5 * x(1) * std::cos(time)};
}

TEST(DormandPrince, GlobalErrorOnASmoothProblemFallsWithTheFifthPower) {
  std::vector<Measured> runs;
  for (const int steps : {16, 24, 36, 54, 81, 122}) {
    Basic stepper;
    Pair state = Pair::Ones();
    const double size = 4.0 / steps;
    for (int k = 0; k < steps; ++k) stepper.do_step(smooth_rates, state, k * size, size);
    runs.push_back({size, std::abs(state(0) - std::exp(std::sin(4.0)))});
  }
  EXPECT_NEAR(measured_order(runs), 5.0, kSlopeError);
}

TEST(DormandPrince, DenseOutputOfOrderFourErrsInAStepWithTheFifthPower) {
  // Order p is a local error with the power p + 1.
  std::vector<Measured> runs;
  for (const double size : {0.4, 0.3, 0.2, 0.15, 0.1, 0.07}) {
    DormandPrince<Pair> stepper(1.0, Pair::Ones());
    stepper.initialize(Pair::Ones(), 0.0, size);
    ASSERT_EQ(stepper.do_step(smooth_rates).second, size);
    double largest = 0.0;
    for (int k = 1; k < 20; ++k) {
      Pair inside;
      stepper.calc_state(size * k / 20.0, inside);
      largest = std::max(largest, std::abs(inside(0) - std::exp(std::sin(size * k / 20.0))));
    }
    runs.push_back({size, largest});
  }
  EXPECT_NEAR(measured_order(runs), 5.0, kSlopeError);
}

// O3, Rao, Mechanical Vibrations, Ex 2.14: a block on a spring rubs on the ground, T = 1 s; each
// half cycle turns about a point `shift` away from the middle.
constexpr double kStart = 0.1;
constexpr double kShift = 1.25e-3;
constexpr double kEnd = 4.8;  // In the tenth half cycle.

double exact_position(double time) {
  const double half_cycle = std::floor(2.0 * time);
  const double swing = kStart - (2.0 * half_cycle + 1.0) * kShift;
  const double side = std::fmod(half_cycle, 2.0) == 0.0 ? 1.0 : -1.0;
  return side * (kShift + swing * std::cos(2.0 * kPi * (time - half_cycle / 2.0)));
}

RubbedBlock rao_block() {
  const double stiffness = square(2.0 * kPi);
  return {stiffness, 0.0, stiffness * kShift, stiffness * kShift};
}

struct Sliding {
  long steps;
  double error;  // The largest at the ends of the steps.
};

Sliding slide(double tolerance) {
  const RubbedBlock block = rao_block();
  Integrator<RubbedBlock, DormandPrince> integrator(block, {tolerance, 1e-3, 100'000});
  double largest = 0.0;
  const auto watch = [&](const auto& segment) {
    const double position = segment.state(segment.end)(1);
    largest = std::max(largest, std::abs(position - exact_position(segment.end)));
    return std::numeric_limits<double>::infinity();
  };
  const auto run = integrator.run(0.0, {0.0, kStart}, {}, kEnd, watch);
  EXPECT_EQ(run.changes.size(), 9U);
  return {run.ending.steps, largest};
}

constexpr std::array kTolerances{1e-7, 1e-8, 1e-9, 1e-10, 1e-11, 1e-12};

TEST(DormandPrince, GlobalErrorThroughNineModeChangesFallsWithTheFifthPowerOfTheStep) {
  std::vector<Measured> runs;
  for (const double tolerance : kTolerances) {
    const Sliding sliding = slide(tolerance);
    runs.push_back({kEnd / static_cast<double>(sliding.steps), sliding.error});
  }
  EXPECT_NEAR(measured_order(runs), 5.0, kSlopeError);
}

TEST(DormandPrince, GlobalErrorThroughModeChangesFallsInStepWithTheTolerance) {
  // A kept step errs by the tolerance; its estimate falls with the fifth power as the error does.
  std::vector<Measured> runs;
  for (const double tolerance : kTolerances) runs.push_back({tolerance, slide(tolerance).error});
  EXPECT_NEAR(measured_order(runs), 1.0, 0.1);
}

// The same block, its reversals noticed only at the ends of even steps.
double error_without_location(int steps) {
  const RubbedBlock block = rao_block();
  const double size = kEnd / steps;
  double friction = block.sliding;
  const auto rates_of = [&](const Pair& y, Pair& rates, double) {
    rates = {-block.stiffness * y(1) + friction, y(0)};
  };
  Basic stepper;
  Pair state(0.0, kStart);
  for (int k = 0; k < steps; ++k) {
    stepper.do_step(rates_of, state, k * size, size);
    if (k > 0) friction = state(0) < 0.0 ? block.sliding : -block.sliding;
  }
  return std::abs(state(1) - exact_position(kEnd));
}

TEST(DormandPrince, SwitchNoticedOnlyAtTheStepsEndIsOfFirstOrder) {
  // The negative control. Where a reversal falls within its step is chance: the mean of a few
  // nearby step sizes is taken.
  std::vector<Measured> runs;
  for (const int steps : {300, 600, 1200, 2400, 4800, 9600}) {
    double sum = 0.0;
    for (int k = 0; k < 32; ++k) sum += error_without_location(steps + 7 * k);
    runs.push_back({kEnd / (steps + 108.5), sum / 32.0});
  }
  EXPECT_NEAR(measured_order(runs), 1.0, kSlopeError);
}

TEST(DormandPrince, ErrorNormWeighsEachStateByItsOwnScale) {
  const ScaledError<Pair> norm(1e-3, Pair(1.0, 100.0));
  Pair error(2e-3, 2e-3);
  // Shares: 2e-3/(1e-3 (1 + 1)) = 1 and 2e-3/(1e-3 (100 + 0)) = .02.
  EXPECT_DOUBLE_EQ(norm.error(Pair(-1.0, 0.0), Pair(0.0, 0.0), error, 0.1), 1.0);
  error = {0.0, 2e-3};
  EXPECT_DOUBLE_EQ(norm.error(Pair(-1.0, 0.0), Pair(0.0, 0.0), error, 0.1), 0.02);
}

TEST(DormandPrince, ErrorNormLetsNotANumberThrough) {
  const ScaledError<Pair> norm(1e-3, Pair::Ones());
  for (const int bad : {0, 1}) {
    Pair error(1e-9, 1e-9);
    error(bad) = std::nan("");
    EXPECT_TRUE(std::isnan(norm.error(Pair::Zero(), Pair::Zero(), error, 0.1)));
  }
}

}  // namespace
}  // namespace layshaft
