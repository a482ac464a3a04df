#pragma once

/// The parts of a car on a straight road, as `Drivetrain` writes them out. Forces on a node are
/// summed in this order, so it decides the last bits; so does the order in which the nodes are
/// brought in.

#include <tuple>

#include "car_parts/axle.hpp"
#include "car_parts/belt.hpp"
#include "car_parts/body.hpp"
#include "car_parts/brake.hpp"
#include "car_parts/clutch.hpp"
#include "car_parts/driver.hpp"
#include "car_parts/engine.hpp"
#include "car_parts/friction_heat.hpp"
#include "car_parts/gears.hpp"
#include "car_parts/loading.hpp"
#include "car_parts/pedals.hpp"
#include "layshaft/network/assemble.hpp"

namespace layshaft {

struct CarList {
  using parts =
      std::tuple<parts::PedalsAsked, parts::Engine, parts::Clutch, parts::FirstGear,
                 parts::SecondGear, parts::BeltLoss, parts::Belt<parts::End::rear>,
                 parts::Belt<parts::End::front>, parts::Brake, parts::Loading, parts::TyreStore,
                 parts::Axle<parts::End::rear>, parts::Axle<parts::End::front>, parts::Body,
                 parts::Rolling, parts::LoadTransfer, parts::Driver, parts::ClutchPower,
                 parts::FrictionHeat<parts::Pair::clutch>, parts::ShoePower,
                 parts::FrictionHeat<parts::Pair::shoes>>;
};
using CarParts = parts::Assembly<CarList>;

}  // namespace layshaft
