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
#include "layshaft/network/assemble.hpp"

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
using CarParts = parts::Assembly<CarList>;
template <class Real>
using CarLaws = parts::Laws<CarList, Real>;

namespace node {
inline constexpr int crank = CarParts::state("crank");
inline constexpr int bell = CarParts::state("bell");
inline constexpr int shaft = CarParts::state("shaft");
inline constexpr int rear = CarParts::state("rear");
inline constexpr int front = CarParts::state("front");
inline constexpr int car = CarParts::state("car");
inline constexpr int count = CarParts::kNodes;
}  // namespace node

namespace coupling {
inline constexpr int clutch = CarParts::coupling("clutch");
inline constexpr int first = CarParts::coupling("first");
inline constexpr int second = CarParts::coupling("second");
inline constexpr int rear_belt = CarParts::coupling("rear_belt");
inline constexpr int front_belt = CarParts::coupling("front_belt");
inline constexpr int brake = CarParts::coupling("brake");
inline constexpr int rolling = CarParts::coupling("rolling");
inline constexpr int count = CarParts::kCouplings;
}  // namespace coupling

namespace plant_switch {
inline constexpr int clutch = CarParts::plant_switch("clutch");
inline constexpr int shoe_1 = CarParts::plant_switch("shoe_1");
inline constexpr int shoe_2 = CarParts::plant_switch("shoe_2");
inline constexpr int stage = CarParts::plant_switch("stage");
inline constexpr int count = CarParts::kSwitches;
}  // namespace plant_switch

/// States after the node speeds.
namespace car_state {
inline constexpr int rear_strain = CarParts::state("rear_strain");
inline constexpr int front_strain = CarParts::state("front_strain");
inline constexpr int rear_slip = CarParts::state("rear_slip");
inline constexpr int front_slip = CarParts::state("front_slip");
inline constexpr int load_transfer = CarParts::state("load_transfer");
inline constexpr int throttle = CarParts::state("throttle");
inline constexpr int clutch_surface = CarParts::state("clutch_surface");
inline constexpr int clutch_body = CarParts::state("clutch_body");
inline constexpr int shoe_surface = CarParts::state("shoe_surface");
inline constexpr int shoe_body = CarParts::state("shoe_body");
inline constexpr int count = CarParts::kStates;
}  // namespace car_state

namespace car_signal {
inline constexpr int rear_load = CarParts::signal("rear_load");
inline constexpr int front_load = CarParts::signal("front_load");
inline constexpr int rear_force = CarParts::signal("rear_force");
inline constexpr int front_force = CarParts::signal("front_force");
inline constexpr int count = CarParts::kSignals;
}  // namespace car_signal

/// Integrals that nothing depends on.
namespace account {
inline constexpr int distance = CarParts::account("distance");
inline constexpr int fuel = CarParts::account("fuel");
inline constexpr int engine_work = CarParts::account("engine_work");
inline constexpr int clutch_loss = CarParts::account("clutch_loss");
inline constexpr int shoe_loss = CarParts::account("shoe_loss");
inline constexpr int mesh_loss = CarParts::account("mesh_loss");
inline constexpr int belt_loss = CarParts::account("belt_loss");
inline constexpr int brake_loss = CarParts::account("brake_loss");
inline constexpr int rolling_loss = CarParts::account("rolling_loss");
inline constexpr int rear_tyre_loss = CarParts::account("rear_tyre_loss");
inline constexpr int front_tyre_loss = CarParts::account("front_tyre_loss");
inline constexpr int tyre_stored = CarParts::account("tyre_stored");
inline constexpr int air_loss = CarParts::account("air_loss");
inline constexpr int grade_work = CarParts::account("grade_work");
inline constexpr int count = CarParts::kAccounts;
}  // namespace account

/// A state that is a part's rise over the air's temperature [K].
template <class Parts = CarParts>
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
inline constexpr auto kCouplingNames = names_of(CarParts::kCouplingRows);
inline constexpr auto kSwitchNames = names_of(CarParts::kSwitchRows);
inline constexpr auto kAccountNames = names_of(CarParts::kAccountRows);

}  // namespace layshaft
