#pragma once

/// A second brake, on the front axle: friction to the ground, worked by the same pedal.

#include "layshaft/car/own_fields.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct FrontBrake : Part {
  struct Settings {
    double torque;  ///< With the pedal down [N*m].
    bool operator==(const Settings&) const = default;
  };
  static constexpr std::array fields{
      OwnField<Settings>{"front_brake.torque", "N*m", 0.6, 0.0, 5.0,
                         "Torque of the front brake, pedal pressed fully", &Settings::torque}};
  static constexpr std::array couplings{
      CouplingRow{"front_brake", 1.0, 100.0, "Front brake", {"front"}}};
  static constexpr std::array reads{signal("brake_pedal")};
  static constexpr std::array gives{capacity("front_brake")};
  static constexpr std::array accounts{
      AccountRow{"front_brake_loss", "J", Flow::loss, "Heat of the front brake so far"}};
  static constexpr std::array sees{torque("front_brake"), state("front")};
  static constexpr std::array books{adds_to("front_brake_loss")};

  template <class Real>
  struct Law {
    Real torque;  ///< With the pedal down [N*m].
  };
  static Law<double> law_of(const auto& car, const auto&) {
    return {std::get<Settings>(car.own).torque};
  }
  static std::array<JoinedRow, 1> rows(const Law<double>&) { return {JoinedRow{.slip = {1.0}}}; }

  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 1>& in) {
    return {law.torque * in[0]};
  }
  template <class X>
  static std::array<X, 1> book(const auto&, const std::array<X, 2>& in) {
    return {in[0] * in[1]};
  }
};

}  // namespace layshaft::parts
