#pragma once

/// The car as a mass on the road: air, grade and rolling drag.

#include "layshaft/car/car_law.hpp"
#include "layshaft/laws/tyre.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct Body : Part {
  static constexpr std::array nodes{Row{"car", "m/s", 10.0, "Speed of the car"}};
  static constexpr std::array reads{state("car")};
  static constexpr std::array gives{force("car"), force("car")};  // air, then grade
  static constexpr std::array accounts{
      AccountRow{"distance", "m", Flow::none, "Distance covered by the car", "car_distance"},
      AccountRow{"air_loss", "J", Flow::loss, "Work against the air so far"},
      AccountRow{"grade_work", "J", Flow::stored, "Work against the grade so far"}};
  static constexpr std::array sees = reads;
  static constexpr std::array books{adds_to("distance"), adds_to("air_loss"),
                                    adds_to("grade_work")};

  template <class Real>
  struct Law {
    Real mass;         ///< [kg]
    Real drag;         ///< Air drag per square of speed [kg/m].
    Real grade_force;  ///< Weight along the road, positive uphill [N].
  };
  static Law<double> law_of(const Car&, const CarLaw& of) {
    return {of.mass, of.drag, of.grade_force};
  }
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.mass}; }

  template <class X>
  static std::array<X, 2> run(const auto& law, const auto&, const std::array<X, 1>& in) {
    return {-(law.drag * in[0] * abs(in[0])), X(-law.grade_force)};
  }
  template <class X>
  static std::array<X, 3> book(const auto& law, const std::array<X, 1>& in) {
    const X& speed = in[0];
    return {speed, law.drag * speed * speed * abs(speed), law.grade_force * speed};
  }
};

/// Rolling drag of all tyres: friction to the ground, so that a car at rest stays where it is.
struct Rolling : Part {
  static constexpr std::array couplings{CouplingRow{"rolling", 1.0, 10.0, "Rolling drag", {"car"}}};
  static constexpr std::array reads{signal("rear_load"), signal("front_load")};
  static constexpr std::array gives{capacity("rolling")};
  static constexpr std::array accounts{
      AccountRow{"rolling_loss", "J", Flow::loss, "Work against rolling drag so far"}};
  static constexpr std::array sees{torque("rolling"), state("car")};
  static constexpr std::array books{adds_to("rolling_loss")};

  template <class Real>
  struct Law {
    Real rear_resistance, front_resistance;  ///< Drag over load [-].
  };
  static Law<double> law_of(const Car&, const CarLaw& of) {
    return {of.rear_tyre.rolling_resistance, of.front_tyre.rolling_resistance};
  }
  static std::array<JoinedRow, 1> rows(const Law<double>&) { return {JoinedRow{.slip = {1.0}}}; }

  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 2>& in) {
    return {law.rear_resistance * max(in[0], X(0.0)) + law.front_resistance * max(in[1], X(0.0))};
  }
  template <class X>
  static std::array<X, 1> book(const auto&, const std::array<X, 2>& in) {
    return {in[0] * in[1]};
  }
};

}  // namespace layshaft::parts
