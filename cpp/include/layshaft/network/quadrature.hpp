#pragma once

/// Integrals along one step: Gauss-Lobatto with four points, exact to degree 5.
///
/// Source: M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, table 25.6.

#include <array>
#include <cstddef>

namespace layshaft {

inline constexpr std::size_t kLobattoPoints = 4;

/// Points as a share of the step: 0, (1 -/+ 1/sqrt 5)/2, 1.
inline constexpr std::array<double, kLobattoPoints> kLobattoShares{0.0, 0.27639320225002103,
                                                                   0.72360679774997897, 1.0};

/// Weights for a step of length 1.
inline constexpr std::array<double, kLobattoPoints> kLobattoWeights{1.0 / 12.0, 5.0 / 12.0,
                                                                    5.0 / 12.0, 1.0 / 12.0};

/// `sums` with the integrals over a step added; `rates[k]` are the integrands at the k-th point.
template <std::size_t Count>
[[nodiscard]] std::array<double, Count> add_integrals(
    std::array<double, Count> sums, double step,
    const std::array<std::array<double, Count>, kLobattoPoints>& rates) {
  for (std::size_t k = 0; k < kLobattoPoints; ++k) {
    for (std::size_t i = 0; i < Count; ++i) sums[i] += step * kLobattoWeights[k] * rates[k][i];
  }
  return sums;
}

}  // namespace layshaft
