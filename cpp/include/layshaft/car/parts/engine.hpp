#pragma once

/// The engine with its crank: torque from speed and throttle, fuel and work (`laws/engine.hpp`).

#include "layshaft/car/car_law.hpp"
#include "layshaft/laws/engine.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct Engine : Part {
  static constexpr std::array nodes{Row{"crank", "rad/s", 1000.0, "Engine speed"}};
  static constexpr std::array reads{state("crank"), state("throttle")};
  static constexpr std::array gives{force("crank")};
  static constexpr std::array accounts{
      AccountRow{"fuel", "kg", Flow::none, "Fuel burnt so far"},
      AccountRow{"engine_work", "J", Flow::source, "Work of the engine so far"}};
  static constexpr std::array sees{state("crank"), state("throttle"), force("crank")};
  static constexpr std::array books{adds_to("fuel"), adds_to("engine_work")};

  template <class Real>
  struct Law {
    EngineLaw<Real> engine;
    Real inertia;  ///< [kg*m^2]
  };
  static Law<double> law_of(const Car& car, const CarLaw& of) {
    return {of.engine, car.engine.inertia};
  }
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.inertia}; }

  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 2>& in) {
    const auto& [crank, throttle] = in;
    return {engine_torque(law.engine, crank, throttle)};
  }
  template <class X>
  static std::array<X, 2> book(const auto& law, const std::array<X, 3>& in) {
    const auto& [crank, throttle, torque] = in;
    return {fuel_mass_flow(law.engine, crank, throttle), torque * crank};
  }
};

}  // namespace layshaft::parts
