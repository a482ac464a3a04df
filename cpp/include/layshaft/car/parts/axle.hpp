#pragma once

/// One axle with its two tyres (`laws/tyre.hpp`): the tread's speed against the car's winds up the
/// carcass, whose force drives the car and holds the axle back. In a corner a share of the grip is
/// left for it.

#include "layshaft/car/car_law.hpp"
#include "layshaft/car/parts/end.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

/// Both axles store into one account.
struct TyreStore : Part {
  static constexpr std::array accounts{
      AccountRow{"tyre_stored", "J", Flow::stored, "Elastic work held in the tyres"}};
};

template <End end, Road road = Road::straight>
struct Axle : Part {
  static constexpr bool kCorners = road == Road::track;
  static constexpr std::string_view kNode = at<end>("rear", "front");
  static constexpr std::string_view kStrain = at<end>("rear_strain", "front_strain");
  static constexpr std::string_view kLoad = at<end>("rear_load", "front_load");
  static constexpr std::string_view kForce = at<end>("rear_force", "front_force");
  static constexpr std::string_view kLeft = at<end>("rear_left", "front_left");
  static constexpr std::string_view kLoss = at<end>("rear_tyre_loss", "front_tyre_loss");
  static constexpr std::array nodes{
      Row{kNode, "rad/s", 100.0, at<end>("Speed of the rear axle", "Speed of the front axle")}};
  static constexpr std::array states{
      Row{kStrain, "1", 0.01,
          at<end>("Strain of the rear tyres' carcasses", "Strain of the front tyres' carcasses")}};
  static constexpr std::array signals{
      Row{kForce, "N", 10.0,
          at<end>("Driving force of the rear tyres", "Driving force of the front tyres"),
          at<end>("rear_tyre_force", "front_tyre_force")}};
  static constexpr auto reads = [] {
    constexpr std::array kOwn{signal(kLoad), state(kStrain), state(kNode), state("car")};
    if constexpr (kCorners)
      return with_last(kOwn, signal(kLeft));
    else
      return kOwn;
  }();
  static constexpr std::array gives{force(kNode), force("car"), rate(kStrain), signal(kForce)};
  static constexpr std::array accounts{AccountRow{
      kLoss, "J", Flow::loss,
      at<end>("Slip heat of the rear tyres so far", "Slip heat of the front tyres so far")}};
  static constexpr auto sees = [] {
    constexpr std::array kOwn{signal(kLoad), state(kStrain), rate(kStrain),
                              state(kNode),  state("car"),   signal(kForce)};
    if constexpr (kCorners)
      return with_last(kOwn, signal(kLeft));
    else
      return kOwn;
  }();
  static constexpr std::array books{adds_to(kLoss), adds_to("tyre_stored")};

  template <class Real>
  struct Law {
    TyreLaw<Real> tyre;
    Real inertia;  ///< Axle, pulley and both wheels [kg*m^2].
  };
  static Law<double> law_of(const Car& car, const CarLaw& of) {
    if constexpr (end == End::rear) {
      return {of.rear_tyre, car.rear_tyre.inertia};
    } else {
      return {of.front_tyre, car.front_tyre.inertia};
    }
  }
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.inertia}; }

  template <class X>
  static std::array<X, 4> run(const auto& law, const auto&, const std::array<X, reads.size()>& in) {
    const X &load = in[0], &strain = in[1], &axle = in[2], &car = in[3];
    const auto& tyre = law.tyre;
    const X radius = through([&](const auto& speed) { return tyre_radius(tyre, speed); }, axle);
    const X tread = radius * axle;
    const X tread_slip =
        through([](const auto& own, const auto& over) { return tyre_slip(own, over); }, tread, car);
    const X share = through(
        [&](const auto& slip, const auto& pressed) { return sticking_share(tyre, slip, pressed); },
        tread_slip, load);
    const X strain_rate = tyre_strain_rate(law.tyre, strain, share, tread, car);
    X pull = tyre_force_now(law.tyre, strain, strain_rate, load);
    if constexpr (kCorners) pull *= in[4];
    return {-pull * radius, pull, strain_rate, pull};
  }
  template <class X>
  static std::array<X, 2> book(const auto& law, const std::array<X, sees.size()>& in) {
    const X &load = in[0], &strain = in[1], &strain_rate = in[2], &axle = in[3], &car = in[4];
    const X& pull = in[5];
    X stored = stored_power(law.tyre, strain, strain_rate, load);
    // What is left of the force winds up as much less of the carcass.
    if constexpr (kCorners) stored *= in[6];
    return {pull * (tyre_radius(law.tyre, axle) * axle - car) - stored, stored};
  }
};

/// The slip of an axle's tyres as it is seen.
template <End end>
struct SeenSlip : Part {
  static constexpr std::string_view kNode = at<end>("rear", "front");
  static constexpr std::string_view kSlip = at<end>("rear_slip", "front_slip");
  static constexpr std::array states{
      Row{kSlip, "1", 0.1, at<end>("Slip of the rear tyres", "Slip of the front tyres")}};
  static constexpr std::array reads{state(kSlip), state(kNode), state("car")};
  static constexpr std::array gives{rate(kSlip)};

  template <class Real>
  using Law = TyreLaw<Real>;
  static Law<double> law_of(const Car&, const CarLaw& of) {
    return end == End::rear ? of.rear_tyre : of.front_tyre;
  }
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 3>& in) {
    const auto& [slip, axle, car] = in;
    const X tread =
        through([&](const auto& speed) { return tyre_radius(law, speed) * speed; }, axle);
    return {seen_slip_rate(law, slip, tread, car)};
  }
};

}  // namespace layshaft::parts
