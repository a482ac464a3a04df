#pragma once

/// A toothed belt from the two-speed shaft to one axle.
///
/// Slip: shaft / ratio - axle; a positive torque drives the axle.

#include "layshaft/car/car_law.hpp"
#include "layshaft/car/parts/end.hpp"
#include "layshaft/car/parts/passing.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

/// Both belts lose into one account.
struct BeltLoss : Part {
  static constexpr std::array accounts{
      AccountRow{"belt_loss", "J", Flow::loss, "Loss of the belts so far"}};
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
  static Law<double> law_of(const Car&, const CarLaw& of) {
    if constexpr (end == End::rear) {
      return made(of.rear_ratio, of.rear_efficiency, of.rear_jump, of.rear_jump);
    } else {
      return made(of.front_ratio, of.front_efficiency, of.front_jump, of.front_back_jump);
    }
  }
  // A belt without tension and weight carries nothing: a wheel that rings on its tyre turns the
  // slip round for ever, and nothing comes of it.
  static bool is_open(const Law<double>& law, int, const std::array<std::int16_t, 0>&) {
    return law.jump == 0.0;
  }
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

 private:
  static Law<double> made(double ratio, double efficiency, double jump, double back_jump) {
    return {ratio, efficiency, 1.0 / ratio, passing_shares(efficiency), jump, back_jump};
  }
};

}  // namespace layshaft::parts
