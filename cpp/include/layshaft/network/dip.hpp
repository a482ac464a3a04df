#pragma once

/// Whether a guard that was positive at all looks along a step fell and rose again between two.
///
/// The cubic through the four looks is judged by its Bernstein coefficients b_0..b_3, between whose
/// least and greatest it lies. It has a least value inside the step where its derivative, with the
/// coefficients 3 (b_k+1 - b_k), rises through zero there. The guard itself is looked at where that
/// happens and the hull comes within a tenth of the cubic's leading coefficient of zero: a margin
/// for what the cubic leaves out, found by comparing some thousand steps with a search in each.
/// Further looks follow at the least values of parabolas. Without roots or divisions up to there,
/// so that lanes judge as a plain run does.
///
/// Source: G. Farin, Curves and Surfaces for CAGD, ch. 4 and 5 (convex hull, derivative).

#include <algorithm>
#include <array>
#include <cmath>

#include "layshaft/network/quadrature.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {

/// Differences of the Bernstein coefficients of the cubic through four looks, and their least.
template <class Real>
struct LookHull {
  Real first, middle, last;  ///< b_1 - b_0, b_2 - b_1, b_3 - b_2.
  Real least;                ///< Of the four coefficients.
  Real leading;              ///< Coefficient of the cube of the share of the step.
};

/// Of the values at the Lobatto points.
template <class Real>
[[nodiscard]] LookHull<Real> look_hull(const Real& v0, const Real& v1, const Real& v2,
                                       const Real& v3) {
  // From the four equations, with the shares (1 -/+ 1/sqrt 5)/2: (sqrt 5 +/- 1)/1.2.
  constexpr double kNear = 2.6967233145831586;
  constexpr double kFar = 1.0300566479164914;
  constexpr double kThird = 1.0 / 3.0;
  const Real b1 = kNear * v1 - kFar * v2 - v0 + kThird * v3;
  const Real b2 = kNear * v2 - kFar * v1 - v3 + kThird * v0;
  const Real first = b1 - v0;
  const Real middle = b2 - b1;
  const Real last = v3 - b2;
  return {first, middle, last, min(min(v0, b1), min(b2, v3)), first - 2.0 * middle + last};
}

/// Whether the guard has to be looked at once more.
template <class Real>
[[nodiscard]] auto may_dip(const LookHull<Real>& hull) {
  constexpr double kMargin = 0.1;
  const auto turns = hull.middle * hull.middle > hull.first * hull.last;
  const auto falls_then_rises = (hull.first < 0.0) & ((hull.last > 0.0) | (hull.middle > 0.0));
  const auto rises_falls_rises = (hull.last > 0.0) & (hull.middle < 0.0);
  return (hull.least <= kMargin * abs(hull.leading)) & turns &
         (falls_then_rises | rises_falls_rises);
}

/// Cheaper than the hull: above zero where `may_dip` says no because the values hardly change. No
/// coefficient lies further outside the values than 2.03 times their range, and the leading one is
/// at most 16.2 times the range.
template <class Real>
[[nodiscard]] Real dip_room(const Real& v0, const Real& v1, const Real& v2, const Real& v3) {
  constexpr double kReach = 3.7;
  const Real low = min(min(v0, v1), min(v2, v3));
  const Real high = max(max(v0, v1), max(v2, v3));
  return low - kReach * (high - low);
}

/// Share of the step at which the cubic is least inside it; only where it turns.
[[nodiscard]] inline double least_share(const LookHull<double>& hull) {
  const double root = std::sqrt(std::max(square(hull.middle) - hull.first * hull.last, 0.0));
  const double bend = hull.first - hull.middle;
  return bend >= 0.0 ? (bend + root) / hull.leading : hull.first / (bend - root);
}

/// A value of a guard at a time [s].
struct GuardPoint {
  double time;
  double value;
};

/// Time at which the parabola through three points turns [s]. The middle one is the lowest.
[[nodiscard]] inline double vertex_time(const GuardPoint& left, const GuardPoint& middle,
                                        const GuardPoint& right) {
  const double before = middle.time - left.time;
  const double after = right.time - middle.time;
  const double fall = (left.value - middle.value) / before;
  const double rise = (right.value - middle.value) / after;
  return middle.time + 0.5 * (fall * after - rise * before) / (fall + rise);
}

/// What a search found.
struct DipSearch {
  bool falls = false;   ///< The lowest look is below the least value asked for.
  bool turns = false;   ///< It is above, and lower than those around it.
  GuardPoint before{};  ///< The look before the lowest.
  GuardPoint lowest{};
};

/// Looks for a value below `least` near the time `guess` [s] between the looks, which are in order
/// of time.
template <class Value>
[[nodiscard]] DipSearch find_dip(const Value& value,
                                 const std::array<GuardPoint, kLobattoPoints>& looks, double guess,
                                 double least) {
  constexpr std::size_t kMostLooks = 6;
  std::array<GuardPoint, kLobattoPoints + kMostLooks> points;
  std::size_t count = kLobattoPoints;
  std::ranges::copy(looks, points.begin());
  DipSearch search;
  for (std::size_t look = 0; look < kMostLooks; ++look) {
    std::size_t after = 1;
    while (after < count && points[after].time < guess) ++after;
    // Written so that a guess that is not a number ends the search as well.
    if (after == count || !(guess > points[after - 1].time && guess < points[after].time)) break;
    const GuardPoint seen{guess, value(guess)};
    if (seen.value < least) return {true, false, points[after - 1], seen};
    for (std::size_t k = count; k > after; --k) points[k] = points[k - 1];
    points[after] = seen;
    ++count;
    const auto lowest = static_cast<std::size_t>(
        std::ranges::min_element(points.begin(), points.begin() + static_cast<long>(count), {},
                                 &GuardPoint::value) -
        points.begin());
    search.turns = lowest > 0 && lowest + 1 < count;
    if (!search.turns) break;
    search.before = points[lowest - 1];
    search.lowest = points[lowest];
    guess = vertex_time(points[lowest - 1], points[lowest], points[lowest + 1]);
  }
  return search;
}

}  // namespace layshaft
