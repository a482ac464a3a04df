#pragma once

/// A viscous lock between the axles: a torque in proportion to the difference of their speeds.

#include "layshaft/car/car_law.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct AxleLock : Part {
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
  static Law<double> law_of(const Car&, const CarLaw&) { return {2e-3}; }

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
