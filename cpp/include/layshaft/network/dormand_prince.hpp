#pragma once

/// Dormand-Prince 5(4) of Boost.Odeint with its dense output of order 4: an explicit stepper for
/// plants that are not stiff and give no Jacobian.
///
/// The error of a step is measured against tolerance * (scale + |state|), each state with its own
/// scale, so that a speed in rad/s and a slip ratio weigh alike.

// Odeint's dispatcher must come before any of its Eigen support.
#include <boost/numeric/odeint/algebra/vector_space_algebra.hpp>
#include <boost/numeric/odeint/integrate/max_step_checker.hpp>
#include <boost/numeric/odeint/stepper/controlled_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>
#include <cmath>
#include <utility>

#include "layshaft/network/rosenbrock.hpp"

namespace layshaft {

/// Error norm of a step: the largest component against tolerance * (scale + |state|); a step is
/// kept where it is at most 1.
template <class State>
class ScaledError {
 public:
  using value_type = double;
  using algebra_type = boost::numeric::odeint::vector_space_algebra;
  using operations_type = boost::numeric::odeint::default_operations;

  ScaledError() : tolerance_(1e-6), scale_(State::Ones()) {}
  ScaledError(double tolerance, const State& scale) : tolerance_(tolerance), scale_(scale) {}

  template <class Algebra, class Rates, class Error>
  double error(Algebra& /*algebra*/, const State& old_state, const Rates& /*rates*/, Error& error,
               double /*step*/) const {
    return norm(old_state, error);
  }

  template <class Rates, class Error>
  double error(const State& old_state, const Rates& /*rates*/, Error& error,
               double /*step*/) const {
    return norm(old_state, error);
  }

 private:
  [[nodiscard]] double norm(const State& old_state, const State& error) const {
    double largest = 0.0;
    for (int i = 0; i < static_cast<int>(State::RowsAtCompileTime); ++i) {
      const double share = std::abs(error(i)) / (tolerance_ * (scale_(i) + std::abs(old_state(i))));
      // NaN wins: Odeint then keeps the step, and the run names the state.
      if (std::isnan(share)) return share;
      largest = share <= largest ? largest : share;
    }
    return largest;
  }

  double tolerance_;
  State scale_;
};

namespace dormand_prince {

template <class State>
using Basic =
    boost::numeric::odeint::runge_kutta_dopri5<State, double, State, double,
                                               boost::numeric::odeint::vector_space_algebra>;
template <class State>
using Controlled = boost::numeric::odeint::controlled_runge_kutta<Basic<State>, ScaledError<State>>;

}  // namespace dormand_prince

template <class State>
class DormandPrince
    : public boost::numeric::odeint::dense_output_runge_kutta<dormand_prince::Controlled<State>> {
  using Controlled = dormand_prince::Controlled<State>;
  using Base = boost::numeric::odeint::dense_output_runge_kutta<Controlled>;

 public:
  DormandPrince(double tolerance, const State& scale)
      : Base(Controlled(ScaledError<State>(tolerance, scale),
                        typename Controlled::step_adjuster_type(),
                        dormand_prince::Basic<State>())) {}

  /// One accepted step. Returns its begin and end; throws StepVanished.
  template <class System>
  std::pair<double, double> do_step(const System& system) {
    try {
      return Base::do_step(system);
    } catch (const boost::numeric::odeint::odeint_error& error) {
      throw StepVanished(error.what());
    }
  }
};

}  // namespace layshaft
