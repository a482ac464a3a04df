#pragma once

/// What going round a corner takes of the tyres' grip, and how it holds the car back
/// (`laws/grip.hpp`).

#include "layshaft/car/car_law.hpp"
#include "layshaft/car/track.hpp"
#include "layshaft/laws/grip.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct Corner : Part {
  static constexpr std::array signals{
      Row{"rear_left", "1", 1.0, "Share of the rear tyres' force that the corner leaves"},
      Row{"front_left", "1", 1.0, "Share of the front tyres' force that the corner leaves"},
      Row{"corner_drag", "N", 10.0, "Drag of the corner, of the sign of the car's speed"}};
  static constexpr std::array reads{signal("rear_load"), signal("front_load"), state("car"),
                                    state("distance")};
  static constexpr std::array gives{signal("rear_left"), signal("front_left"),
                                    signal("corner_drag"), force("car")};
  static constexpr std::array sees{signal("corner_drag"), state("car")};
  static constexpr std::array books{adds_to("cornering_loss")};

  template <class Real>
  struct Law {
    Real mass;  ///< [kg]
    TyreLaw<Real> rear_tyre, front_tyre;
  };
  static Law<double> law_of(const Car&, const CarLaw& of) {
    return {of.mass, of.rear_tyre, of.front_tyre};
  }
  /// The piece of track under the car.
  template <class Real>
  struct Active {
    Real begin;                       ///< [m]
    std::array<Real, 4> curvature{};  ///< As `TrackPiece::curvature`.
  };

  template <class X>
  static std::array<X, 4> run(const auto& law, const auto& active, const std::array<X, 4>& in) {
    const auto& [rear_load, front_load, car, distance] = in;
    const X curvature = piece_curvature(active.curvature, X(distance - active.begin));
    const X friction = lateral_friction(law.mass, car, curvature, X(rear_load + front_load));
    const X drag = cornering_drag(law.rear_tyre.stiffness_factor, friction, rear_load) +
                   cornering_drag(law.front_tyre.stiffness_factor, friction, front_load);
    const X against = select(car < X(0.0), X(-drag), drag);
    return {grip_left(friction, tyre_friction(law.rear_tyre, rear_load)),
            grip_left(friction, tyre_friction(law.front_tyre, front_load)), against, -against};
  }
  template <class X>
  static std::array<X, 1> book(const auto&, const std::array<X, 2>& in) {
    return {in[0] * in[1]};
  }
};

}  // namespace layshaft::parts
