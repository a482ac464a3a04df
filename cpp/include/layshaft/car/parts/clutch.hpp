#pragma once

/// The engine clutch with its bell: presses above a crank speed, fades with heat
/// (`laws/engine_clutch.hpp`, `laws/heat.hpp`).
///
/// Slip: crank - bell; a positive torque drives the bell.

#include "layshaft/car/car_law.hpp"
#include "layshaft/laws/engine_clutch.hpp"
#include "layshaft/laws/heat.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct Clutch : Part {
  static constexpr std::array nodes{Row{"bell", "rad/s", 1000.0, "Speed of the clutch bell"}};
  static constexpr std::array couplings{
      CouplingRow{"clutch", 0.3, 1000.0, "Engine clutch", {"crank", "bell"}}};
  static constexpr std::array switches{Row{"clutch", "1", 1.0, "Engine clutch"}};
  static constexpr std::array reads{state("crank"), state("clutch_surface")};
  static constexpr std::array gives{capacity("clutch")};
  static constexpr std::array holds = gives;
  static constexpr std::array watches{state("crank")};
  static constexpr std::array accounts{
      AccountRow{"clutch_loss", "J", Flow::loss, "Slip heat of the engine clutch so far"}};
  static constexpr std::array sees{torque("clutch"), state("crank"), state("bell")};
  static constexpr std::array books{adds_to("clutch_loss")};

  template <class Real>
  struct Law {
    ClutchLaw<Real> clutch;
    HeatLaw<Real> heat;
    Real air_temperature;  ///< [K]
    Real guard_scale;      ///< Square of the engagement speed, at least 1 [rad^2/s^2].
    Real bell_inertia;     ///< Bell, and what turns with it at its own ratio [kg*m^2].
  };
  template <class Real>
  struct Active {
    Real side;  ///< +1 where the clutch presses, else -1.
  };
  static Law<double> law_of(const Car& car, const CarLaw& of) {
    return {of.clutch, of.clutch_heat, of.air_temperature,
            max(abs(of.clutch.engagement_speed_squared), 1.0),
            car.clutch.bell_inertia + car.shafts.first_spur_inertia / square(of.first_ratio) +
                car.shafts.drum_inertia / square(of.second_ratio)};
  }
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.bell_inertia}; }
  static std::array<JoinedRow, 1> rows(const Law<double>&) {
    return {JoinedRow{.slip = {1.0, -1.0}}};
  }
  static Active<double> activate(const Law<double>&, const std::array<std::int16_t, 1>& at) {
    return {at[0] == 1 ? 1.0 : -1.0};
  }
  static bool is_open(const Law<double>&, int, const std::array<std::int16_t, 1>& at) {
    return at[0] == 0;
  }

  // Not clamped: whether the clutch presses is a switch, frozen during a step.
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 2>& in) {
    const auto& [crank, rise] = in;
    const X ratio = friction_ratio(law.heat, X(law.air_temperature + rise));
    return {law.clutch.gain * ratio * clutch_excess(law.clutch, crank)};
  }
  template <class X>
  static std::array<X, 1> hold(const auto& law, const auto& active, const std::array<X, 2>& in) {
    return {run(law, active, in)[0] * law.clutch.static_ratio};
  }
  template <class X>
  static std::array<X, 1> guard(const auto& law, const auto& active, const std::array<X, 1>& in) {
    return {active.side * (clutch_excess(law.clutch, in[0]) / law.guard_scale)};
  }
  template <class X>
  static std::array<X, 1> book(const auto&, const std::array<X, 3>& in) {
    const auto& [torque, crank, bell] = in;
    return {torque * (crank - bell)};
  }
};

}  // namespace layshaft::parts
