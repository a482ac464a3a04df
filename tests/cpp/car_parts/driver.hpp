#pragma once

/// The driver's finger on the throttle: follows what is asked, and eases off where the rear tyres
/// are about to slip.
///
/// Law: of the opening asked for it leaves 1/(1 + (s/target)^2), s the slip expected `anticipation`
/// later. Smooth everywhere, and soft: with a steeper law, or without the look ahead, finger,
/// clutch and tyre swing against each other at 8 to 20 Hz in the first metres. The eigenvalues are
/// a test.

#include "layshaft/network/part.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft::parts {

struct Driver : Part {
  static constexpr std::array states{Row{"throttle", "1", 0.3, "Throttle opening reached"}};
  static constexpr std::array reads{signal("throttle_asked"), state("rear_slip"), rate("rear_slip"),
                                    state("throttle")};
  static constexpr std::array gives{rate("throttle")};

  template <class Real>
  struct Law {
    Real per_slip_target;  ///< One over the slip at which the finger has eased off by half [-].
    Real anticipation;     ///< [s]
    Real response_rate;    ///< One over its time [1/s].
  };
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 4>& in) {
    const auto& [asked, slip, slip_rate, throttle] = in;
    const X eased =
        X(1.0) / (X(1.0) + square((slip + law.anticipation * slip_rate) * law.per_slip_target));
    return {(asked * eased - throttle) * law.response_rate};
  }
};

}  // namespace layshaft::parts
