#pragma once

/// How far a run may be from the true solution: the error that the stepper estimates in each step,
/// carried on by the linearised equation of motion and over switches. Nothing of it changes the
/// run.
///
/// Equation: in frozen modes e' = J e, plus each step's own error. A run with the error e in its
/// state meets a falling guard g later by s = (grad g . e)/|dg/dt| and goes on with the error
/// e + (f_before - f_after) s.
///
/// Where a guard turns so near to zero that e decides whether it falls at all, the run stands on an
/// *edge*: no linear estimate tells what it would have become on the other side.
///
/// Source: R. I. Leine and H. Nijmeijer, Dynamics and Bifurcations of Non-Smooth Mechanical
/// Systems, 7.5 (jump of the fundamental solution; from memory).

#include <algorithm>
#include <cmath>

#include "layshaft/network/plant.hpp"

namespace layshaft {

/// The error of a way, as the error of its speed goes from one value to another within a length of
/// time [s].
template <class Value, class Length>
[[nodiscard]] Value way_of_error(const Length& length, const Value& begin, const Value& end) {
  return 0.5 * length * (begin + end);
}

template <class P>
struct CarriedError {
  StateOf<P> state = StateOf<P>::Zero();  ///< Of the state.
  StateOf<P> way = StateOf<P>::Zero();    ///< The same, summed over time [its unit * s].
  double switch_time = 0.0;               ///< Of the last switch [s].
  long edges = 0;                         ///< Guards that only just fell, or only just did not.

  /// Goes on to the end of a step of this length [s], where the state's error is known.
  void advance(double length, const StateOf<P>& at_end) {
    way += way_of_error(length, state, at_end);
    state = at_end;
  }
};

/// Whether a stepper carries errors along.
template <class Stepper>
inline constexpr bool kCarriesErrors = requires(const Stepper& s) { s.carried_error(); };

/// By how many times its estimate an error may be larger.
inline constexpr double kEdgeMargin = 4.0;

/// A guard near an instant, and by how much the error moves it.
struct GuardMotion {
  double slope;  ///< Along the run [1/s].
  double bend;   ///< Its second derivative [1/s^2].
  double off;    ///< Through the error [-].
};

/// Of the guard `value(time, state)`; `rates` and `curve` are the state's two derivatives.
template <class Value, class State>
[[nodiscard]] GuardMotion guard_motion(const Value& value, double time, const State& state,
                                       const State& rates, const State& curve, const State& error) {
  constexpr double kNear = 1e-5;  // [s] well below all that swings in a car
  const State bent = 0.5 * kNear * kNear * curve;
  const double here = value(time, state);
  const double next = value(time + kNear, State(state + kNear * rates + bent));
  const double last = value(time - kNear, State(state - kNear * rates + bent));
  return {(next - last) / (2.0 * kNear), (next - 2.0 * here + last) / (kNear * kNear),
          value(time, State(state + error)) - here};
}

/// By how much later a run with the error switches [s].
[[nodiscard]] inline double switch_delay(const GuardMotion& guard) {
  constexpr double kMost = 1.0;  // [s] beyond any use of a linear estimate
  const double delay = -guard.off / guard.slope;
  return std::isfinite(delay) ? std::clamp(delay, -kMost, kMost) : kMost;
}

/// Whether a guard that falls would turn at a depth below zero within the error.
[[nodiscard]] inline bool only_just_falls(const GuardMotion& guard) {
  return guard.bend > 0.0 &&
         kEdgeMargin * std::abs(guard.off) > 0.5 * guard.slope * guard.slope / guard.bend;
}

}  // namespace layshaft
