#pragma once

/// The operations a law may use on its number type `Real`.
///
/// A law is written once and evaluated on `double`, on `Dual` (derivatives) and on `Lanes` (several
/// launches side by side). So a law never branches on a value: it writes `select(condition, a, b)`;
/// and it calls functions unqualified, never as `std::f`, so that the overload of its number type
/// is found. This header holds the overloads for `double`. Those from the C library are for what
/// is worked out once; a law inside the integrator keeps to `arithmetic.hpp` and `elementary.hpp`.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "layshaft/number/arithmetic.hpp"
#include "layshaft/number/elementary.hpp"

namespace layshaft {

inline constexpr double kPi = std::numbers::pi;

/// Standard acceleration of free fall [m/s^2]. Source: ISO 80000-3, CGPM 1901.
inline constexpr double kStandardGravity = 9.80665;

using std::exp;
using std::log;
using std::tan;
using std::tanh;

/// Position in a table: a whole number for each lane.
using TableIndex = std::size_t;

/// How many of the ascending `knots[0..count)` lie at or below `x`, less one, kept inside the
/// table: the number of the interval in which `x` falls, the outer intervals reaching on outwards.
template <class Knots>
[[nodiscard]] TableIndex interval_of(const Knots& knots, std::size_t count, double x) {
  TableIndex index = 0;
  for (std::size_t k = 1; k + 1 < count; ++k) index += (x >= knots[k]) ? 1U : 0U;
  return index;
}

/// Entry of a table at a position found by `interval_of`.
template <class Entries>
[[nodiscard]] double look_up(const Entries& entries, TableIndex index) {
  return entries[index];
}

/// f(x...): on dual numbers differentiated in these few variables only, which then take their own
/// slopes along (`dual.hpp`).
template <class Function, class Real, class... Same>
[[nodiscard]] constexpr Real through(const Function& f, const Real& x, const Same&... more) {
  return f(x, more...);
}

}  // namespace layshaft
