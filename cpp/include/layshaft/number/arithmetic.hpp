#pragma once

/// What a law may do with a `double` beyond + - * /, under the names every number type shares.

#include <bit>
#include <cmath>
#include <cstdint>

namespace layshaft {

/// `a` where the condition holds, `b` elsewhere. Both are evaluated.
[[nodiscard]] constexpr double select(bool condition, double a, double b) {
  return condition ? a : b;
}

/// The plain number behind `x`; for decisions outside the laws (modes, reports).
[[nodiscard]] constexpr double value_of(double x) { return x; }

[[nodiscard]] constexpr double square(double x) { return x * x; }

using std::abs;
using std::sqrt;

/// Larger and smaller of two numbers. NaN in `a` is kept.
[[nodiscard]] constexpr double max(double a, double b) { return b > a ? b : a; }
[[nodiscard]] constexpr double min(double a, double b) { return b < a ? b : a; }

/// A whole number of quarter turns stands in the lowest bits of the mantissa of `quarter`: whether
/// it is odd; and `x` with its sign turned in the second half of the turn.
[[nodiscard]] constexpr bool is_odd_quarter(double quarter) {
  return (std::bit_cast<std::uint64_t>(quarter) & 1U) != 0U;
}
[[nodiscard]] constexpr double turn_sign_of_second_half(double x, double quarter) {
  const std::uint64_t sign = (std::bit_cast<std::uint64_t>(quarter) & 2U) << 62U;
  return std::bit_cast<double>(std::bit_cast<std::uint64_t>(x) ^ sign);
}

}  // namespace layshaft
