#pragma once

/// The parts of a car on a track: those of the car, with corners under its tyres and the driver's
/// foot in place of pedals over time.

#include "layshaft/car/car_list.hpp"
#include "layshaft/car/parts/corner.hpp"
#include "layshaft/car/parts/foot.hpp"
#include "layshaft/car/parts/place.hpp"

namespace layshaft {

struct TrackList {
  using parts = decltype(std::tuple_cat(
      PartsToTheBelts{},
      std::tuple<parts::Place, parts::PedalReached, parts::Brake, parts::Loading, parts::Corner,
                 parts::TyreStore, parts::Axle<parts::End::rear, parts::Road::track>,
                 parts::Axle<parts::End::front, parts::Road::track>>{},
      PartsOfTheBody{}, std::tuple<parts::FootHeld, parts::Foot>{}, PartsBehindTheCar{}, OwnParts{},
      std::tuple<parts::Lap>{}));
};
using TrackNames = parts::PartNames<TrackList>;

/// States after those of the car.
namespace track_state {
inline constexpr int distance = TrackNames::state("distance");
inline constexpr int pedal = TrackNames::state("pedal");
inline constexpr int count = TrackNames::kStates;
}  // namespace track_state

namespace track_switch {
inline constexpr int clutch = TrackNames::plant_switch("clutch");
inline constexpr int shoes = TrackNames::plant_switch("shoe_1");  ///< The first of `kShoes`.
inline constexpr int piece = TrackNames::plant_switch("piece");
inline constexpr int foot = TrackNames::plant_switch("foot");
inline constexpr int count = TrackNames::kSwitches;
}  // namespace track_switch

namespace track_signal {
inline constexpr int rear_load = TrackNames::signal("rear_load");
inline constexpr int front_load = TrackNames::signal("front_load");
inline constexpr int rear_force = TrackNames::signal("rear_force");
inline constexpr int front_force = TrackNames::signal("front_force");
}  // namespace track_signal

/// Accounts after those of the car.
namespace track_account {
inline constexpr int cornering_loss = TrackNames::account("cornering_loss");
inline constexpr int count = TrackNames::kAccounts;
}  // namespace track_account

/// What the driver does.
namespace foot {
enum Foot : int {
  down,   ///< Throttle as far as the tyres take it
  aiming  ///< Throttle and brake hold the speed aimed at
};
}

inline constexpr auto kTrackSwitchNames = names_of(TrackNames::kSwitchRows);

/// The car's own come first.
template <class Own, class All>
[[nodiscard]] constexpr bool begins_with(const All& all, const Own& own) {
  for (std::size_t i = 0; i < own.size(); ++i) {
    if (all[i].name != own[i].name) return false;
  }
  return true;
}
static_assert(begins_with(TrackNames::kStateRows, CarNames::kStateRows));
static_assert(begins_with(TrackNames::kCouplingRows, CarNames::kCouplingRows));
static_assert(begins_with(TrackNames::kAccountRows, CarNames::kAccountRows));

}  // namespace layshaft
