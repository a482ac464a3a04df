#pragma once

/// A stepper that chooses its method: Dormand-Prince 5(4) where the equation is not stiff at the
/// tolerance asked for, Rodas5P where it is.
///
/// Judged by the Jacobian where a stretch of frozen modes begins: its norm in the states' scales
/// bounds every rate of decay and of swing. A step so long that the explicit method would be held
/// to it by its stability, not by its error, is made by the implicit one, and so is the rest of the
/// stretch. It carries no errors (`carried_error.hpp`).
///
/// Source: E. Hairer and G. Wanner, Solving Ordinary Differential Equations II, 2nd ed., IV.2
/// (stability of Dormand-Prince along the negative axis up to 3.3).

#include <utility>

#include "layshaft/network/dormand_prince.hpp"
#include "layshaft/network/rosenbrock.hpp"

namespace layshaft {

template <class State>
class ByStiffness {
 public:
  ByStiffness(double tolerance, const State& scale)
      : scale_(scale), explicit_(tolerance, scale), implicit_(tolerance, scale) {}

  void initialize(const State& state, double time, double step) {
    is_stiff_ = !(step * norm_ < kReach);  // so that NaN counts as stiff
    made_implicitly_ = is_stiff_;
    if (is_stiff_) {
      implicit_.initialize(state, time, step);
    } else {
      explicit_.initialize(state, time, step);
    }
  }

  /// As `RosenbrockStepper::start_step`; the stretch that begins here is judged.
  template <class System>
  [[nodiscard]] double start_step(const System& system, const State& state, double time,
                                  double longest) {
    Jacobian jacobian;
    State time_slope;
    system.linearise(state, time, jacobian, time_slope);
    norm_ = norm(jacobian);
    return implicit_.start_step(system, state, time, longest);
  }

  template <class System>
  std::pair<double, double> do_step(const System& system) {
    made_implicitly_ = is_stiff_;
    if (is_stiff_) return implicit_.do_step(system);
    const auto made = explicit_.do_step(system);
    const double next = explicit_.current_time_step();
    if (!(next * norm_ < kReach)) {
      is_stiff_ = true;
      implicit_.initialize(explicit_.current_state(), explicit_.current_time(), next);
    }
    return made;
  }

  void calc_state(double time, State& state) const {
    if (made_implicitly_) {
      implicit_.calc_state(time, state);
    } else {
      explicit_.calc_state(time, state);
    }
  }

  [[nodiscard]] const State& current_state() const {
    return made_implicitly_ ? implicit_.current_state() : explicit_.current_state();
  }
  [[nodiscard]] double previous_time() const {
    return made_implicitly_ ? implicit_.previous_time() : explicit_.previous_time();
  }
  [[nodiscard]] double current_time() const {
    return made_implicitly_ ? implicit_.current_time() : explicit_.current_time();
  }
  [[nodiscard]] double current_time_step() const {
    return is_stiff_ ? implicit_.current_time_step() : explicit_.current_time_step();
  }

 private:
  using Jacobian = typename Rosenbrock<State>::Jacobian;
  static constexpr double kReach = 3.3;

  // Largest sum of a row, each state in its scale [1/s].
  [[nodiscard]] double norm(const Jacobian& jacobian) const {
    return ((jacobian.cwiseAbs() * scale_).array() / scale_.array()).maxCoeff();
  }

  State scale_;
  DormandPrince<State> explicit_;
  Rosenbrock<State> implicit_;
  double norm_ = 0.0;  // Of the Jacobian where the stretch begins [1/s].
  bool is_stiff_ = false;
  bool made_implicitly_ = false;
};

}  // namespace layshaft
