#pragma once

/// The parts of a car on a straight road, and the places of what they bring in.
///
/// Forces on a node are summed in the order of the list, so it decides the last bits. A car on a
/// track has the same states and accounts at the same places, with its own behind them
/// (`track_list.hpp`).

#include <array>
#include <string_view>
#include <tuple>

#include "layshaft/car/own_parts.hpp"
#include "layshaft/car/parts/axle.hpp"
#include "layshaft/car/parts/belt.hpp"
#include "layshaft/car/parts/body.hpp"
#include "layshaft/car/parts/brake.hpp"
#include "layshaft/car/parts/clutch.hpp"
#include "layshaft/car/parts/driver.hpp"
#include "layshaft/car/parts/engine.hpp"
#include "layshaft/car/parts/friction_heat.hpp"
#include "layshaft/car/parts/gears.hpp"
#include "layshaft/car/parts/loading.hpp"
#include "layshaft/car/parts/pedals.hpp"
#include "layshaft/network/modes.hpp"
#include "layshaft/network/part_names.hpp"

namespace layshaft {

/// As far as the tyres, on any road.
using PartsToTheBelts =
    std::tuple<parts::Engine, parts::Clutch, parts::FirstGear, parts::SecondGear, parts::BeltLoss,
               parts::Belt<parts::End::rear>, parts::Belt<parts::End::front>>;
/// What sees the tyres' forces, on any road.
using PartsOfTheBody =
    std::tuple<parts::SeenSlip<parts::End::rear>, parts::SeenSlip<parts::End::front>, parts::Body,
               parts::Rolling, parts::LoadTransfer>;
/// The driver's finger, and heat.
using PartsBehindTheCar =
    std::tuple<parts::Driver, parts::ClutchPower, parts::FrictionHeat<parts::Pair::clutch>,
               parts::ShoePower, parts::FrictionHeat<parts::Pair::shoes>>;

struct CarList {
  using parts = decltype(std::tuple_cat(
      PartsToTheBelts{},
      std::tuple<parts::PedalsAsked, parts::Brake, parts::Loading, parts::TyreStore,
                 parts::Axle<parts::End::rear>, parts::Axle<parts::End::front>>{},
      PartsOfTheBody{}, PartsBehindTheCar{}, OwnParts{}));
};
using CarNames = parts::PartNames<CarList>;

namespace node {
inline constexpr int crank = CarNames::state("crank");
inline constexpr int bell = CarNames::state("bell");
inline constexpr int shaft = CarNames::state("shaft");
inline constexpr int rear = CarNames::state("rear");
inline constexpr int front = CarNames::state("front");
inline constexpr int car = CarNames::state("car");
inline constexpr int count = CarNames::kNodes;
}  // namespace node

namespace coupling {
inline constexpr int clutch = CarNames::coupling("clutch");
inline constexpr int first = CarNames::coupling("first");
inline constexpr int second = CarNames::coupling("second");
inline constexpr int rear_belt = CarNames::coupling("rear_belt");
inline constexpr int front_belt = CarNames::coupling("front_belt");
inline constexpr int brake = CarNames::coupling("brake");
inline constexpr int rolling = CarNames::coupling("rolling");
inline constexpr int count = CarNames::kCouplings;
}  // namespace coupling

namespace plant_switch {
inline constexpr int clutch = CarNames::plant_switch("clutch");
inline constexpr int shoes = CarNames::plant_switch("shoe_1");  ///< The first of `kShoes`.
inline constexpr int pedals = CarNames::plant_switch("pedals");
inline constexpr int count = CarNames::kSwitches;
}  // namespace plant_switch

/// States after the node speeds.
namespace car_state {
inline constexpr int rear_strain = CarNames::state("rear_strain");
inline constexpr int front_strain = CarNames::state("front_strain");
inline constexpr int rear_slip = CarNames::state("rear_slip");
inline constexpr int front_slip = CarNames::state("front_slip");
inline constexpr int load_transfer = CarNames::state("load_transfer");
inline constexpr int throttle = CarNames::state("throttle");
inline constexpr int clutch_surface = CarNames::state("clutch_surface");
inline constexpr int clutch_body = CarNames::state("clutch_body");
inline constexpr int shoe_surface = CarNames::state("shoe_surface");
inline constexpr int shoe_body = CarNames::state("shoe_body");
inline constexpr int count = CarNames::kStates;
}  // namespace car_state

namespace car_signal {
inline constexpr int rear_load = CarNames::signal("rear_load");
inline constexpr int front_load = CarNames::signal("front_load");
inline constexpr int rear_force = CarNames::signal("rear_force");
inline constexpr int front_force = CarNames::signal("front_force");
inline constexpr int count = CarNames::kSignals;
}  // namespace car_signal

/// Integrals that nothing depends on.
namespace account {
inline constexpr int distance = CarNames::account("distance");
inline constexpr int fuel = CarNames::account("fuel");
inline constexpr int engine_work = CarNames::account("engine_work");
inline constexpr int clutch_loss = CarNames::account("clutch_loss");
inline constexpr int shoe_loss = CarNames::account("shoe_loss");
inline constexpr int mesh_loss = CarNames::account("mesh_loss");
inline constexpr int belt_loss = CarNames::account("belt_loss");
inline constexpr int brake_loss = CarNames::account("brake_loss");
inline constexpr int rolling_loss = CarNames::account("rolling_loss");
inline constexpr int rear_tyre_loss = CarNames::account("rear_tyre_loss");
inline constexpr int front_tyre_loss = CarNames::account("front_tyre_loss");
inline constexpr int tyre_stored = CarNames::account("tyre_stored");
inline constexpr int air_loss = CarNames::account("air_loss");
inline constexpr int grade_work = CarNames::account("grade_work");
inline constexpr int count = CarNames::kAccounts;
}  // namespace account

/// What the car does between two switch instants.
using CarModes = ModeSet<coupling::count, plant_switch::count>;

/// A state that is a part's rise over the air's temperature [K].
template <class Parts = CarNames>
[[nodiscard]] constexpr bool is_rise(int state) {
  return Parts::kStateRows[static_cast<std::size_t>(state)].unit == "K";
}

/// Names of some rows, in their order.
template <class Rows>
[[nodiscard]] constexpr auto names_of(const Rows& rows) {
  std::array<std::string_view, std::tuple_size_v<Rows>> names{};
  for (std::size_t i = 0; i < names.size(); ++i) names[i] = rows[i].name;
  return names;
}
inline constexpr auto kCouplingNames = names_of(CarNames::kCouplingRows);
inline constexpr auto kSwitchNames = names_of(CarNames::kSwitchRows);
inline constexpr auto kAccountNames = names_of(CarNames::kAccountRows);

}  // namespace layshaft
