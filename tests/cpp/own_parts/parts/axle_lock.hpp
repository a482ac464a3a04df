#pragma once

/// A viscous lock between the axles: a torque in proportion to the difference of their speeds.

#include "layshaft/car/own_fields.hpp"
#include "layshaft/network/part.hpp"
#include "layshaft/number/arithmetic.hpp"

namespace layshaft::parts {

struct AxleLock : Part {
  struct Settings {
    double damping;  ///< [N*m*s]
    bool operator==(const Settings&) const = default;
  };
  static constexpr std::array fields{OwnField<Settings>{
      "axle_lock.damping", "N*m*s", 2e-3, 0.0, 0.1,
      "Torque of the lock per difference of the axles' speeds", &Settings::damping}};
  static constexpr std::array reads{state("rear"), state("front")};
  static constexpr std::array gives{force("rear"), force("front")};
  static constexpr std::array accounts{
      AccountRow{"lock_loss", "J", Flow::loss, "Heat of the lock so far"}};
  static constexpr std::array sees = reads;
  static constexpr std::array books{adds_to("lock_loss")};

  template <class Real>
  struct Law {
    Real damping;  ///< [N*m*s]
  };
  static Law<double> law_of(const auto& car, const auto&) {
    return {std::get<Settings>(car.own).damping};
  }

  template <class X>
  static std::array<X, 2> run(const auto& law, const auto&, const std::array<X, 2>& in) {
    const X torque = law.damping * (in[1] - in[0]);
    return {torque, -torque};
  }
  template <class X>
  static std::array<X, 1> book(const auto& law, const std::array<X, 2>& in) {
    return {law.damping * square(in[1] - in[0])};
  }
};

}  // namespace layshaft::parts
