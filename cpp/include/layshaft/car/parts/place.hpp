#pragma once

/// Where the car is on its lap: the piece of track that it is on, and the distance from the line.

#include "layshaft/car/parts/driver.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

/// Which piece of the track the car is on.
struct Place : Part {
  static constexpr std::array switches{Row{"piece", "1", 1.0, "Piece of the track"}};
  static constexpr std::array watches{state("distance")};
  template <class Real>
  struct Active {
    Real end;      ///< Of the piece [m].
    Real is_last;  ///< 1 for the last of the lap, else 0: the line ends the run.
  };
  using Positions = std::array<std::int16_t, 1>;
  // The track is the plant's own.
  static Active<double> activate(const Law<double>&, const Positions&) { return {}; }
  static int next(int, const Positions& at) { return at[0] + 1; }

  template <class X>
  static std::array<X, 1> guard(const auto&, const auto& active, const std::array<X, 1>& in) {
    return {select(active.is_last > 0.5, X(1.0), X(active.end - in[0]))};
  }
};

/// The brake pedal is a state, `Lap`'s.
struct PedalReached : Part {
  static constexpr std::array signals{Row{"brake_pedal", "1", 1.0, "Brake pedal"}};
  static constexpr std::array reads{state("pedal")};
  static constexpr std::array gives{signal("brake_pedal")};
  template <class X>
  static std::array<X, 1> run(const auto&, const auto&, const std::array<X, 1>& in) {
    return in;
  }
};

/// The states and the account that a lap has behind those of the car. The pedal follows what the
/// foot asks for, eased by tyres that drag as the throttle is by tyres that spin.
struct Lap : Part {
  static constexpr std::array states{Row{"distance", "m", 10.0, "Distance from the line"},
                                     Row{"pedal", "1", 0.1, "Brake pedal reached", "brake_pedal"}};
  static constexpr std::array reads{state("car"), signal("brake_asked"), state("rear_slip"),
                                    rate("rear_slip"), state("pedal")};
  static constexpr std::array gives{rate("distance"), rate("pedal")};
  static constexpr std::array accounts{
      AccountRow{"cornering_loss", "J", Flow::loss, "Work against the drag of corners so far"}};

  template <class Real>
  using Law = FingerLaw<Real>;
  static Law<double> law_of(const Car&, const CarLaw& of) { return finger_law(of); }

  template <class X>
  static std::array<X, 2> run(const auto& law, const auto&, const std::array<X, 5>& in) {
    const auto& [car, asked, slip, slip_rate, pedal] = in;
    return {car, (asked * eased_opening(law, X(-slip), X(-slip_rate)) - pedal) * law.response_rate};
  }
};

}  // namespace layshaft::parts
