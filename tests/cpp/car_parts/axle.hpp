#pragma once

/// One axle with its two tyres (`laws/tyre.hpp`): the tread's speed against the car's winds up the
/// carcass, whose force drives the car and holds the axle back.

#include "car_parts/end.hpp"
#include "layshaft/laws/tyre.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

/// Both axles store into one account.
struct TyreStore : Part {
  static constexpr std::array accounts{
      Row{"tyre_stored", "J", 1.0, "Elastic work held in the tyres"}};
};

template <End end>
struct Axle : Part {
  static constexpr std::string_view kNode = at<end>("rear", "front");
  static constexpr std::string_view kStrain = at<end>("rear_strain", "front_strain");
  static constexpr std::string_view kSlip = at<end>("rear_slip", "front_slip");
  static constexpr std::string_view kLoad = at<end>("rear_load", "front_load");
  static constexpr std::string_view kLoss = at<end>("rear_tyre_loss", "front_tyre_loss");
  static constexpr std::array nodes{
      Row{kNode, "rad/s", 100.0, at<end>("Speed of the rear axle", "Speed of the front axle")}};
  static constexpr std::array states{
      Row{kStrain, "1", 0.01,
          at<end>("Strain of the rear tyres' carcass", "Strain of the front tyres' carcass")},
      Row{kSlip, "1", 0.1, at<end>("Slip of the rear tyres", "Slip of the front tyres")}};
  static constexpr std::array reads{signal(kLoad), state(kStrain), state(kSlip), state(kNode),
                                    state("car")};
  static constexpr std::array gives{force(kNode), force("car"), rate(kStrain), rate(kSlip)};
  static constexpr std::array accounts{
      Row{kLoss, "J", 1.0,
          at<end>("Slip heat of the rear tyres so far", "Slip heat of the front tyres so far")}};
  static constexpr std::array sees{signal(kLoad), state(kStrain), rate(kStrain), state(kNode),
                                   state("car")};
  static constexpr std::array books{adds_to(kLoss), adds_to("tyre_stored")};

  template <class Real>
  struct Law {
    TyreLaw<Real> tyre;
    Real inertia;  ///< Axle, pulley and both wheels [kg*m^2].
  };
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.inertia}; }

  template <class X>
  static std::array<X, 4> run(const auto& law, const auto&, const std::array<X, 5>& in) {
    const auto& [load, strain, slip, axle, car] = in;
    const X radius = tyre_radius(law.tyre, axle);
    const X tread = radius * axle;
    const X share = sticking_share(law.tyre, tyre_slip(tread, car), load);
    const X strain_rate = tyre_strain_rate(law.tyre, strain, share, tread, car);
    const X pull = tyre_force_now(law.tyre, strain, strain_rate, load);
    return {-pull * radius, pull, strain_rate, seen_slip_rate(law.tyre, slip, tread, car)};
  }
  template <class X>
  static std::array<X, 2> book(const auto& law, const std::array<X, 5>& in) {
    const auto& [load, strain, strain_rate, axle, car] = in;
    const X pull = tyre_force_now(law.tyre, strain, strain_rate, load);
    const X stored = stored_power(law.tyre, strain, strain_rate, load);
    return {pull * (tyre_radius(law.tyre, axle) * axle - car) - stored, stored};
  }
};

}  // namespace layshaft::parts
