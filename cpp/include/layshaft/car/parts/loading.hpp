#pragma once

/// What presses the car to the road, and how its two axles share it (`laws/axle_loading.hpp`).

#include "layshaft/car/car_law.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct Loading : Part {
  static constexpr std::array signals{
      Row{"rear_load", "N", 10.0, "Load on the rear axle", "rear_axle_load"},
      Row{"front_load", "N", 10.0, "Load on the front axle", "front_axle_load"}};
  static constexpr std::array reads{state("car"), state("load_transfer")};
  static constexpr std::array gives{signal("rear_load"), signal("front_load")};

  template <class Real>
  using Law = LoadingLaw<Real>;
  static Law<double> law_of(const Car&, const CarLaw& of) { return of.loading; }

  template <class X>
  static std::array<X, 2> run(const auto& law, const auto&, const std::array<X, 2>& in) {
    const AxleLoads<X> loads = axle_loads(law, in[0], in[1]);
    return {loads.rear, loads.front};
  }
};

/// The load moved from the front to the rear axle follows the acceleration.
struct LoadTransfer : Part {
  static constexpr std::array states{
      Row{"load_transfer", "N", 5.0, "Load moved from the front to the rear axle"}};
  static constexpr std::array reads{acceleration("car"), state("load_transfer")};
  static constexpr std::array gives{rate("load_transfer")};

  template <class Real>
  struct Law {
    Real lever;        ///< Centre height over wheelbase [-].
    Real mass;         ///< [kg]
    Real grade_force;  ///< [N]
    Real rate;         ///< One over its time [1/s].
  };
  static Law<double> law_of(const Car&, const CarLaw& of) {
    return {of.lever, of.mass, of.grade_force, of.load_transfer_rate};
  }
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 2>& in) {
    const X transfer = law.lever * (law.mass * in[0] + law.grade_force);
    return {(transfer - in[1]) * law.rate};
  }
};

}  // namespace layshaft::parts
