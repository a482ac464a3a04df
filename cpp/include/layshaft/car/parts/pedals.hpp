#pragma once

/// What is asked of throttle and brake: a straight line in time between two kinks of the inputs.

#include "layshaft/car/pedals.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

struct PedalsAsked : Part {
  static constexpr std::array signals{Row{"throttle_asked", "1", 1.0, "Throttle opening asked for"},
                                      Row{"brake_pedal", "1", 1.0, "Brake pedal"}};
  static constexpr std::array switches{Row{"pedals", "1", 1.0, "Line that the pedals follow"}};
  static constexpr std::array reads{now()};
  static constexpr std::array gives{signal("throttle_asked"), signal("brake_pedal")};
  template <class Real>
  using Active = PedalLine<Real>;

  using Positions = std::array<std::int16_t, 1>;
  // The inputs are the plant's own.
  static Active<double> activate(const Law<double>&, const Positions&) { return {}; }
  // It ends at a time that is known.
  template <class X>
  static std::array<X, 1> guard(const auto&, const auto&, const std::array<X, 0>&) {
    return {X(1.0)};
  }
  template <class X>
  static std::array<X, 2> run(const auto&, const auto& active, const std::array<X, 1>& in) {
    return {active.throttle_offset + active.throttle_slope * in[0],
            active.brake_offset + active.brake_slope * in[0]};
  }
};

}  // namespace layshaft::parts
