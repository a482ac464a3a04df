#pragma once

/// The driver's finger on the throttle: follows what is asked, and eases off where the rear tyres
/// are about to spin.
///
/// Law: of the opening asked for it leaves 1/(1 + max(0, s/target)^2), s the slip expected
/// `anticipation` later. Its slope is continuous, and it is soft: with a steeper law, or without
/// the look ahead, finger, clutch and tyre swing against each other at 8 to 20 Hz in the first
/// metres. The eigenvalues are a test. Tyres that drag leave all of it: eased there too, less
/// throttle would make more slip and that less throttle, and the finger would swing about no slip.

#include "layshaft/car/car_law.hpp"
#include "layshaft/network/part.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft::parts {

/// Coefficients of the finger.
template <class Real>
struct FingerLaw {
  Real per_slip_target;  ///< One over the slip at which it has eased off by half [-].
  Real anticipation;     ///< [s]
  Real response_rate;    ///< One over the time of hand and servo [1/s].
};

[[nodiscard]] inline FingerLaw<double> finger_law(const CarLaw& of) {
  return {of.per_slip_target, of.anticipation, of.response_rate};
}

/// Share of what a pedal is asked for that is left at a rear tyre slip [-] and its rate [1/s], both
/// positive in the sense in which the pedal makes the tyres slip.
template <class Coefficient, class Real>
[[nodiscard]] Real eased_opening(const FingerLaw<Coefficient>& law, const Real& slip,
                                 const Real& slip_rate) {
  const Real expected = (slip + law.anticipation * slip_rate) * law.per_slip_target;
  return Real(1.0) / (Real(1.0) + square(max(expected, Real(0.0))));
}

struct Driver : Part {
  static constexpr std::array states{
      Row{"throttle", "1", 0.3, "Throttle opening reached", "throttle_opening"}};
  static constexpr std::array reads{signal("throttle_asked"), state("rear_slip"), rate("rear_slip"),
                                    state("throttle")};
  static constexpr std::array gives{rate("throttle")};

  template <class Real>
  using Law = FingerLaw<Real>;
  static Law<double> law_of(const Car&, const CarLaw& of) { return finger_law(of); }

  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 4>& in) {
    const auto& [asked, slip, slip_rate, throttle] = in;
    return {(asked * eased_opening(law, slip, slip_rate) - throttle) * law.response_rate};
  }
};

}  // namespace layshaft::parts
