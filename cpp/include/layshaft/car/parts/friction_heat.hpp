#pragma once

/// Where the slip heat of clutch and shoes goes (`laws/heat.hpp`). The states are rises over the
/// air's temperature.

#include "layshaft/car/car_law.hpp"
#include "layshaft/laws/heat.hpp"
#include "layshaft/network/part.hpp"

namespace layshaft::parts {

/// Power of the engine clutch's slip.
struct ClutchPower : Part {
  static constexpr std::array signals{Row{"clutch_power", "W", 1.0, "Slip heat of the clutch"}};
  static constexpr std::array reads{sliding("clutch"), state("crank"), state("bell")};
  static constexpr std::array gives{signal("clutch_power")};
  template <class X>
  static std::array<X, 1> run(const auto&, const auto&, const std::array<X, 3>& in) {
    return {in[0] * (in[1] - in[2])};
  }
};

/// Power of the shoes' slip.
struct ShoePower : Part {
  static constexpr std::array signals{Row{"shoe_power", "W", 1.0, "Slip heat of the shoes"}};
  static constexpr std::array reads{sliding("second"), state("bell"), state("shaft")};
  static constexpr std::array gives{signal("shoe_power")};
  template <class Real>
  struct Law {
    Real bell_to_drum;  ///< Speed of the drum over the bell's [-].
  };
  static Law<double> law_of(const Car&, const CarLaw& of) { return {1.0 / of.second_ratio}; }
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 3>& in) {
    return {in[0] * (in[1] * law.bell_to_drum - in[2])};
  }
};

enum class Pair : std::uint8_t { clutch, shoes };

template <Pair pair>
struct FrictionHeat : Part {
  static constexpr bool kIsClutch = pair == Pair::clutch;
  static constexpr std::string_view kSurface = kIsClutch ? "clutch_surface" : "shoe_surface";
  static constexpr std::string_view kBody = kIsClutch ? "clutch_body" : "shoe_body";
  static constexpr std::string_view kPower = kIsClutch ? "clutch_power" : "shoe_power";
  static constexpr std::array states{
      Row{kSurface, "K", 10.0,
          kIsClutch ? "Temperature of the clutch lining" : "Temperature of the shoe linings",
          kIsClutch ? "clutch_lining_temperature" : "shoe_lining_temperature"},
      Row{kBody, "K", 10.0,
          kIsClutch ? "Temperature of the clutch bell" : "Temperature of the drum",
          kIsClutch ? "clutch_bell_temperature" : "drum_temperature"}};
  static constexpr std::array reads{signal(kPower), state(kSurface), state(kBody)};
  static constexpr std::array gives{rate(kSurface), rate(kBody)};

  template <class Real>
  using Law = HeatLaw<Real>;
  static Law<double> law_of(const Car&, const CarLaw& of) {
    return kIsClutch ? of.clutch_heat : of.shoe_heat;
  }
  template <class X>
  static std::array<X, 2> run(const auto& law, const auto&, const std::array<X, 3>& in) {
    const HeatRates<X> rates = heat_rates(law, in[1], in[2], in[0]);
    return {rates.surface, rates.body};
  }
};

}  // namespace layshaft::parts
