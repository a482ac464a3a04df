#include "layshaft/run/lap_scalars.hpp"

#include <algorithm>
#include <array>

namespace layshaft {
namespace {

using Run = const LapResult&;
using Kind = LapEvent::Kind;

template <std::size_t Which>
double sum_of(Run r) {
  return r.accounts[Which];
}

double count_of(Run r, Kind kind) {
  return static_cast<double>(
      std::ranges::count_if(r.events, [&](const LapEvent& e) { return e.kind == kind; }));
}

double count_shifts(Run r, Place place) {
  return static_cast<double>(std::ranges::count_if(r.events, [&](const LapEvent& e) {
    return (e.kind == Kind::upshift || e.kind == Kind::downshift) && e.place == place;
  }));
}

// The first upshift in which the drum locked; all not a number without one.
Shift first_shift(Run r) {
  const auto found =
      std::ranges::find_if(r.events, [](const LapEvent& e) { return is_known(e.up.lock); });
  return found == r.events.end() ? Shift{} : found->up;
}

double bogged(Run r) {
  return static_cast<double>(std::ranges::count_if(r.corners, &CornerPass::bogs));
}

// A table: one line each reads better than a wrapped one.
// clang-format off
constexpr std::array kScalars{
    LapScalar{"lap_time", "s", "Time of the lap", [](Run r) { return r.time; }},
    LapScalar{"peak_speed", "m/s", "Largest car speed", [](Run r) { return r.peaks.car_speed; }},
    LapScalar{"least_speed", "m/s", "Least car speed", [](Run r) { return r.least_speed; }},
    LapScalar{"shift_speed", "m/s", "Car speed at the first upshift of the lap, the engine at its peak", [](Run r) { return first_shift(r).peak.car_speed; }},
    LapScalar{"shift_distance", "m", "Distance of the first upshift from the line", [](Run r) { return first_shift(r).peak.distance; }},
    LapScalar{"engine_speed_before", "rad/s", "Engine speed at its peak at that shift", [](Run r) { return first_shift(r).peak.crank_speed; }},
    LapScalar{"engine_speed_after", "rad/s", "Engine speed at its low after that shift", [](Run r) { return first_shift(r).low.crank_speed; }},
    LapScalar{"engine_speed_drop", "rad/s", "Engine speed lost from its peak at that shift to its low", [](Run r) { return first_shift(r).peak.crank_speed - first_shift(r).low.crank_speed; }},
    LapScalar{"contact_speed", "m/s", "Car speed as the first shoe touches for that shift", [](Run r) { return first_shift(r).contact.car_speed; }},
    LapScalar{"contact_engine_speed", "rad/s", "Engine speed as the first shoe touches for that shift", [](Run r) { return first_shift(r).contact.crank_speed; }},
    LapScalar{"let_go_speed", "m/s", "Car speed as first gear lets go at that shift", [](Run r) { return first_shift(r).let_go.car_speed; }},
    LapScalar{"let_go_engine_speed", "rad/s", "Engine speed as first gear lets go at that shift", [](Run r) { return first_shift(r).let_go.crank_speed; }},
    LapScalar{"lock_speed", "m/s", "Car speed as shoes and drum lock at that shift", [](Run r) { return first_shift(r).lock.car_speed; }},
    LapScalar{"lock_engine_speed", "rad/s", "Engine speed as shoes and drum lock at that shift", [](Run r) { return first_shift(r).lock.crank_speed; }},
    LapScalar{"hand_over", "s", "Time from the first touch to the lock-up of the drum at that shift", [](Run r) { return first_shift(r).lock.time - first_shift(r).contact.time; }},
    LapScalar{"upshifts", "1", "Times first gear let go", [](Run r) { return count_of(r, Kind::upshift); }},
    LapScalar{"downshifts", "1", "Times both shoes came back, first gear having let go before", [](Run r) { return count_of(r, Kind::downshift); }},
    LapScalar{"shifts_in_corners", "1", "Shifts of either kind in a corner", [](Run r) { return count_shifts(r, Place::in_corner); }},
    LapScalar{"shifts_before_corners", "1", "Shifts of either kind just before a corner", [](Run r) { return count_shifts(r, Place::before_corner); }},
    LapScalar{"clutch_openings", "1", "Times the engine clutch let go", [](Run r) { return count_of(r, Kind::clutch_opens); }},
    LapScalar{"bogged_exits", "1", "Corner exits below the clutch's engagement, or with too little power below the speed of the most", bogged},
    LapScalar{"most_grip", "1", "Largest share of the grip used sideways", most_grip},
    LapScalar{"grip_left", "1", "Largest share of the grip left at a corner where no margin uses it up", grip_left},
    LapScalar{"peak_engine_speed", "rad/s", "Largest engine speed", [](Run r) { return r.peaks.crank_speed; }},
    LapScalar{"peak_rear_slip", "1", "Largest slip of the rear tyres", [](Run r) { return r.peaks.rear_slip; }},
    LapScalar{"peak_front_slip", "1", "Largest slip of the front tyres", [](Run r) { return r.peaks.front_slip; }},
    LapScalar{"peak_clutch_temperature", "K", "Largest temperature of the clutch lining", [](Run r) { return r.peaks.clutch_temperature; }},
    LapScalar{"peak_shoe_temperature", "K", "Largest temperature of the shoe lining", [](Run r) { return r.peaks.shoe_temperature; }},
    LapScalar{"peak_pitch", "rad", "Largest pitch of the body, an axle off the ground", [](Run r) { return r.peaks.pitch; }},
    LapScalar{"lifted_time", "s", "How long an axle was off the ground", [](Run r) { return r.lifted_time; }},
    LapScalar{"fuel", "kg", "Fuel burnt", sum_of<account::fuel>},
    LapScalar{"engine_work", "J", "Work of the engine", sum_of<account::engine_work>},
    LapScalar{"car_energy", "J", "Energy of motion gained by the car", [](Run r) { return r.car_energy; }},
    LapScalar{"rotating_energy", "J", "Energy of motion gained by all that turns", [](Run r) { return r.rotating_energy; }},
    LapScalar{"clutch_loss", "J", "Slip heat of the engine clutch", sum_of<account::clutch_loss>},
    LapScalar{"shoe_loss", "J", "Slip heat of shoes and drum", sum_of<account::shoe_loss>},
    LapScalar{"mesh_loss", "J", "Loss of the gear meshes", sum_of<account::mesh_loss>},
    LapScalar{"belt_loss", "J", "Loss of the belts", sum_of<account::belt_loss>},
    LapScalar{"brake_loss", "J", "Heat of the brake and bearing drag", sum_of<account::brake_loss>},
    LapScalar{"rolling_loss", "J", "Rolling drag of the tyres", sum_of<account::rolling_loss>},
    LapScalar{"rear_tyre_loss", "J", "Slip heat of the rear tyres along the road", sum_of<account::rear_tyre_loss>},
    LapScalar{"front_tyre_loss", "J", "Slip heat of the front tyres along the road", sum_of<account::front_tyre_loss>},
    LapScalar{"cornering_loss", "J", "Work of the tyres' drag in corners", sum_of<track_account::cornering_loss>},
    LapScalar{"tyre_stored", "J", "Elastic work left in the tyres", sum_of<account::tyre_stored>},
    LapScalar{"air_loss", "J", "Work against the air", sum_of<account::air_loss>},
    LapScalar{"grade_work", "J", "Work against the grade", sum_of<account::grade_work>},
    LapScalar{"energy_residual", "J", "Engine work less all gains and losses", [](Run r) { return r.energy_residual; }},
    LapScalar{"laps_driven", "1", "Laps driven in all until one repeated, with every margin tried", [](Run r) { return static_cast<double>(r.laps); }},
    LapScalar{"time_error", "s", "Largest estimated error of the times at the sectors' ends and of the lap", [](Run r) { return r.time_error; }},
    LapScalar{"edges", "1", "Times that a switch hung on less than the estimated error", [](Run r) { return static_cast<double>(r.edges); }},
    LapScalar{"doubtful", "1", "1 where the times may be off by more than 0.5 ms, else 0", [](Run r) { return r.doubtful ? 1.0 : 0.0; }},
    LapScalar{"mode_changes", "1", "Entries in the list of mode changes", [](Run r) { return static_cast<double>(r.changes.size()); }},
    LapScalar{"steps", "1", "Steps of the integrator", [](Run r) { return static_cast<double>(r.ending.steps); }},
};
// clang-format on

}  // namespace

std::span<const LapScalar> lap_scalars() { return kScalars; }

}  // namespace layshaft
