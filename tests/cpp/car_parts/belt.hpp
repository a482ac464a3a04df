#pragma once

/// A toothed belt from the two-speed shaft to one axle.
///
/// Slip: shaft / ratio - axle; a positive torque drives the axle.

#include "car_parts/end.hpp"
#include "car_parts/passing.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

/// Both belts lose into one account.
struct BeltLoss : Part {
  static constexpr std::array accounts{Row{"belt_loss", "J", 1.0, "Loss of the belts so far"}};
};

template <End end>
struct Belt : Part {
  static constexpr std::string_view kName = at<end>("rear_belt", "front_belt");
  static constexpr std::string_view kAxle = at<end>("rear", "front");
  static constexpr std::array couplings{
      CouplingRow{kName, 2.0, 100.0, at<end>("Rear belt", "Front belt"), {"shaft", kAxle}}};
  static constexpr std::array gives{low(kName), high(kName)};
  static constexpr std::array sees{torque(kName), state("shaft"), state(kAxle)};
  static constexpr std::array books{adds_to("belt_loss")};

  template <class Real>
  struct Law {
    Real ratio;       ///< Shaft over axle speed [-].
    Real efficiency;  ///< [-]
    Real per_ratio;   ///< [-]
    PassingShares<Real> passing;
    Real jump;       ///< Torque at which the teeth jump [N*m].
    Real back_jump;  ///< The same backwards; 0 for a one-way axle [N*m].
  };
  static std::array<JoinedRow, 1> rows(const Law<double>& law) {
    return {JoinedRow{.slip = {1.0 / law.ratio, -1.0}, .efficiency = law.efficiency}};
  }
  template <class X>
  static std::array<X, 2> run(const auto& law, const auto&, const std::array<X, 0>&) {
    return {X(-law.back_jump), X(law.jump)};
  }
  template <class X>
  static std::array<X, 1> book(const auto& law, const std::array<X, 3>& in) {
    const auto& [torque, shaft, axle] = in;
    const X in_speed = shaft * law.per_ratio;
    return {passing_loss(torque, in_speed, law.passing) + torque * (in_speed - axle)};
  }
};

}  // namespace layshaft::parts
