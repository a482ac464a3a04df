#pragma once

/// The order of nodes, couplings, switches and states of the car's network, and their names.

#include <array>
#include <string_view>
#include <utility>

namespace layshaft {

namespace node {
enum Node : int { crank, bell, shaft, rear, front, car, count };
}
namespace coupling {
enum Coupling : int { clutch, first, second, rear_belt, front_belt, brake, rolling, count };
}
namespace plant_switch {
enum Switch : int { clutch, shoe_1, shoe_2, stage, count };
}

/// States after the node speeds.
namespace auxiliary {
enum Auxiliary : int {
  rear_strain,     ///< Of the carcass, deflection over relaxation length [-]
  front_strain,    ///< [-]
  rear_slip,       ///< As it is seen [-]
  front_slip,      ///< [-]
  load_transfer,   ///< Load moved from the front to the rear axle [N]
  throttle,        ///< Opening reached [-]
  clutch_surface,  ///< Rises over the air [K]
  clutch_body,
  shoe_surface,
  shoe_body,
  count
};
}

/// Integrals that nothing depends on.
namespace account {
enum Account : int {
  distance,     ///< [m]
  fuel,         ///< Burnt [kg]
  engine_work,  ///< [J], as all that follow
  clutch_loss,
  shoe_loss,
  mesh_loss,
  belt_loss,
  brake_loss,
  rolling_loss,
  rear_tyre_loss,
  front_tyre_loss,
  tyre_stored,  ///< Elastic work in the tyres' carcasses
  air_loss,
  grade_work,
  count
};
}

inline constexpr std::array<std::string_view, node::count> kNodeNames{"crank", "bell",  "shaft",
                                                                      "rear",  "front", "car"};
inline constexpr std::array<std::string_view, coupling::count> kCouplingNames{
    "clutch", "first", "second", "rear_belt", "front_belt", "brake", "rolling"};
inline constexpr std::array<std::string_view, plant_switch::count> kSwitchNames{"clutch", "shoe_1",
                                                                                "shoe_2", "stage"};
inline constexpr std::array<std::string_view, auxiliary::count> kAuxiliaryNames{
    "rear_strain", "front_strain",   "rear_slip",   "front_slip",   "load_transfer",
    "throttle",    "clutch_surface", "clutch_body", "shoe_surface", "shoe_body"};
inline constexpr std::array<std::string_view, account::count> kAccountNames{
    "distance",        "fuel",        "engine_work", "clutch_loss",  "shoe_loss",
    "mesh_loss",       "belt_loss",   "brake_loss",  "rolling_loss", "rear_tyre_loss",
    "front_tyre_loss", "tyre_stored", "air_loss",    "grade_work"};

/// Index of an auxiliary state in the state vector.
[[nodiscard]] constexpr int state_of(auxiliary::Auxiliary which) {
  return static_cast<int>(node::count) + static_cast<int>(which);
}

inline constexpr int kDrivetrainStates =
    static_cast<int>(node::count) + static_cast<int>(auxiliary::count);

/// The two nodes each coupling joins; twice the same where the other side is the ground.
inline constexpr std::array<std::pair<int, int>, coupling::count> kCouplingNodes{
    {{node::crank, node::bell},
     {node::bell, node::shaft},
     {node::bell, node::shaft},
     {node::shaft, node::rear},
     {node::shaft, node::front},
     {node::shaft, node::shaft},
     {node::car, node::car}}};

}  // namespace layshaft
