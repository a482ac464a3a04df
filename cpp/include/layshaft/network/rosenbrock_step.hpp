#pragma once

/// The arithmetic of one step of a linearly implicit method, for one run or for lanes of them.
///
/// States are anything with `state(i)`; `Real` is double or lanes. Same operations in the same
/// order whatever the number type.

#include <array>
#include <cstddef>
#include <limits>
#include <utility>

#include "layshaft/network/rosenbrock_tableau.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {

template <const auto& Method, class State>
using StagesOf = std::array<State, Method.kStages>;
template <const auto& Method, class State>
using DenseRowsOf = std::array<State, Method.kDenseRows>;

/// Which stages have the argument of the stage before plus a share of that stage, as the last ones
/// of a stiffly accurate method do.
template <const auto& Method>
inline constexpr std::array<bool, Method.kStages> kExtendsPrevious = [] {
  std::array<bool, Method.kStages> goes_on{};
  for (std::size_t i = 2; i < Method.kStages; ++i) {
    goes_on[i] = true;
    for (std::size_t j = 0; j + 1 < i; ++j) {
      goes_on[i] = goes_on[i] && Method.a[i][j] == Method.a[i - 1][j];
    }
  }
  return goes_on;
}();

// Sum of weights[Row][j] * stages[j](k) for j from First to Row - 1.
template <const auto& Weights, std::size_t Row, std::size_t First, class Stages>
[[nodiscard]] auto weighted_sum(const Stages& stages, int k) {
  auto sum = Weights[Row][First] * stages[First](k);
  [&]<std::size_t... J>(std::index_sequence<J...>) {
    ((sum += Weights[Row][First + 1 + J] * stages[First + 1 + J](k)), ...);
  }(std::make_index_sequence<Row - First - 1>{});
  return sum;
}

/// Fills the stages and the new state. `rates(argument, result, time)`.
template <const auto& Method, int Size, class Real, class State, class Factors, class Rates>
void fill_stages(const Rates& rates, const Factors& factors, const State& state, const Real& time,
                 const Real& step, const State& time_slope, StagesOf<Method, State>& stages,
                 State& new_state) {
  const Real inverse_step = 1.0 / step;
  State argument;
  for (int k = 0; k < Size; ++k) argument(k) = state(k);
  const auto fill = [&]<std::size_t I>() {
    if constexpr (I > 0) {
      constexpr std::size_t kFirst = kExtendsPrevious<Method>[I] ? I - 1 : 0;
      for (int k = 0; k < Size; ++k) {
        const Real before = kExtendsPrevious<Method>[I] ? argument(k) : state(k);
        argument(k) = before + weighted_sum<Method.a, I, kFirst>(stages, k);
      }
    }
    State& stage = stages[I];
    rates(argument, stage, Real(time + Method.c[I] * step));
    const Real slope_weight = Method.d[I] * step;
    for (int k = 0; k < Size; ++k) {
      if constexpr (I > 0) stage(k) += inverse_step * weighted_sum<Method.e, I, 0>(stages, k);
      if constexpr (Method.d[I] != 0.0) stage(k) += slope_weight * time_slope(k);
    }
    factors.solve(stage);
  };
  [&]<std::size_t... I>(std::index_sequence<I...>) {
    (fill.template operator()<I>(), ...);
  }(std::make_index_sequence<Method.kStages>{});
  for (int k = 0; k < Size; ++k) new_state(k) = argument(k) + stages[Method.kStages - 1](k);
}

/// Largest share of `tolerance * (scale + |state|)` that the error of any component takes.
template <int Size, class Real, class State, class Scale>
[[nodiscard]] Real error_share(const State& state, const State& new_state, const State& error,
                               const Scale& scale, const Real& tolerance) {
  Real largest(0.0);
  for (int i = 0; i < Size; ++i) {
    const Real size = max(abs(state(i)), abs(new_state(i)));
    const Real share = abs(error(i)) / (tolerance * (scale(i) + size));
    largest = select(share <= largest, largest, share);  // NaN wins
  }
  return largest;
}

/// Whether a number is neither infinite nor not a number.
template <class Real>
[[nodiscard]] auto is_finite(const Real& x) {
  return abs(x) <= std::numeric_limits<double>::max();
}

/// By how much a step with this error might have been longer [-].
template <const auto& Method, class Real>
[[nodiscard]] Real possible_growth(const Real& error) {
  const Real within = min(max(error, Real(1e-4)), Real(1e4));
  if constexpr (Method.order == 5) {
    return elementary::inverse_fifth_root(within);
  } else {
    static_assert(Method.order == 4);
    return 1.0 / sqrt(sqrt(within));
  }
}

/// What the step control remembers of the last step kept.
template <class Real>
struct KeptStep {
  Real step;    ///< [s]
  Real growth;  ///< Its possible growth [-].

