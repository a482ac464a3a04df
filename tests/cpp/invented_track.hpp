#pragma once

/// Tracks and cars for the tests of laps. All numbers are invented.

#include <cmath>
#include <initializer_list>
#include <string_view>
#include <utility>
#include <vector>

#include "layshaft/car/fields.hpp"
#include "layshaft/car/track_car.hpp"
#include "trial_car.hpp"

namespace layshaft::testing {

/// Straights and corners, each corner with a metre of rising and of falling curvature.
class TrackBuilder {
 public:
  TrackBuilder& straight(double length, double grip = 1.0, double grade = 0.0) {
    pieces_.push_back({length, {}, grip, grade});
    return *this;
  }
  TrackBuilder& corner(double radius, double degrees, double grip = 1.0) {
    constexpr double kBlend = 1.0;  // [m]
    const double curvature = (degrees > 0.0 ? 1.0 : -1.0) / radius;
    const double arc = std::abs(degrees) * kPi / 180.0 * radius - kBlend;
    pieces_.push_back({kBlend, {0.0, curvature / kBlend}, grip, 0.0});
    pieces_.push_back({arc, {curvature}, grip, 0.0});
    pieces_.push_back({kBlend, {curvature, -curvature / kBlend}, grip, 0.0});
    return *this;
  }
  [[nodiscard]] Track build() const { return Track(pieces_); }

 private:
  std::vector<TrackPiece> pieces_;
};

/// A tight lap with a straight and corners both ways.
[[nodiscard]] inline Track tight_track() {
  return TrackBuilder()
      .straight(45.0)
      .corner(4.0, 180.0)
      .straight(18.0)
      .corner(6.0, -90.0)
      .straight(14.0)
      .corner(3.5, 180.0)
      .straight(28.0)
      .corner(8.0, 90.0)
      .straight(12.0)
      .build();
}

/// The piece from `from` on, of this length.
[[nodiscard]] inline TrackPiece part_of(const TrackPiece& piece, double from, double length) {
  const auto& c = piece.curvature;
  return {length,
          {c[0] + from * (c[1] + from * (c[2] + from * c[3])),
           c[1] + from * (2.0 * c[2] + 3.0 * from * c[3]), c[2] + 3.0 * from * c[3], c[3]},
          piece.grip,
          piece.grade};
}

/// The same track with its line further on.
[[nodiscard]] inline Track with_line_at(const Track& track, double distance) {
  const std::size_t cut = track.piece_at(distance);
  const auto& pieces = track.pieces();
  const double from = distance - track.begin(cut);
  std::vector<TrackPiece> moved{part_of(pieces[cut], from, pieces[cut].length - from)};
  for (std::size_t k = 1; k < pieces.size(); ++k) {
    moved.push_back(pieces[(cut + k) % pieces.size()]);
  }
  moved.push_back(part_of(pieces[cut], 0.0, from));
  return Track(std::move(moved));
}

/// The nearest place where the speed plan has the same grid.
[[nodiscard]] inline double on_grid(const Track& track, double distance) {
  const double step = track.length() / std::ceil(track.length() / kSpeedGrid);
  return step * std::round(distance / step);
}

/// Two straights and two half circles, with rising and falling curvature over `blend` [m].
[[nodiscard]] inline Track oval(double straight, double radius, double blend) {
  const double curvature = 1.0 / radius;
  std::vector<TrackPiece> pieces;
  for (int half = 0; half < 2; ++half) {
    pieces.push_back({straight, {}, 1.0, 0.0});
    pieces.push_back({blend, {0.0, curvature / blend}, 1.0, 0.0});
    pieces.push_back({kPi * radius - blend, {curvature}, 1.0, 0.0});
    pieces.push_back({blend, {curvature, -curvature / blend}, 1.0, 0.0});
  }
  return Track(std::move(pieces));
}

/// A single corner of constant radius, all round.
[[nodiscard]] inline Track ring(double radius) {
  return Track({{2.0 * kPi * radius, {1.0 / radius}, 1.0, 0.0}});
}

[[nodiscard]] inline Car with_fields(
    Car car, std::initializer_list<std::pair<std::string_view, double>> changes) {
  for (const auto& [path, value] : changes) car = with_field(car, path, value);
  return car;
}

/// A car without losses, drag or lag, whose tyres have one friction coefficient and hardly slip; it
/// stays in first gear.
[[nodiscard]] inline Car plain_car(double friction) {
  return with_fields(trial_car(), {{"rear_tyre.friction_peak", friction},
                                   {"front_tyre.friction_peak", friction},
                                   {"rear_tyre.load_sensitivity", 0.0},
                                   {"front_tyre.load_sensitivity", 0.0},
                                   {"rear_tyre.rolling_resistance", 0.0},
                                   {"front_tyre.rolling_resistance", 0.0},
                                   {"rear_tyre.growth", 0.0},
                                   {"front_tyre.growth", 0.0},
                                   {"rear_tyre.stiffness_factor", 200.0},
                                   {"front_tyre.stiffness_factor", 200.0},
                                   // Rolls alike in front and behind: 18 to 45 and 18 to 42 teeth.
                                   {"rear_tyre.radius", 0.036},
                                   {"front_tyre.radius", 0.036 * 42.0 / 45.0},
                                   {"body.drag_area", 0.0},
                                   {"body.downforce_area", 0.0},
                                   {"shafts.drag", 0.0},
                                   {"first.loss", 1.0},
                                   {"first.efficiency", 1.0},
                                   {"second.loss", 1.0},
                                   {"second.efficiency", 1.0},
                                   {"belts.rear.efficiency", 1.0},
                                   {"belts.middle.efficiency", 1.0},
                                   {"belts.front.efficiency", 1.0},
                                   {"two_speed.gap", 0.003},
                                   {"driver.response_time", 0.002},
                                   {"driver.anticipation", 0.0},
                                   {"driver.slip_target", 10.0}});
}

/// All that moves with the car in first gear, its clutch locked.
struct MovingMass {
  double mass;   ///< Seen at the road [kg].
  double crank;  ///< Engine speed over car speed [rad/m].
};

[[nodiscard]] inline MovingMass moving_mass(const TrackCar& plant) {
  const CarLaw& law = plant.law(0);
  const auto& inertia = plant.network().inertia;
  const double shaft = law.rear_ratio / law.rear_tyre.radius;
  const double crank = shaft * law.first_ratio;
  return {law.mass + inertia(node::rear) / square(law.rear_tyre.radius) +
              inertia(node::front) / square(law.front_tyre.radius) +
              square(shaft) * inertia(node::shaft) +
              square(crank) * (inertia(node::bell) + inertia(node::crank)),
          crank};
}

}  // namespace layshaft::testing
