#pragma once

/// A smooth curve through up to sixteen measured points that never overshoots them.
///
/// Between two knots the curve is a cubic; it rises where the points rise, falls where they fall
/// and is flat at a point that stands above or below both neighbours. Outside the knots it goes on
/// as a straight line with the slope it has at the end. Value and slope are continuous everywhere.
///
/// Law: y = c0 + c1 t + c2 t^2 + c3 t^3, t = x - knot. Slope at an inner knot: the weighted
/// harmonic mean of the neighbouring secants, 0 where they differ in sign; at an end: the one-sided
/// three-point formula, limited so that the shape is kept.
///
/// Source (from memory): F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300, for
/// the slopes; F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238, for
/// monotonicity.

#include <array>
#include <cstddef>
#include <span>

#include "layshaft/number/real.hpp"

namespace layshaft {

inline constexpr std::size_t kMaxKnots = 16;

/// Points of a curve. Entries from `count` on are not used; keep them 0 so that equal curves
/// compare equal.
struct Curve {
  std::size_t count;                ///< Points in use [-], 2 to 16.
  std::array<double, kMaxKnots> x;  ///< Abscissas, each 1e-9 or more above the last.
  std::array<double, kMaxKnots> y;  ///< Ordinates, unit of the quantity.
  bool operator==(const Curve&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const Curve& curve);

/// The curve through the points (x[k], y[k]). Throws std::invalid_argument if the points are fewer
/// than 2, more than 16, not finite, not ascending, or if the lengths differ.
[[nodiscard]] Curve make_curve(std::span<const double> x, std::span<const double> y);

/// Hoisted coefficients. Piece 0 is the straight line before the first knot, piece k the one that
/// starts at knot k - 1; the piece after the last knot is straight again. Pieces never reached
/// start at a huge abscissa.
template <class Real>
struct CurveLaw {
  std::array<Real, kMaxKnots + 2> starts;     ///< Where each piece is expanded; see make_curve_law.
  std::array<Real, kMaxKnots + 1> constant;   ///< c0 of each piece.
  std::array<Real, kMaxKnots + 1> linear;     ///< c1.
  std::array<Real, kMaxKnots + 1> quadratic;  ///< c2.
  std::array<Real, kMaxKnots + 1> cubic;      ///< c3.
};

[[nodiscard]] CurveLaw<double> make_curve_law(const Curve& curve);

/// Value of the curve at x.
template <class Coefficient, class Real>
[[nodiscard]] Real curve_value(const CurveLaw<Coefficient>& law, const Real& x) {
  const auto piece = interval_of(law.starts, law.starts.size(), x);
  const Real t = x - look_up(law.starts, piece);
  return look_up(law.constant, piece) +
         t * (look_up(law.linear, piece) +
              t * (look_up(law.quadratic, piece) + t * look_up(law.cubic, piece)));
}

}  // namespace layshaft
