#pragma once

/// A linearly implicit stepper with error control and dense output, for stiff smooth equations.
///
/// It has the calls of an Odeint dense-output stepper (initialize, do_step, calc_state, current_*).
/// The system must offer, beside the rates, its linearisation and factors of I/(gamma h) - J:
///
///     system(state, rates, time)
///     system.linearise(state, time, jacobian, time_slope)
///     System::Factors with factorise(jacobian, shift) and solve(vector)
///
/// Source: methods as in `rosenbrock_tableau.hpp`; step control as in E. Hairer and G. Wanner,
/// Solving Ordinary Differential Equations II, IV.7.

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "layshaft/network/rosenbrock_step.hpp"

namespace layshaft {

/// An implicit step may be long; this keeps the looks at the guards inside it close enough [s].
inline constexpr double kLongestStep = 0.1;

/// Thrown where no step size meets the tolerance.
struct StepVanished : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// `Method` is one of the tableaus.
template <class State, const auto& Method>
class RosenbrockStepper {
 public:
  static constexpr int kSize = State::RowsAtCompileTime;
  static constexpr int kMostAttempts = 60;
  using Jacobian = Eigen::Matrix<double, kSize, kSize>;

  /// Error of a step is measured against tolerance * (scale + |state|), as the largest component.
  RosenbrockStepper(double tolerance, const State& scale, double longest_step = kLongestStep)
      : tolerance_(tolerance), scale_(scale), longest_step_(longest_step) {}

  void initialize(const State& state, double time, double step) {
    new_state_ = state;
    new_time_ = time;
    next_step_ = step;
    kept_ = KeptStep<double>::none();
  }

  /// Size of a first step from (state, time) [s], at most `longest`: one whose error is expected to
  /// be just allowed if the equation is taken as linear, with y'' = J f + f_t and each further
  /// derivative J times the one before.
  template <class System>
  [[nodiscard]] double start_step(const System& system, const State& state, double time,
                                  double longest) const {
    State rates;
    State time_slope;
    Jacobian jacobian;
    system(state, rates, time);
    system.linearise(state, time, jacobian, time_slope);
    State derivative = jacobian * rates + time_slope;
    for (int k = 2; k < Method.order; ++k) derivative = (jacobian * derivative).eval();
    derivative *= kErrorConstant<Method>;
    const double share = error_share<kSize>(state, state, derivative, scale_, tolerance_);
    const double step = 0.9 * std::pow(share, -1.0 / Method.order);
    return step < longest ? step : longest;  // so that NaN gives the longest
  }

  /// One accepted step. Returns its begin and end.
  template <class System>
  std::pair<double, double> do_step(const System& system) {
    state_ = new_state_;
    time_ = new_time_;
    State time_slope;
    system.linearise(state_, time_, jacobian_, time_slope);
    double step = std::min(next_step_, longest_step_);
    bool rejected = false;
    typename System::Factors factors;
    for (int attempt = 0; attempt < kMostAttempts; ++attempt) {
      const double error = attempt_step(system, step, time_slope, factors);
      // Written so that NaN counts as an error too large.
      if (error <= 1.0) {
        new_time_ = time_ + step;
        step_ = step;
        const double growth = possible_growth<Method>(error);
        const double next = next_step(step, growth, kept_);
        kept_ = {step, growth};
        next_step_ = bounded_step(next, step, rejected, longest_step_);
        fill_dense<Method, kSize>(stages_, dense_);
        carry_error<Method, kSize>(factors, step, stages_[Method.kStages - 1], error_);
        return {time_, new_time_};
      }
      rejected = true;
      step = smaller_step<Method>(step, error);
    }
    throw StepVanished("no step meets the tolerance");
  }

  /// Takes over a step made elsewhere, as if `do_step` had made it.
  void adopt(const State& state, double time, double step, const State& new_state,
             const DenseRowsOf<Method, State>& dense, double next_step, double growth) {
    state_ = state;
    time_ = time;
    step_ = step;
    new_state_ = new_state;
    new_time_ = time + step;
    dense_ = dense;
    next_step_ = next_step;
    kept_ = {step, growth};
  }

  /// State at a time inside the last step.
  void calc_state(double time, State& state) const {
    const double s = (time - time_) / step_;
    fill_inside<Method, kSize>(s, state_, new_state_, dense_, state);
  }

  /// Of the sign of the slope of a state at the end of the last step.
  [[nodiscard]] double slope_sign(int k) const {
    return end_slope<Method>(k, state_, new_state_, dense_);
  }

  /// Error at the end of the last step, from the one set by `carry` on (`carried_error.hpp`).
  [[nodiscard]] const State& carried_error() const { return error_; }
  void carry(const State& error) { error_ = error; }

  [[nodiscard]] const State& current_state() const { return new_state_; }
  [[nodiscard]] double previous_time() const { return time_; }
  [[nodiscard]] double current_time() const { return new_time_; }
  [[nodiscard]] double current_time_step() const { return next_step_; }
  [[nodiscard]] const KeptStep<double>& kept_step() const { return kept_; }

 private:
  // Fills the stages and the new state; returns the error norm.
  template <class System>
  [[nodiscard]] double attempt_step(const System& system, double step, const State& time_slope,
                                    typename System::Factors& factors) {
    factors.factorise(jacobian_, 1.0 / (Method.gamma * step));
    fill_stages<Method, kSize>(system, factors, state_, time_, step, time_slope, stages_,
                               new_state_);
    return error_share<kSize>(state_, new_state_, stages_[Method.kStages - 1], scale_, tolerance_);
  }

  double tolerance_;
  State scale_;
  double longest_step_;
  State state_;
  State new_state_;
  Jacobian jacobian_;
  StagesOf<Method, State> stages_;
  DenseRowsOf<Method, State> dense_;
  State error_ = State::Zero();
  double time_ = 0.0;
  double new_time_ = 0.0;
  double step_ = 1.0;
  double next_step_ = 1e-4;
  KeptStep<double> kept_ = KeptStep<double>::none();
};

/// Rodas5P, the linearly implicit stepper of the car.
template <class State>
using Rosenbrock = RosenbrockStepper<State, kRodas5P>;

}  // namespace layshaft
