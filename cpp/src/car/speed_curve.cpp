#include "layshaft/car/speed_curve.hpp"

#include <algorithm>
#include <cmath>

#include "layshaft/number/bounds.hpp"

namespace layshaft {

SpeedCurve::SpeedCurve(double length, std::vector<double> squares) : squares_(std::move(squares)) {
  require(squares_.size() >= 4, "SpeedCurve", "squares", static_cast<double>(squares_.size()),
          "at least 4");
  per_step_ = static_cast<double>(squares_.size()) / length;
  const double last = squares_.back();
  const double first = squares_[0];
  const double second = squares_[1];
  squares_.insert(squares_.begin(), last);
  squares_.push_back(first);
  squares_.push_back(second);
}

SpeedCurve::Point SpeedCurve::at(double distance) const {
  const auto count = static_cast<double>(squares_.size() - 3);
  double place = distance * per_step_;
  place -= count * std::floor(place / count);
  const auto left = std::min(static_cast<std::size_t>(place), squares_.size() - 4);
  const double t = place - static_cast<double>(left);
  const double s = 1.0 - t;
  const double* const p = &squares_[left];
  return {(s * s * s * p[0] + (3.0 * t * t * t - 6.0 * t * t + 4.0) * p[1] +
           (3.0 * s * s * s - 6.0 * s * s + 4.0) * p[2] + t * t * t * p[3]) /
              6.0,
          0.5 * per_step_ *
              (-s * s * p[0] + (3.0 * t * t - 4.0 * t) * p[1] - (3.0 * s * s - 4.0 * s) * p[2] +
               t * t * p[3]),
          per_step_ * per_step_ *
              (s * p[0] + (3.0 * t - 2.0) * p[1] + (3.0 * s - 2.0) * p[2] + t * p[3]),
          per_step_ * per_step_ * per_step_ * (p[3] - p[0] - 3.0 * (p[2] - p[1]))};
}

}  // namespace layshaft
