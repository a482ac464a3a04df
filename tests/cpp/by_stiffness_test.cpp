#include "layshaft/network/by_stiffness.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "layshaft/network/sparse_lu.hpp"

namespace layshaft {
namespace {

using State = Eigen::Vector2d;

// y1' = -l (y1 - cos t) - sin t, y2' = y1: from (1, 0) along (cos t, sin t), however fast the
// decay.
struct Follower {
  double rate;  // l [1/s].
  struct Pattern {
    static constexpr SparsityPattern<2> jacobian_pattern() { return SparsityPattern<2>::dense(); }
  };
  using Factors = SparseLu<double, Pattern>;

  void operator()(const State& y, State& rates, double time) const {
    rates = {-rate * (y(0) - std::cos(time)) - std::sin(time), y(0)};
  }
  template <class Jacobian>
  void linearise(const State&, double time, Jacobian& jacobian, State& time_slope) const {
    jacobian << -rate, 0.0, 1.0, 0.0;
    time_slope = {-rate * std::sin(time) - std::cos(time), 0.0};
  }
};

constexpr double kTolerance = 1e-6;
constexpr double kEnd = 3.0;

struct Way {
  long steps = 0;
  State end;
  double error;  // Of y2, at the end.
  bool operator==(const Way&) const = default;
};

template <class Stepper, class System>
Way follow(const System& system, Stepper stepper) {
  double first = 1e-2;
  if constexpr (requires { stepper.start_step(system, State::Ones(), 0.0, first); }) {
    first = stepper.start_step(system, {1.0, 0.0}, 0.0, first);
  }
  stepper.initialize(State{1.0, 0.0}, 0.0, first);
  Way way;
  while (stepper.current_time() < kEnd) {
    const auto [begin, end] = stepper.do_step(system);
    EXPECT_EQ(begin, stepper.previous_time());
    EXPECT_EQ(end, stepper.current_time());
    ++way.steps;
  }
  way.end = stepper.current_state();
  way.error = std::abs(way.end(1) - std::sin(stepper.current_time()));
  return way;
}

TEST(ByStiffness, StepsExplicitlyToTheBitWhereNothingDecaysFast) {
  const Way way = follow(Follower{1.0}, ByStiffness<State>(kTolerance, State::Ones()));
  // With the same first step, which the explicit method alone does not work out.
  struct SameStart : DormandPrince<State> {
    explicit SameStart() : DormandPrince<State>(kTolerance, State::Ones()) {}
    [[nodiscard]] double start_step(const Follower& system, const State& state, double time,
                                    double longest) const {
      return Rosenbrock<State>(kTolerance, State::Ones()).start_step(system, state, time, longest);
    }
  };
  EXPECT_EQ(way, follow(Follower{1.0}, SameStart()));
}

TEST(ByStiffness, StepsImplicitlyToTheBitWhereTheFirstStepIsStiff) {
  const Follower stiff{1e6};
  EXPECT_EQ(follow(stiff, ByStiffness<State>(kTolerance, State::Ones())),
            follow(stiff, Rosenbrock<State>(kTolerance, State::Ones())));
}

// The first step is short enough for the explicit method, what the error allows later is not: held
// to 3.3/l it would take kEnd l / 3.3 = 900 steps.
TEST(ByStiffness, GoesOverToTheImplicitMethodOnceStabilityLimitsTheStep) {
  const Follower system{1e3};
  ByStiffness<State> stepper(kTolerance, State::Ones());
  (void)stepper.start_step(system, {1.0, 0.0}, 0.0, 1.0);
  stepper.initialize({1.0, 0.0}, 0.0, 1e-3);
  long steps = 0;
  State inside;
  while (stepper.current_time() < kEnd) {
    const auto [begin, end] = stepper.do_step(system);
    // The dense output is that of the step made, by whichever method.
    stepper.calc_state(0.5 * (begin + end), inside);
    EXPECT_NEAR(inside(1), std::sin(0.5 * (begin + end)), 10.0 * kTolerance) << steps;
    ++steps;
  }
  EXPECT_LT(steps, 100);
}

TEST(ByStiffness, TakesWhatIsNotANumberForStiff) {
  const Follower broken{std::numeric_limits<double>::quiet_NaN()};
  ByStiffness<State> stepper(kTolerance, State::Ones());
  (void)stepper.start_step(broken, {1.0, 0.0}, 0.0, 1.0);
  stepper.initialize({1.0, 0.0}, 0.0, 1e-3);
  EXPECT_THROW((void)stepper.do_step(broken), StepVanished);
}

}  // namespace
}  // namespace layshaft