  /// Nothing kept yet: a step so short that nothing follows from it.
  [[nodiscard]] static constexpr KeptStep none() { return {Real(1e-200), Real(1.0)}; }
};

/// Size of the next step after one kept: from its error, or from how the errors grow, whichever is
/// less. Source: Hairer and Wanner II, IV.8 (8.25), after Gustafsson.
template <class Real>
[[nodiscard]] Real next_step(const Real& step, const Real& growth, const KeptStep<Real>& last) {
  const Real trend = (step / last.step) * (growth / last.growth);
  return step * min(max(0.9 * growth * min(trend, Real(1.0)), Real(0.2)), Real(5.0));
}

/// The same, not longer than the step kept where that had been shortened, nor than `longest`.
template <class Mask, class Real>
[[nodiscard]] Real bounded_step(const Real& next, const Real& step, const Mask& shortened,
                                const Real& longest) {
  return min(select(shortened, min(next, step), next), longest);
}

/// Size of the next attempt after one that failed with this error.
template <const auto& Method, class Real>
[[nodiscard]] Real smaller_step(const Real& step, const Real& error) {
  const Real factor = max(0.9 * possible_growth<Method>(error), Real(0.2));
  return step * select(is_finite(error), min(factor, Real(0.9)), Real(0.1));
}

/// Leading coefficient of the error estimate for y' = l y: (l h)^order times this. From the stages
/// as power series in l h.
template <const auto& Method>
inline constexpr double kErrorConstant = [] {
  constexpr auto kOrder = static_cast<std::size_t>(Method.order);
  std::array<std::array<double, kOrder + 1>, Method.kStages> series{};
  for (std::size_t i = 0; i < Method.kStages; ++i) {
    for (std::size_t power = 1; power <= kOrder; ++power) {
      double sum = series[i][power - 1] + (power == 1 ? 1.0 : 0.0);
      for (std::size_t j = 0; j < i; ++j) {
        sum += Method.a[i][j] * series[j][power - 1] + Method.e[i][j] * series[j][power];
      }
      series[i][power] = Method.gamma * sum;
    }
  }
  return series[Method.kStages - 1][kOrder];
}();

/// Weights of powers of 1/(1 - gamma z) whose sum is exp(z) to order 2 and 0 at infinity.
template <const auto& Method>
inline constexpr std::array<double, 3> kCarryWeights = [] {
  const double inverse = 1.0 / Method.gamma;
  const double third = 0.5 * inverse * inverse - 2.0 * inverse + 1.0;
  const double second = inverse - 1.0 - 2.0 * third;
  return std::array{1.0 - second - third, second, third};
}();

/// Carries an error of the state over a step, as its linearised equation does, and adds the error
/// `made` in it. `factors` are those of the step.
template <const auto& Method, int Size, class Real, class State, class Factors>
void carry_error(const Factors& factors, const Real& step, const State& made, State& error) {
  const Real inverse = 1.0 / (Method.gamma * step);
  State part;
  for (int k = 0; k < Size; ++k) part(k) = error(k);
  for (int k = 0; k < Size; ++k) error(k) = made(k);
  for (const double weight : kCarryWeights<Method>) {
    factors.solve(part);
    for (int k = 0; k < Size; ++k) {
      part(k) = inverse * part(k);
      error(k) += weight * part(k);
    }
  }
}

template <const auto& Method, int Size, class State>
void fill_dense(const StagesOf<Method, State>& stages, DenseRowsOf<Method, State>& dense) {
  for (std::size_t r = 0; r < Method.kDenseRows; ++r) {
    for (int k = 0; k < Size; ++k) dense[r](k) = Method.dense[r][0] * stages[0](k);
    for (std::size_t j = 1; j < Method.kStages; ++j) {
      for (int k = 0; k < Size; ++k) dense[r](k) += Method.dense[r][j] * stages[j](k);
    }
  }
}

/// State at a share `s` of the step, 0 to 1.
template <const auto& Method, int Size, class Real, class State>
void fill_inside(const Real& s, const State& state, const State& new_state,
                 const DenseRowsOf<Method, State>& dense, State& inside) {
  const Real left = 1.0 - s;
  for (int k = 0; k < Size; ++k) {
    Real curve = dense[Method.kDenseRows - 1](k);
    for (std::size_t r = Method.kDenseRows - 1; r-- > 0;) curve = dense[r](k) + s * curve;
    inside(k) = left * state(k) + s * (new_state(k) + left * curve);
  }
}

/// Slope of one state at the end of the step, times the step.
template <const auto& Method, class State>
[[nodiscard]] auto end_slope(int k, const State& state, const State& new_state,
                             const DenseRowsOf<Method, State>& dense) {
  auto slope = new_state(k) - state(k);
  for (std::size_t r = 0; r < Method.kDenseRows; ++r) slope -= dense[r](k);
  return slope;
}

}  // namespace layshaft
