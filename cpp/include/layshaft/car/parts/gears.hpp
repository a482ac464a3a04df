#pragma once

/// The two gears between bell and two-speed shaft: the first through a one-way bearing, the second
/// through a drum gripped by the shoes (`laws/shoe_law.hpp`).
///
/// Slip: bell / ratio - shaft; a positive torque drives the car.

#include "layshaft/car/car_law.hpp"
#include "layshaft/car/parts/passing.hpp"
#include "layshaft/laws/heat.hpp"
#include "layshaft/laws/shoe_law.hpp"
#include "layshaft/network/modes.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

/// Ratio and loss of one gear.
template <class Real>
struct GearLaw {
  Real ratio;       ///< Spur over pinion [-].
  Real efficiency;  ///< [-]
  Real per_ratio;   ///< Speed of the spur over the bell's [-].
  PassingShares<Real> passing;
};

[[nodiscard]] inline GearLaw<double> gear_law(double ratio, double efficiency) {
  return {ratio, efficiency, 1.0 / ratio, passing_shares(efficiency)};
}

struct FirstGear : Part {
  static constexpr std::array nodes{Row{"shaft", "rad/s", 300.0, "Speed of the two-speed shaft"}};
  static constexpr std::array couplings{
      CouplingRow{"first", 1.0, 300.0, "First gear", {"bell", "shaft"}}};
  static constexpr std::array gives{low("first"), high("first")};
  static constexpr std::array accounts{
      AccountRow{"mesh_loss", "J", Flow::loss, "Loss of the gear meshes so far"}};
  static constexpr std::array sees{torque("first"), state("bell")};
  static constexpr std::array books{adds_to("mesh_loss")};

  template <class Real>
  struct Law {
    GearLaw<Real> gear;
    Real shaft_inertia;  ///< With both belts [kg*m^2].
  };
  static Law<double> law_of(const Car& car, const CarLaw& of) {
    return {gear_law(of.first_ratio, of.first_efficiency),
            car.shafts.shaft_inertia + of.belt_inertia};
  }
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.shaft_inertia}; }
  static std::array<JoinedRow, 1> rows(const Law<double>& law) {
    return {JoinedRow{.slip = {1.0 / law.gear.ratio, -1.0}, .efficiency = law.gear.efficiency}};
  }
  template <class X>
  static std::array<X, 2> run(const auto&, const auto&, const std::array<X, 0>&) {
    return {X(0.0), X(kNoLimit)};
  }
  template <class X>
  static std::array<X, 1> book(const auto& law, const std::array<X, 2>& in) {
    const auto& [torque, bell] = in;
    return {passing_loss(torque, X(bell * law.gear.per_ratio), law.gear.passing)};
  }
};

struct SecondGear : Part {
  static constexpr std::array couplings{
      CouplingRow{"second", 1.0, 300.0, "Second gear", {"bell", "shaft"}}};
  static constexpr std::array switches{
      Row{"shoe_1", "1", 1.0, "Shoe 1", "shoe_1_out", {"in", "out"}},
      Row{"shoe_2", "1", 1.0, "Shoe 2", "shoe_2_out", {"in", "out"}}};
  static_assert(switches.size() == kShoes);
  static constexpr std::array reads{state("shaft"), state("shoe_surface")};
  static constexpr std::array gives{low("second"), high("second")};
  static constexpr std::array holds = gives;
  static constexpr std::array watches{state("shaft")};
  static constexpr std::array accounts{
      AccountRow{"shoe_loss", "J", Flow::loss, "Slip heat of shoes and drum so far"}};
  static constexpr std::array sees{torque("second"), state("bell"), state("shaft")};
  static constexpr std::array books{adds_to("mesh_loss"), adds_to("shoe_loss")};

  template <class Real>
  struct Law {
    GearLaw<Real> gear;
    std::array<ShoeLaw<Real>, kShoes> shoes;
    std::array<Real, kShoes> guard_scales;  ///< Squares of contact speeds, at least 1 [rad^2/s^2].
    HeatLaw<Real> heat;
    Real air_temperature;  ///< [K]
  };
  template <class Real>
  struct Active {
    std::array<Real, kShoes> out;  ///< 1 where the shoe is out, else 0.
  };
  static Law<double> law_of(const Car&, const CarLaw& of) {
    std::array<double, kShoes> scales;
    for (std::size_t k = 0; k < kShoes; ++k) {
      scales[k] = max(abs(of.shoes[k].contact_speed_squared), 1.0);
    }
    return {gear_law(of.second_ratio, of.second_efficiency), of.shoes, scales, of.shoe_heat,
            of.air_temperature};
  }
  static std::array<JoinedRow, 1> rows(const Law<double>& law) {
    return {JoinedRow{.slip = {1.0 / law.gear.ratio, -1.0}, .efficiency = law.gear.efficiency}};
  }
  using Positions = std::array<std::int16_t, kShoes>;
  static Active<double> activate(const Law<double>&, const Positions& at) {
    Active<double> active;
    for (std::size_t k = 0; k < kShoes; ++k) active.out[k] = at[k] == 1 ? 1.0 : 0.0;
    return active;
  }
  static bool is_open(const Law<double>&, int, const Positions& at) { return at == Positions{}; }

  template <class X>
  static std::array<X, 2> run(const auto& law, const auto& active, const std::array<X, 2>& in) {
    return limits(law, active, in, [](const auto& shoe) { return shoe.friction; });
  }
  template <class X>
  static std::array<X, 2> hold(const auto& law, const auto& active, const std::array<X, 2>& in) {
    return limits(law, active, in, [](const auto& shoe) { return shoe.static_friction; });
  }
  template <class X>
  static std::array<X, kShoes> guard(const auto& law, const auto& active,
                                     const std::array<X, 1>& in) {
    std::array<X, kShoes> guards;
    for (std::size_t k = 0; k < kShoes; ++k) {
      guards[k] = select(active.out[k] > 0.5, shoe_release_guard(law.shoes[k], in[0]),
                         shoe_contact_guard(law.shoes[k], in[0])) /
                  law.guard_scales[k];
    }
    return guards;
  }
  template <class X>
  static std::array<X, 2> book(const auto& law, const std::array<X, 3>& in) {
    const auto& [torque, bell, shaft] = in;
    const X drum = bell * law.gear.per_ratio;
    return {passing_loss(torque, drum, law.gear.passing), torque * (drum - shaft)};
  }

 private:
  template <class X>
  static std::array<X, 2> limits(const auto& law, const auto& active, const std::array<X, 2>& in,
                                 const auto& friction_of) {
    const auto& [shaft, rise] = in;
    const X ratio = friction_ratio(law.heat, X(law.air_temperature + rise));
    X low(0.0);
    X high(0.0);
    for (std::size_t k = 0; k < kShoes; ++k) {
      const auto& shoe = law.shoes[k];
      const ShoeGrips<X> grips = shoe_grips(shoe, X(friction_of(shoe) * ratio));
      const X pressing = active.out[k] * shoe_pressing_moment(shoe, shaft);
      high += grips.faster * pressing;
      low -= grips.slower * pressing;
    }
    return {low, high};
  }
};

}  // namespace layshaft::parts
