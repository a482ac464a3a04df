#pragma once

/// What going round a corner takes of the tyres' grip, and how it holds the car back
/// (`laws/grip.hpp`). The acceleration that turns the car is that which the load has followed.

#include "layshaft/car/car_law.hpp"
#include "layshaft/car/track.hpp"
#include "layshaft/car/turn_curve.hpp"
#include "layshaft/laws/grip.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct Corner : Part {
  static constexpr std::array signals{
      Row{"rear_left", "1", 1.0, "Share of the rear tyres' force that the corner leaves"},
      Row{"front_left", "1", 1.0, "Share of the front tyres' force that the corner leaves"},
      Row{"corner_drag", "N", 10.0, "Drag of the corner, of the sign of the car's speed"}};
  static constexpr std::array reads{signal("rear_load"), signal("front_load"), state("car"),
                                    state("distance"), state("load_transfer")};
  static constexpr std::array gives{signal("rear_left"), signal("front_left"),
                                    signal("corner_drag"), force("car")};
  static constexpr std::array sees{signal("corner_drag"), state("car")};
  static constexpr std::array books{adds_to("cornering_loss")};

  template <class Real>
  struct Law {
    YawLaw<Real> yaw;
    Real per_transfer;  ///< Acceleration over the load moved [1/kg].
    Real of_grade;      ///< What of that the grade moves [m/s^2].
    TyreLaw<Real> rear_tyre, front_tyre;
    Real rear_stiffness, front_stiffness;  ///< Sideways [1/rad].
  };
  static Law<double> law_of(const Car&, const CarLaw& of) {
    return {of.yaw,        1.0 / (of.lever * of.mass),  of.grade_force / of.mass,    of.rear_tyre,
            of.front_tyre, of.rear_cornering_stiffness, of.front_cornering_stiffness};
  }
  /// The piece of track under the car.
  template <class Real>
  struct Active {
    Real begin;                       ///< [m]
    std::array<Real, 4> curvature{};  ///< As `TrackPiece::curvature`.
    const TurnCurve* turn = nullptr;  ///< Of the whole track.
  };

  template <class X>
  static std::array<X, 4> run(const auto& law, const auto& active, const std::array<X, 5>& in) {
    const auto& [rear_load, front_load, car, distance, transfer] = in;
    const X along = distance - active.begin;
    const SidewaysForces<X> forces = sideways_forces(
        law.yaw, Turn<X>{X(car * car), piece_curvature(active.curvature, along),
                         active.turn->at(distance), X(law.per_transfer * transfer - law.of_grade)});
    const X rear = forces.rear / rear_load;
    const X front = forces.front / front_load;
    const X rear_most = tyre_friction(law.rear_tyre, rear_load);
    const X front_most = tyre_friction(law.front_tyre, front_load);
    const X drag = cornering_drag(law.rear_stiffness, rear, rear_most, rear_load) +
                   cornering_drag(law.front_stiffness, front, front_most, front_load);
    const X against = drag * rolling_share(car);
    return {grip_left(rear, rear_most), grip_left(front, front_most), against, -against};
  }
  template <class X>
  static std::array<X, 1> book(const auto&, const std::array<X, 2>& in) {
    return {in[0] * in[1]};
  }
};

}  // namespace layshaft::parts
