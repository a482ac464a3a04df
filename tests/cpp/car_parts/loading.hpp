#pragma once

/// What presses the car to the road, and how its two axles share it (`laws/load_transfer.hpp`).

#include "layshaft/laws/load_transfer.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct Loading : Part {
  static constexpr std::array signals{Row{"rear_load", "N", 10.0, "Load on the rear axle"},
                                      Row{"front_load", "N", 10.0, "Load on the front axle"}};
  static constexpr std::array reads{state("car"), state("load_transfer")};
  static constexpr std::array gives{signal("rear_load"), signal("front_load")};

  template <class Real>
  struct Law {
    Real weight;       ///< Load on the ground at rest [N].
    Real downforce;    ///< Per square of speed [kg/m].
    Real front_share;  ///< [-]
    Real floor;        ///< Least load of both axles together [N].
    Real rounding;     ///< Width over which an axle lifts [N].
  };
  template <class X>
  static std::array<X, 2> run(const auto& law, const auto&, const std::array<X, 2>& in) {
    const auto& [speed, transfer] = in;
    const X pressed = law.weight + law.downforce * speed * speed;
    const X front = law.front_share * pressed - transfer;
    const AxleLoads<X> loads = shared_loads(X(max(pressed, X(law.floor))), front, X(law.rounding));
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
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 2>& in) {
    const X transfer = law.lever * (law.mass * in[0] + law.grade_force);
    return {(transfer - in[1]) * law.rate};
  }
};

}  // namespace layshaft::parts
