#pragma once

/// Brake and bearing drag on the two-speed shaft: friction to the ground, so that a car at rest
/// stays where it is. Its slip, the shaft's own speed, tells the way of travel.

#include "layshaft/car/car_law.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct Brake : Part {
  static constexpr std::array couplings{
      CouplingRow{"brake", 1.0, 300.0, "Brake and bearing drag", {"shaft"}}};
  static constexpr std::array reads{signal("brake_pedal")};
  static constexpr std::array gives{capacity("brake")};
  static constexpr std::array holds = gives;
  static constexpr std::array accounts{
      AccountRow{"brake_loss", "J", Flow::loss, "Heat of brake and bearing drag so far"}};
  static constexpr std::array sees{torque("brake"), state("shaft")};
  static constexpr std::array books{adds_to("brake_loss")};

  template <class Real>
  struct Law {
    Real torque;        ///< With the pedal down [N*m].
    Real static_ratio;  ///< Torque held at rest over the sliding one [-], >= 1.
    Real drag;          ///< Of the bearings [N*m].
  };
  static Law<double> law_of(const Car&, const CarLaw& of) {
    return {of.brake_torque, of.brake_static_ratio, of.shaft_drag};
  }
  static std::array<JoinedRow, 1> rows(const Law<double>&) { return {JoinedRow{.slip = {1.0}}}; }

  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 1>& in) {
    return {law.torque * in[0] + law.drag};
  }
  template <class X>
  static std::array<X, 1> hold(const auto& law, const auto&, const std::array<X, 1>& in) {
    return {law.torque * law.static_ratio * in[0] + law.drag};
  }
  template <class X>
  static std::array<X, 1> book(const auto&, const std::array<X, 2>& in) {
    return {in[0] * in[1]};
  }
};

}  // namespace layshaft::parts
