#pragma once

/// Square of a speed over the distance along a lap.
///
/// A uniform cubic B-spline through a ring of values: twice continuously differentiable, within the
/// least and the largest of the four values around a place, and a straight line where they are.
///
/// Source: C. de Boor, A Practical Guide to Splines, ch. IX-XI.

#include <vector>

#include "layshaft/number/dual.hpp"

namespace layshaft {

class SpeedCurve {
 public:
  /// `squares` [m^2/s^2], evenly spaced over a lap of `length` [m]; at least four.
  SpeedCurve(double length, std::vector<double> squares);

  /// Square of the speed [m^2/s^2] with its first three derivatives in the distance.
  struct Point {
    double square;
    double slope;       ///< [m/s^2]
    double bend;        ///< [1/s^2]
    double bend_slope;  ///< [1/(m*s^2)]; jumps at each of the values.
  };
  /// At a distance [m], which may lie any number of laps on or back.
  [[nodiscard]] Point at(double distance) const;

 private:
  double per_step_;              // Grid points for each metre.
  std::vector<double> squares_;  // With one before and two after the lap.
};

/// `SpeedCurve::Point` as far as a driver looks, in the number type of the distance.
template <class Real>
struct SpeedAim {
  Real square, slope, bend;
};

[[nodiscard]] inline SpeedAim<double> speed_aim(const SpeedCurve& curve, double distance) {
  const SpeedCurve::Point point = curve.at(distance);
  return {point.square, point.slope, point.bend};
}
template <std::size_t Variables>
[[nodiscard]] SpeedAim<Dual<double, Variables>> speed_aim(const SpeedCurve& curve,
                                                          const Dual<double, Variables>& distance) {
  const SpeedCurve::Point point = curve.at(distance.value);
  return {distance.chain(point.square, point.slope), distance.chain(point.slope, point.bend),
          distance.chain(point.bend, point.bend_slope)};
}

}  // namespace layshaft
