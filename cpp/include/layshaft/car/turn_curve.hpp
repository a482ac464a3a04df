#pragma once

/// How fast the curvature that a car turns by changes along a track.
///
/// Both axles keep to the line, so the heading is that of the chord between them, and the yaw rate
/// over the speed is the mean curvature from `behind` the centre of mass to `ahead` of it:
///     d(yaw rate/speed)/ds = (curvature(s + ahead) - curvature(s - behind))/(ahead + behind),
/// which stays finite however short the blend of a corner is.
///
/// Source: geometry of a chord, for a wheelbase much shorter than the radius.

#include <algorithm>
#include <cmath>
#include <vector>

#include "layshaft/car/car_law.hpp"
#include "layshaft/car/speed_curve.hpp"
#include "layshaft/car/track.hpp"

namespace layshaft {

class TurnCurve {
 public:
  TurnCurve(const Track& track, const CarLaw& law)
      : spline_(track.length(), values(track, (1.0 - law.loading.front_share) * law.wheelbase,
                                       law.loading.front_share * law.wheelbase)) {}

  /// [1/m^2] at a distance [m], which may lie any number of laps on or back.
  template <class Real>
  [[nodiscard]] Real at(const Real& distance) const {
    return speed_aim(spline_, distance).square;
  }

 private:
  static std::vector<double> values(const Track& track, double ahead, double behind) {
    constexpr double kGrid = 0.025;  // [m], a tenth of a wheelbase or less.
    const auto count = static_cast<std::size_t>(std::max(std::ceil(track.length() / kGrid), 4.0));
    std::vector<double> slopes;
    for (std::size_t k = 0; k < count; ++k) {
      const double here = track.length() * static_cast<double>(k) / static_cast<double>(count);
      slopes.push_back((track.curvature_at(here + ahead) - track.curvature_at(here - behind)) /
                       (ahead + behind));
    }
    return slopes;
  }

  SpeedCurve spline_;  // Of what is no speed here.
};

}  // namespace layshaft
