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

#include "layshaft/network/rosenbrock_tableau.hpp"

namespace layshaft {

/// Thrown where no step size meets the tolerance.
struct StepVanished : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// `Method` is one of the tableaus.
template <class State, const auto& Method>
class RosenbrockStepper {
 public:
  static constexpr int kSize = State::RowsAtCompileTime;
  using Jacobian = Eigen::Matrix<double, kSize, kSize>;

  /// Error of a step is measured against tolerance * (scale + |state|), as the largest component.
  RosenbrockStepper(double tolerance, const State& scale, double longest_step)
      : tolerance_(tolerance), scale_(scale), longest_step_(longest_step) {}

  void initialize(const State& state, double time, double step) {
    new_state_ = state;
    new_time_ = time;
    next_step_ = step;
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
    for (int attempt = 0; attempt < kMostAttempts; ++attempt) {
      const double error = attempt_step(system, step, time_slope);
      // Written so that NaN counts as an error too large.
      if (error <= 1.0) {
        new_time_ = time_ + step;
        step_ = step;
        const double growth = next_factor(error);
        next_step_ = std::min(step * (rejected ? std::min(growth, 1.0) : growth), longest_step_);
        make_dense();
        return {time_, new_time_};
      }
      rejected = true;
      step *= std::isfinite(error) ? std::min(next_factor(error), 0.9) : 0.1;
    }
    throw StepVanished("no step meets the tolerance");
  }

  /// State at a time inside the last step.
  void calc_state(double time, State& state) const {
    const double s = (time - time_) / step_;
    if (s == 1.0) {
      state = new_state_;
      return;
    }
    State curve = dense_[kRows - 1];
    for (std::size_t r = kRows - 1; r-- > 0;) curve = dense_[r] + s * curve;
    state = (1.0 - s) * state_ + s * (new_state_ + (1.0 - s) * curve);
  }

  [[nodiscard]] const State& current_state() const { return new_state_; }
  [[nodiscard]] double previous_time() const { return time_; }
  [[nodiscard]] double current_time() const { return new_time_; }
  [[nodiscard]] double current_time_step() const { return next_step_; }

 private:
  static constexpr std::size_t kStages = Method.kStages;
  static constexpr std::size_t kRows = Method.kDenseRows;
  static constexpr int kMostAttempts = 60;
  static constexpr double kSafety = 0.9;
  static constexpr double kLeastFactor = 0.2;
  static constexpr double kMostFactor = 5.0;

  [[nodiscard]] static double next_factor(double error) {
    const double factor = kSafety * std::pow(error, -1.0 / Method.order);
    return std::clamp(factor, kLeastFactor, kMostFactor);
  }

  // Fills the stages and the new state; returns the error norm.
  template <class System>
  [[nodiscard]] double attempt_step(const System& system, double step, const State& time_slope) {
    typename System::Factors factors;
    factors.factorise(jacobian_, 1.0 / (Method.gamma * step));
    const double inverse_step = 1.0 / step;
    State argument;
    for (std::size_t i = 0; i < kStages; ++i) {
      argument = state_;
      State pull = State::Zero();
      for (std::size_t j = 0; j < i; ++j) {
        if (Method.a[i][j] != 0.0) argument += Method.a[i][j] * stages_[j];
        pull += (Method.e[i][j] * inverse_step) * stages_[j];
      }
      State& stage = stages_[i];
      system(argument, stage, time_ + Method.c[i] * step);
      stage += pull;
      if (Method.d[i] != 0.0) stage += (Method.d[i] * step) * time_slope;
      factors.solve(stage);
    }
    new_state_ = argument + stages_[kStages - 1];
    double error = 0.0;
    for (int i = 0; i < kSize; ++i) {
      const double size = std::max(std::abs(state_(i)), std::abs(new_state_(i)));
      const double share = std::abs(stages_[kStages - 1](i)) / (tolerance_ * (scale_(i) + size));
      error = share <= error ? error : share;  // NaN wins
    }
    return error;
  }

  void make_dense() {
    for (std::size_t r = 0; r < kRows; ++r) {
      dense_[r].setZero();
      for (std::size_t j = 0; j < kStages; ++j) {
        if (Method.dense[r][j] != 0.0) dense_[r] += Method.dense[r][j] * stages_[j];
      }
    }
  }

  double tolerance_;
  State scale_;
  double longest_step_;
  State state_;
  State new_state_;
  Jacobian jacobian_;
  std::array<State, kStages> stages_;
  std::array<State, kRows> dense_;
  double time_ = 0.0;
  double new_time_ = 0.0;
  double step_ = 1.0;
  double next_step_ = 1e-4;
};

}  // namespace layshaft
