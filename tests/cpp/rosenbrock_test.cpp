#include "layshaft/network/rosenbrock.hpp"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <cmath>

#include "layshaft/network/rosenbrock.hpp"
#include "layshaft/network/sparse_lu.hpp"

namespace layshaft {
namespace {

// Round-off of sums of a few dozen products of coefficients of size up to 300, printed to 16
// digits.
constexpr double kCoefficientRoundOff = 2e-12;

// The method in the form of the order conditions: alpha, gamma and b (Hairer and Wanner II, IV.7).
template <std::size_t Stages>
struct Method {
  using Matrix = Eigen::Matrix<double, Stages, Stages>;
  using Column = Eigen::Matrix<double, Stages, 1>;
  Matrix alpha, gamma, beta;
  Column b;

  template <std::size_t Rows>
  explicit Method(const RosenbrockTableau<Stages, Rows>& tableau) {
    Matrix a, e;
    for (std::size_t i = 0; i < Stages; ++i) {
      for (std::size_t j = 0; j < Stages; ++j) {
        a(static_cast<int>(i), static_cast<int>(j)) = tableau.a[i][j];
        e(static_cast<int>(i), static_cast<int>(j)) = tableau.e[i][j];
      }
    }
    gamma = (Matrix::Identity() / tableau.gamma - e).inverse();
    alpha = a * gamma;
    beta = alpha + gamma;
    Column m = a.row(static_cast<int>(Stages) - 1).transpose();
    m(static_cast<int>(Stages) - 1) = 1.0;
    b = gamma.transpose() * m;
  }
};

template <std::size_t Stages, std::size_t Rows>
void expect_consistent_nodes(const RosenbrockTableau<Stages, Rows>& tableau) {
  const Method<Stages> method(tableau);
  for (std::size_t i = 0; i < Stages; ++i) {
    const int row = static_cast<int>(i);
    EXPECT_NEAR(method.alpha.row(row).sum(), tableau.c[i], kCoefficientRoundOff) << "stage " << i;
    EXPECT_NEAR(method.gamma.row(row).sum(), tableau.d[i], kCoefficientRoundOff) << "stage " << i;
  }
}

// Conditions of order 1 to 4 for autonomous problems. Source: E. Hairer and G. Wanner, Solving
// Ordinary Differential Equations II, 2nd ed., table IV.7.1 (from memory).
template <std::size_t Stages, std::size_t Rows>
void expect_order_four(const RosenbrockTableau<Stages, Rows>& tableau) {
  const Method<Stages> m(tableau);
  const auto one = Method<Stages>::Column::Ones().eval();
  const auto alpha = (m.alpha * one).eval();
  const auto beta = (m.beta * one).eval();
  const auto alpha_squared = alpha.cwiseProduct(alpha).eval();
  EXPECT_NEAR(m.b.sum(), 1.0, kCoefficientRoundOff);
  EXPECT_NEAR(m.b.dot(beta), 1.0 / 2.0, kCoefficientRoundOff);
  EXPECT_NEAR(m.b.dot(alpha_squared), 1.0 / 3.0, kCoefficientRoundOff);
  EXPECT_NEAR(m.b.dot(m.beta * beta), 1.0 / 6.0, kCoefficientRoundOff);
  EXPECT_NEAR(m.b.dot(alpha_squared.cwiseProduct(alpha)), 1.0 / 4.0, kCoefficientRoundOff);
  EXPECT_NEAR(m.b.dot(alpha.cwiseProduct(m.alpha * beta)), 1.0 / 8.0, kCoefficientRoundOff);
  EXPECT_NEAR(m.b.dot(m.beta * alpha_squared), 1.0 / 12.0, kCoefficientRoundOff);
  EXPECT_NEAR(m.b.dot(m.beta * (m.beta * beta)), 1.0 / 24.0, kCoefficientRoundOff);
}

TEST(RosenbrockTableau, NodesAreTheSumsOfTheirRows) {
  expect_consistent_nodes(kRodas4);
  expect_consistent_nodes(kRodas4P);
  expect_consistent_nodes(kRodas5P);
}

TEST(RosenbrockTableau, MeetsTheConditionsOfOrderFour) {
  expect_order_four(kRodas4);
  expect_order_four(kRodas4P);
  expect_order_four(kRodas5P);
}

TEST(RosenbrockTableau, Rodas5PMeetsTheConditionsOfOrderFive) {
  const Method<8> m(kRodas5P);
  const auto one = Method<8>::Column::Ones().eval();
  const auto alpha = (m.alpha * one).eval();
  const auto beta = (m.beta * one).eval();
  const auto alpha2 = alpha.cwiseProduct(alpha).eval();
  const auto alpha_beta = (m.alpha * beta).eval();
  const double expected[] = {1.0 / 5,  1.0 / 10, 1.0 / 20, 1.0 / 15, 1.0 / 20,
                             1.0 / 30, 1.0 / 40, 1.0 / 60, 1.0 / 120};
  const double computed[] = {m.b.dot(alpha2.cwiseProduct(alpha2)),
                             m.b.dot(alpha2.cwiseProduct(alpha_beta)),
                             m.b.dot(alpha_beta.cwiseProduct(alpha_beta)),
                             m.b.dot(alpha.cwiseProduct(m.alpha * alpha2)),
                             m.b.dot(m.beta * alpha2.cwiseProduct(alpha)),
                             m.b.dot(alpha.cwiseProduct(m.alpha * (m.beta * beta))),
                             m.b.dot(m.beta * alpha.cwiseProduct(alpha_beta)),
                             m.b.dot(m.beta * (m.beta * alpha2)),
                             m.b.dot(m.beta * (m.beta * (m.beta * beta)))};
  for (int i = 0; i < 9; ++i) EXPECT_NEAR(computed[i], expected[i], kCoefficientRoundOff) << i;
}

TEST(RosenbrockTableau, StiffDecayIsDampedAtInfinity) {
  // A stiffly accurate method has R(infinity) = 0: b' beta^-1 1 = 1 (Hairer and Wanner II, IV.15).
  const auto check = [](const auto& tableau) {
    const Method<std::decay_t<decltype(tableau)>::kStages> m(tableau);
    const auto one = decltype(m.b)::Ones().eval();
    EXPECT_NEAR(m.b.dot(m.beta.inverse() * one), 1.0, 1e-10);
  };
  check(kRodas4);
  check(kRodas4P);
  check(kRodas5P);
}

// y1' = -mu (y1 - cos t) - sin t, y2' = y1 - y2: solved by y1 = cos t; time enters explicitly.
struct StiffFollower {
  static constexpr double kStiffness = 50.0;
  using State = Eigen::Vector2d;
  using Factors = SparseLu<double, Dense<2>>;
  void operator()(const State& y, State& rates, double t) const {
    rates << -kStiffness * (y(0) - std::cos(t)) - std::sin(t), y(0) - y(1);
  }
  template <class Jacobian>
  void linearise(const State&, double t, Jacobian& jacobian, State& time_slope) const {
    jacobian << -kStiffness, 0.0, 1.0, -1.0;
    time_slope << -kStiffness * std::sin(t) - std::cos(t), 0.0;
  }
};

// Exact: y1 = cos t; y2 = (cos t + sin t)/2 - e^-t/2 from y2(0) = 0.
double exact_second(double t) { return 0.5 * (std::cos(t) + std::sin(t)) - 0.5 * std::exp(-t); }

// Error at t = 1 with fixed steps (a huge tolerance keeps every step).
template <const auto& Tableau>
double fixed_step_error(double step, double share) {
  RosenbrockStepper<Eigen::Vector2d, Tableau> stepper(1e9, Eigen::Vector2d::Ones(), step);
  stepper.initialize({1.0, 0.0}, 0.0, step);
  const int steps = static_cast<int>(std::lround(1.0 / step));
  double worst = 0.0;
  for (int i = 0; i < steps; ++i) {
    const auto [begin, end] = stepper.do_step(StiffFollower{});
    Eigen::Vector2d y;
    const double time = begin + share * (end - begin);
    stepper.calc_state(time, y);
    worst = std::max(worst, std::abs(y(1) - exact_second(time)));
  }
  return worst;
}

template <const auto& Tableau>
double measured_order(double share) {
  return std::log2(fixed_step_error<Tableau>(1.0 / 64, share) /
                   fixed_step_error<Tableau>(1.0 / 128, share));
}

// Two step sizes show the order to within a few tenths; the stiff part lowers it a little.
constexpr double kOrderSpread = 0.4;

TEST(RosenbrockStepper, ConvergesWithItsDeclaredOrder) {
  EXPECT_GT(measured_order<kRodas4P>(1.0), 4.0 - kOrderSpread);
  EXPECT_GT(measured_order<kRodas5P>(1.0), 5.0 - kOrderSpread);
}

TEST(RosenbrockStepper, DenseOutputConvergesOneOrderBelow) {
  EXPECT_GT(measured_order<kRodas4P>(0.37), 3.0 - kOrderSpread);
  EXPECT_GT(measured_order<kRodas5P>(0.37), 4.0 - kOrderSpread);
}

TEST(RosenbrockStepper, DenseOutputMeetsTheEndsOfTheStep) {
  RosenbrockStepper<Eigen::Vector2d, kRodas5P> stepper(1e-6, Eigen::Vector2d::Ones(), 0.1);
  stepper.initialize({1.0, 0.0}, 0.0, 0.01);
  const auto [begin, end] = stepper.do_step(StiffFollower{});
  Eigen::Vector2d y;
  stepper.calc_state(begin, y);
  EXPECT_EQ(y, Eigen::Vector2d(1.0, 0.0));
  stepper.calc_state(end, y);
  EXPECT_EQ(y, stepper.current_state());
}

TEST(RosenbrockStepper, HoldsItsTolerance) {
  for (const double tolerance : {1e-4, 1e-6, 1e-8}) {
    RosenbrockStepper<Eigen::Vector2d, kRodas5P> stepper(tolerance, Eigen::Vector2d::Ones(), 0.5);
    stepper.initialize({1.0, 0.0}, 0.0, 1e-3);
    while (stepper.current_time() < 3.0) (void)stepper.do_step(StiffFollower{});
    const double error = stepper.current_state()(1) - exact_second(stepper.current_time());
    EXPECT_LT(std::abs(error), 10.0 * tolerance) << tolerance;
  }
}

// y' = -l y: what the error estimate makes of it, in units of the leading term.
struct Decay {
  double rate;
  using State = Eigen::Matrix<double, 1, 1>;
  using Factors = SparseLu<double, Dense<1>>;
  void operator()(const State& y, State& rates, double) const { rates = -rate * y; }
  template <class Jacobian>
  void linearise(const State&, double, Jacobian& jacobian, State& time_slope) const {
    jacobian(0, 0) = -rate;
    time_slope(0) = 0.0;
  }
};

template <const auto& Tableau>
void expect_error_constant() {
  using State = Decay::State;
  const Decay decay{1.0};
  const double step = 0.05;
  Decay::Factors factors;
  const Eigen::Matrix<double, 1, 1> jacobian{-1.0};
  factors.factorise(jacobian, 1.0 / (Tableau.gamma * step));
  StagesOf<Tableau, State> stages;
  State end;
  fill_stages<Tableau, 1>(decay, factors, State{1.0}, 0.0, step, State{0.0}, stages, end);
  const double leading = kErrorConstant<Tableau> * std::pow(-step, Tableau.order);
  // The next term of the series is a few l h of this one.
  EXPECT_NEAR(stages[Tableau.kStages - 1](0) / leading, 1.0, 3.0 * step);
}

TEST(RosenbrockStepper, ErrorConstantIsTheLeadingTermOfTheEstimate) {
  expect_error_constant<kRodas4>();
  expect_error_constant<kRodas4P>();
  expect_error_constant<kRodas5P>();
}

TEST(RosenbrockStepper, StartStepIsKeptAndNotFarFromTheLongestThatIs) {
  for (const double tolerance : {1e-4, 1e-7, 1e-10}) {
    using State = Decay::State;
    const Decay decay{40.0};
    RosenbrockStepper<State, kRodas5P> stepper(tolerance, State{1.0}, 10.0);
    const double step = stepper.start_step(decay, State{1.0}, 0.0, 10.0);
    stepper.initialize(State{1.0}, 0.0, step);
    EXPECT_EQ(stepper.do_step(decay).second, step) << tolerance;
    stepper.initialize(State{1.0}, 0.0, 2.0 * step);
    EXPECT_LT(stepper.do_step(decay).second, 2.0 * step) << tolerance;
  }
}

TEST(RosenbrockStepper, StartStepIsAtMostTheLongestWhereNothingHappens) {
  const RosenbrockStepper<Decay::State, kRodas5P> stepper(1e-6, Decay::State{1.0}, 10.0);
  EXPECT_EQ(stepper.start_step(Decay{40.0}, Decay::State{0.0}, 0.0, 0.3), 0.3);
}

TEST(StepControl, GoesByTheErrorUnlessTheErrorsGrow) {
  const KeptStep<double> none = KeptStep<double>::none();
  EXPECT_DOUBLE_EQ(next_step(0.1, 1.5, none), 0.1 * 0.9 * 1.5);
  // The step before might have grown more: it is going to get harder still, in the same ratio.
  EXPECT_DOUBLE_EQ(next_step(0.1, 1.5, {0.1, 2.0}), 0.1 * 0.9 * 1.5 * (1.5 / 2.0));
  EXPECT_DOUBLE_EQ(next_step(0.1, 1.5, {0.1, 1.0}), 0.1 * 0.9 * 1.5);
  EXPECT_DOUBLE_EQ(next_step(0.1, 100.0, none), 0.5);
  EXPECT_DOUBLE_EQ(next_step(0.1, 0.01, none), 0.02);
}

// Rates that are never finite.
struct Broken : StiffFollower {
  void operator()(const State&, State& rates, double) const {
    rates.setConstant(std::numeric_limits<double>::quiet_NaN());
  }
};

TEST(RosenbrockStepper, GivesUpWhereNoStepMeetsTheTolerance) {
  RosenbrockStepper<Eigen::Vector2d, kRodas5P> stepper(1e-6, Eigen::Vector2d::Ones(), 0.1);
  stepper.initialize({1.0, 0.0}, 0.0, 0.01);
  EXPECT_THROW((void)stepper.do_step(Broken{}), StepVanished);
}

}  // namespace
}  // namespace layshaft
