#include "layshaft/network/carried_error.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "grazing_lift.hpp"
#include "layshaft/network/rosenbrock_step.hpp"
#include "switching_plants.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using testing::grazing_lift;
using testing::lift_at;
using Number = Vector<double, 1>;
using Pair = Vector<double, 2>;

// Factors of shift - slope, of the one equation e' = slope e.
struct OneFactor {
  double slope;
  double shift;
  void solve(Number& right) const { right(0) /= shift - slope; }
};

double carried(double slope, double time, int steps) {
  const double step = time / steps;
  const OneFactor factors{slope, 1.0 / (kRodas5P.gamma * step)};
  Number error(1.0);
  for (int k = 0; k < steps; ++k) {
    carry_error<kRodas5P, 1>(factors, step, Number(0.0), error);
  }
  return error(0);
}

TEST(CarriedError, GrowsAndDecaysAsTheEquationDoes) {
  for (const double slope : {2.0, -3.0}) {
    const double exact = std::exp(slope);
    const double coarse = carried(slope, 1.0, 100) - exact;
    const double fine = carried(slope, 1.0, 200) - exact;
    EXPECT_LT(std::abs(fine), 1e-4 * exact) << slope;
    EXPECT_NEAR(coarse / fine, 4.0, 0.2) << slope;  // order 2
  }
  // A part far stiffer than the step is gone at once.
  EXPECT_LT(std::abs(carried(-1e9, 1.0, 1)), 1e-8);
}

TEST(CarriedError, AddsWhatEachStepMakes) {
  // e' = 0: ten steps, each wrong by .1.
  const OneFactor factors{0.0, 1.0 / kRodas5P.gamma};
  Number error(0.0);
  for (int k = 0; k < 10; ++k) carry_error<kRodas5P, 1>(factors, 1.0, Number(0.1), error);
  EXPECT_NEAR(error(0), 1.0, 1e-13);  // round-off of ten sums
}

struct OneSpeed {
  static constexpr int kNodes = 1, kAuxiliaries = 0;
};

TEST(CarriedError, WayIsItsSumOverTime) {
  CarriedError<OneSpeed> error;
  error.advance(0.5, Number(2.0));
  error.advance(0.25, Number(4.0));
  EXPECT_DOUBLE_EQ(error.way(0), 0.5 * 1.0 + 0.25 * 3.0);
  EXPECT_DOUBLE_EQ(error.state(0), 4.0);
}

// A flywheel driven by twice its own speed: exp(2 t), so that errors grow as fast.
struct Runaway : testing::BarePlant<1, 1> {
  static constexpr double kGrowth = 2.0;

  Runaway() {
    network_data = testing::lossless<1, 1>(Number::Ones(), Eigen::Matrix<double, 1, 1>::Ones());
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State& state) const {
    return {Number(kGrowth * state(0)), Number(0.0), Number(0.0)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads& sliding, double,
                                          const State&) const {
    return {sliding.low, sliding.high};
  }
  [[nodiscard]] bool is_open(int, const Positions&) const { return true; }
  void linearise(const Positions&, const Frozen<double, 1, 1>&, double, const State&,
                 Eigen::Matrix<double, 1, 1>& jacobian, State& time_slope) const {
    jacobian(0, 0) = kGrowth;
    time_slope.setZero();
  }
};

TEST(Integrator, ARunThatMagnifiesItsErrorsSaysSo) {
  const Runaway plant;
  constexpr double kEnd = 6.0;
  for (const double tolerance : {1e-4, 1e-6}) {
    SCOPED_TRACE(tolerance);
    Integrator<Runaway, Rosenbrock> integrator(plant, {tolerance, 1e-2, 10'000});
    const auto run = integrator.run(0.0, Number(1.0), {}, kEnd, testing::NoRecorder{});
    const double wrong = std::abs(run.state(0) - std::exp(Runaway::kGrowth * kEnd));
    // The estimate is that of the stepper's companion of order 4, so too large, not too small: by
    // the ratio of their error constants over growth * step, which is .2 with the longest step.
    EXPECT_GT(std::abs(run.error.state(0)), wrong);
    EXPECT_LT(std::abs(run.error.state(0)), 2000.0 * wrong);
  }
}

// A slip that falls by 8 rad/s^2, 1e-3 rad/s too fast a run meets zero 1e-3/8 s later.
TEST(SwitchDelay, IsTheErrorOverTheRateOfTheGuard) {
  const auto slip = [](double, const Number& speed) { return speed(0); };
  const GuardMotion motion =
      guard_motion(slip, 1.0, Number(0.0), Number(-8.0), Number(0.0), Number(1e-3));
  EXPECT_NEAR(switch_delay(motion), 1e-3 / 8.0, 1e-9);
  EXPECT_FALSE(only_just_falls(motion));
}

// g = x falls with .01 and is lifted with 2: it would turn at a depth of .01^2/(2 * 2) = 2.5e-5.
TEST(SwitchDelay, AGuardThatWouldTurnWithinTheErrorStandsOnAnEdge) {
  const auto guard = [](double, const Pair& state) { return state(0); };
  const auto motion = [&](double error) {
    return guard_motion(guard, 1.0, Pair(0.0, -0.01), Pair(-0.01, 2.0), Pair(2.0, 0.0),
                        Pair(error, 0.0));
  };
  EXPECT_TRUE(only_just_falls(motion(1.1 * 2.5e-5 / kEdgeMargin)));
  EXPECT_FALSE(only_just_falls(motion(0.9 * 2.5e-5 / kEdgeMargin)));
}

LaunchOptions marked(double tolerance) {
  LaunchOptions options;
  options.distance_marks = {10.0, 30.0, 60.0};
  options.integration.tolerance = tolerance;
  return options;
}

TEST(Launch, TimesAreAsWrongAsTheyAreSaidToBe) {
  const LaunchResult truth = launch(trial_car(), marked(1e-11));
  for (const double tolerance : {1e-4, 1e-5, 1e-6}) {
    SCOPED_TRACE(tolerance);
    const LaunchResult run = launch(trial_car(), marked(tolerance));
    EXPECT_FALSE(run.doubtful);
    double wrong = std::abs(run.shift.contact.time - truth.shift.contact.time);
    for (std::size_t k = 0; k < run.distance_times.size(); ++k) {
      wrong = std::max(wrong, std::abs(run.distance_times[k] - truth.distance_times[k]));
    }
    // The stepper's estimate is that of its less exact companion, so rather too much; too little
    // only where errors of single steps happen to cancel.
    EXPECT_LT(wrong, 4.0 * run.time_error);
    EXPECT_LT(run.time_error, 100.0 * wrong);
  }
}

TEST(Launch, SaysSoWhereTheShiftHangsOnAKnifesEdge) {
  const double graze = grazing_lift(1e-6);
  for (int k = -2; k <= 2; ++k) {
    EXPECT_TRUE(launch(trial_car(), lift_at(graze + 1e-8 * k, 1e-6)).doubtful) << k;
  }
  for (const double away : {-0.02, 0.02}) {
    EXPECT_FALSE(launch(trial_car(), lift_at(graze + away, 1e-6)).doubtful) << away;
  }
}

}  // namespace
}  // namespace layshaft
