#pragma once

/// Square of a speed over the distance along a lap.
///
/// A uniform cubic B-spline through a ring of values: twice continuously differentiable, within the
/// least and the largest of the four values around a place, and a straight line where they are.
///
/// Source: C. de Boor, A Practical Guide to Splines, ch. IX-XI.

#include <vector>

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

}  // namespace layshaft
