#include "layshaft/car/speed_curve.hpp"

#include <algorithm>
#include <cmath>

#include "layshaft/laws/grip.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

// Both axles' grip along the road [N], its lesser friction [-], and what holds the car back.
struct Braked {
  double load;                  // Both axles [N].
  double grip;                  // Of the axles that the brake reaches [N].
  double friction;              // The lesser of both [-].
  double rolling;               // [N]
  double cornering_per_square;  // Over the square of the friction used sideways [N].
};

Braked braked_at(const DrivetrainLaw<double>& law, double speed_squared, double deceleration) {
  const double load = law.weight + law.downforce * speed_squared;
  const double front_load =
      std::max(law.front_share * load + law.lever * law.mass * deceleration, 0.0);
  const double rear_load = std::max(load - front_load, 0.0);
  const double rear = tyre_friction(law.rear_tyre, rear_load);
  const double front = tyre_friction(law.front_tyre, front_load);
  // A one-way front axle runs free under the brake.
  const bool both = law.front_back_jump > 0.0;
  return {load, rear * rear_load + (both ? front * front_load : 0.0), std::min(rear, front),
          rolling_drag(law.rear_tyre, rear_load) + rolling_drag(law.front_tyre, front_load),
          cornering_drag(law.rear_tyre.stiffness_factor, 1.0, rear_load) +
              cornering_drag(law.front_tyre.stiffness_factor, 1.0, front_load)};
}

constexpr int kSettling = 4;  // Rounds for the load that braking moves; each gains two digits.

}  // namespace

void validate(const TrackDriver& driver) {
  const auto check = [](bool good, const char* field, double value, const char* bound) {
    require(good, "TrackDriver", field, value, bound);
  };
  check(driver.corner_share >= 0.3 && driver.corner_share <= 1.0, "corner_share",
        driver.corner_share, "from 0.3 to 1");
  check(driver.brake_share >= 0.1 && driver.brake_share <= 1.0, "brake_share", driver.brake_share,
        "from 0.1 to 1");
  check(driver.release_time >= 0.0 && driver.release_time <= 2.0, "release_time",
        driver.release_time, "from 0 to 2");
  check(driver.speed_band >= 0.05 && driver.speed_band <= 5.0, "speed_band", driver.speed_band,
        "from 0.05 to 5");
}

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
              (s * p[0] + (3.0 * t - 2.0) * p[1] + (3.0 * s - 2.0) * p[2] + t * p[3])};
}

double corner_limit_squared(const DrivetrainLaw<double>& law, double curvature, double share) {
  // Friction falls with load and load grows with speed: repeated until both agree.
  constexpr int kRounds = 12;
  double squared = 0.0;
  for (int round = 0; round < kRounds; ++round) {
    const double friction = share * braked_at(law, squared, 0.0).friction;
    squared =
        std::min(corner_speed_squared(friction, law.mass, law.weight, law.downforce, curvature),
                 kFastestAim * kFastestAim);
  }
  return squared;
}

double brake_deceleration(const DrivetrainLaw<double>& law, double curvature, double speed_squared,
                          double share) {
  double deceleration = 0.0;
  for (int round = 0; round < kSettling; ++round) {
    const Braked braked = braked_at(law, speed_squared, deceleration);
    const double sideways =
        lateral_friction(law.mass, std::sqrt(speed_squared), curvature, braked.load);
    const double held = share * braked.grip * grip_left(sideways, braked.friction) +
                        law.drag * speed_squared + law.grade_force + braked.rolling +
                        braked.cornering_per_square * square(sideways);
    deceleration = held / law.mass;
  }
  return deceleration;
}

SpeedCurve make_speed_curve(const Track& track, std::span<const DrivetrainLaw<double>> laws,
                            const TrackDriver& driver, std::span<const double> cares) {
  const auto count =
      static_cast<std::size_t>(std::max(std::ceil(track.length() / kSpeedGrid), 4.0));
  const double step = track.length() / static_cast<double>(count);
  const std::vector<Corner> corners = track.corners();
  std::vector<double> squares(count);
  std::vector<double> shares(count, driver.brake_share);
  std::size_t corner = 0;
  for (std::size_t k = 0; k < count; ++k) {
    const double distance = static_cast<double>(k) * step;
    // From the end of the corner before to its own end.
    while (corner < corners.size() && distance > corners[corner].end) ++corner;
    const double care = cares.empty() ? 1.0 : cares[corner % cares.size()];
    shares[k] *= care;
    squares[k] = corner_limit_squared(laws[track.piece_at(distance)], track.curvature_at(distance),
                                      driver.corner_share * care);
  }
  const auto capability = [&](std::size_t k, double square) {
    const double middle = (static_cast<double>(k) + 0.5) * step;
    return brake_deceleration(laws[track.piece_at(middle)], track.curvature_at(middle), square,
                              shares[k]);
  };
  // Twice round, so that the second time the line is crossed with the right speed.
  double braking = 0.0;
  for (std::size_t back = 2 * count; back-- > 0;) {
    const std::size_t k = back % count;
    const double after = squares[(k + 1) % count];
    const double full = capability(k, after + step * capability(k, after));
    const double grown =
        braking + full * step / (std::sqrt(after) * std::max(driver.release_time, 1e-9));
    const double reach = after + 2.0 * step * std::min(full, grown);
    squares[k] = std::min(squares[k], reach);
    braking = std::max(0.5 * (squares[k] - after) / step, 0.0);
  }
  return {track.length(), std::move(squares)};
}

}  // namespace layshaft
