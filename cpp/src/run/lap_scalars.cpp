#include "layshaft/run/lap_scalars.hpp"

#include <algorithm>
#include <array>

namespace layshaft {
namespace {

using Lap = const LapResult&;
using Kind = LapEvent::Kind;

double count_of(Lap r, Kind kind) {
  return static_cast<double>(
      std::ranges::count_if(r.events, [&](const LapEvent& e) { return e.kind == kind; }));
}

double count_shifts(Lap r, Place place) {
  return static_cast<double>(std::ranges::count_if(r.events, [&](const LapEvent& e) {
    return (e.kind == Kind::upshift || e.kind == Kind::downshift) && e.place == place;
  }));
}

// The first upshift in which the drum locked; all not a number without one.
Shift first_shift(Lap r) {
  const auto found =
      std::ranges::find_if(r.events, [](const LapEvent& e) { return is_known(e.up.lock); });
  return found == r.events.end() ? Shift{} : found->up;
}

double bogged(Lap r) {
  return static_cast<double>(std::ranges::count_if(r.corners, &CornerPass::bogs));
}

// Tables: one line each reads better than a wrapped one.
// clang-format off
constexpr std::array kLapFirstRows{
    LapScalar{"lap_time", "s", "Time of the lap", [](Lap r) { return r.time; }},
    LapScalar{"peak_speed", "m/s", "Largest car speed", [](Lap r) { return r.peaks.car_speed; }},
    LapScalar{"least_speed", "m/s", "Least car speed", [](Lap r) { return r.least_speed; }},
    LapScalar{"shift_speed", "m/s", "Car speed at the first upshift of the lap, the engine at its peak", [](Lap r) { return first_shift(r).peak.car_speed; }},
    LapScalar{"shift_distance", "m", "Distance of the first upshift from the line", [](Lap r) { return first_shift(r).peak.distance; }},
    LapScalar{"engine_speed_before", "rad/s", "Engine speed at its peak at that shift", [](Lap r) { return first_shift(r).peak.crank_speed; }},
    LapScalar{"engine_speed_after", "rad/s", "Engine speed at its low after that shift", [](Lap r) { return first_shift(r).low.crank_speed; }},
    LapScalar{"engine_speed_drop", "rad/s", "Engine speed lost from its peak at that shift to its low", [](Lap r) { return first_shift(r).peak.crank_speed - first_shift(r).low.crank_speed; }},
    LapScalar{"contact_speed", "m/s", "Car speed as the first shoe touches for that shift", [](Lap r) { return first_shift(r).contact.car_speed; }},
    LapScalar{"contact_engine_speed", "rad/s", "Engine speed as the first shoe touches for that shift", [](Lap r) { return first_shift(r).contact.crank_speed; }},
    LapScalar{"let_go_speed", "m/s", "Car speed as first gear lets go at that shift", [](Lap r) { return first_shift(r).let_go.car_speed; }},
    LapScalar{"let_go_engine_speed", "rad/s", "Engine speed as first gear lets go at that shift", [](Lap r) { return first_shift(r).let_go.crank_speed; }},
    LapScalar{"lock_speed", "m/s", "Car speed as shoes and drum lock at that shift", [](Lap r) { return first_shift(r).lock.car_speed; }},
    LapScalar{"lock_engine_speed", "rad/s", "Engine speed as shoes and drum lock at that shift", [](Lap r) { return first_shift(r).lock.crank_speed; }},
    LapScalar{"hand_over", "s", "Time from the first touch to the lock-up of the drum at that shift", [](Lap r) { return first_shift(r).lock.time - first_shift(r).contact.time; }},
    LapScalar{"upshifts", "1", "Times first gear let go", [](Lap r) { return count_of(r, Kind::upshift); }},
    LapScalar{"downshifts", "1", "Times both shoes came back, first gear having let go before", [](Lap r) { return count_of(r, Kind::downshift); }},
    LapScalar{"shifts_in_corners", "1", "Shifts of either kind in a corner", [](Lap r) { return count_shifts(r, Place::in_corner); }},
    LapScalar{"shifts_before_corners", "1", "Shifts of either kind just before a corner", [](Lap r) { return count_shifts(r, Place::before_corner); }},
    LapScalar{"clutch_openings", "1", "Times the engine clutch let go", [](Lap r) { return count_of(r, Kind::clutch_opens); }},
    LapScalar{"bogged_exits", "1", "Corner exits that the engine limits: below the clutch's engagement, or with too little power below the speed of the most", bogged},
    LapScalar{"most_grip", "1", "Largest share of the grip used sideways", most_grip},
    LapScalar{"grip_left", "1", "Largest share of the grip left at a corner where no margin uses it up", grip_left},
};
constexpr std::array kLapTyreRows{
    LapScalar{"rear_tyre_loss", "J", "Slip heat of the rear tyres along the road", sum_of<LapResult, account::rear_tyre_loss>},
    LapScalar{"front_tyre_loss", "J", "Slip heat of the front tyres along the road", sum_of<LapResult, account::front_tyre_loss>},
    LapScalar{"cornering_loss", "J", "Work of the tyres' drag in corners", sum_of<LapResult, track_account::cornering_loss>},
};
constexpr std::array kLapErrorRows{
    LapScalar{"laps_driven", "1", "Laps driven in all until one repeated, with every margin tried", [](Lap r) { return static_cast<double>(r.laps); }},
    LapScalar{"time_error", "s", "Largest estimated error of the times at the sectors' ends and of the lap", [](Lap r) { return r.time_error; }},
};
// clang-format on

constexpr auto kLapScalars =
    parts::joined<LapScalar>(kLapFirstRows, kPeakRows<LapResult>, kLapTyreRows,
                             kRoadRows<LapResult>, kLapErrorRows, kRunRows<LapResult>);

}  // namespace

std::span<const LapScalar> lap_scalars() { return kLapScalars; }

}  // namespace layshaft
