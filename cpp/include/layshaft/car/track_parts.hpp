#pragma once

/// What a car on a track has beside the car on a straight road: states, switches, an account.

#include "layshaft/car/parts.hpp"

namespace layshaft {

/// States after those of the car.
namespace track_state {
enum State : int {
  distance = kDrivetrainStates,  ///< Along the lap [m]
  pedal,                         ///< Of the brake, reached [-]
  count
};
}

/// The car's own switches, its stage of the pedals aside.
namespace track_switch {
enum Switch : int {
  clutch,
  shoe_1,
  shoe_2,
  piece,  ///< Of the track
  foot,   ///< See `foot`
  count
};
}

/// What the driver does.
namespace foot {
enum Foot : int {
  down,   ///< Throttle as far as the tyres take it
  aiming  ///< Throttle and brake hold the speed aimed at
};
}

/// Accounts after those of the car.
namespace track_account {
enum Account : int { cornering_loss = account::count, count };
}

inline constexpr std::array<std::string_view, track_switch::count> kTrackSwitchNames{
    "clutch", "shoe_1", "shoe_2", "piece", "foot"};

}  // namespace layshaft
