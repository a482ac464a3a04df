#include "layshaft/run/scalars.hpp"

#include <array>

namespace layshaft {
namespace {

template <int Which>
double sum_of(const LaunchResult& run) {
  return run.accounts[Which];
}

using Run = const LaunchResult&;

// A table: one line each reads better than a wrapped one.
// clang-format off
constexpr std::array kScalars{
    Scalar{"shift_time", "s", "Time of the shift as it is heard: the engine at its peak", [](Run r) { return r.shift.peak.time; }},
    Scalar{"shift_speed", "m/s", "Car speed at the shift, the engine at its peak", [](Run r) { return r.shift.peak.car_speed; }},
    Scalar{"shift_distance", "m", "Distance at the shift, the engine at its peak", [](Run r) { return r.shift.peak.distance; }},
    Scalar{"engine_speed_before", "rad/s", "Engine speed at its peak at the shift", [](Run r) { return r.shift.peak.crank_speed; }},
    Scalar{"engine_speed_after", "rad/s", "Engine speed at its low after the shift", [](Run r) { return r.shift.low.crank_speed; }},
    Scalar{"low_time", "s", "Time of the engine's low after the shift", [](Run r) { return r.shift.low.time; }},
    Scalar{"low_speed", "m/s", "Car speed at the engine's low after the shift", [](Run r) { return r.shift.low.car_speed; }},
    Scalar{"engine_speed_drop", "rad/s", "Engine speed lost from its peak at the shift to its low", [](Run r) { return r.shift.peak.crank_speed - r.shift.low.crank_speed; }},
    Scalar{"contact_time", "s", "Time at which the first shoe touches the drum", [](Run r) { return r.shift.contact.time; }},
    Scalar{"contact_speed", "m/s", "Car speed as the first shoe touches", [](Run r) { return r.shift.contact.car_speed; }},
    Scalar{"contact_engine_speed", "rad/s", "Engine speed as the first shoe touches", [](Run r) { return r.shift.contact.crank_speed; }},
    Scalar{"contact_shaft_speed", "rad/s", "Speed of the two-speed shaft as the first shoe touches", [](Run r) { return r.shift.shaft_speed; }},
    Scalar{"let_go_time", "s", "Time at which first gear lets go", [](Run r) { return r.shift.let_go.time; }},
    Scalar{"let_go_speed", "m/s", "Car speed as first gear lets go", [](Run r) { return r.shift.let_go.car_speed; }},
    Scalar{"let_go_engine_speed", "rad/s", "Engine speed as first gear lets go", [](Run r) { return r.shift.let_go.crank_speed; }},
    Scalar{"lock_time", "s", "Time at which shoes and drum lock", [](Run r) { return r.shift.lock.time; }},
    Scalar{"lock_speed", "m/s", "Car speed as shoes and drum lock", [](Run r) { return r.shift.lock.car_speed; }},
    Scalar{"lock_engine_speed", "rad/s", "Engine speed as shoes and drum lock", [](Run r) { return r.shift.lock.crank_speed; }},
    Scalar{"hand_over", "s", "Time from the first touch to the lock-up of the drum", [](Run r) { return r.shift.lock.time - r.shift.contact.time; }},
    Scalar{"shift_heat", "J", "Slip heat in shoes and drum during the hand-over", [](Run r) { return r.shift.heat; }},
    Scalar{"upshifts", "1", "Lock-ups of the drum", [](Run r) { return static_cast<double>(r.upshifts); }},
    Scalar{"downshifts", "1", "Times both shoes came back", [](Run r) { return static_cast<double>(r.downshifts); }},
    Scalar{"clutch_lock_time", "s", "First lock-up of the engine clutch", [](Run r) { return r.clutch_lock_time; }},
    Scalar{"end_time", "s", "Time at which the run ended", [](Run r) { return r.ending.time; }},
    Scalar{"end_speed", "m/s", "Car speed at the end", [](Run r) { return r.state(node::car); }},
    Scalar{"end_distance", "m", "Distance at the end", sum_of<account::distance>},
    Scalar{"peak_speed", "m/s", "Largest car speed", [](Run r) { return r.peaks.car_speed; }},
    Scalar{"peak_engine_speed", "rad/s", "Largest engine speed", [](Run r) { return r.peaks.crank_speed; }},
    Scalar{"peak_rear_slip", "1", "Largest slip of the rear tyres", [](Run r) { return r.peaks.rear_slip; }},
    Scalar{"peak_front_slip", "1", "Largest slip of the front tyres", [](Run r) { return r.peaks.front_slip; }},
    Scalar{"peak_clutch_temperature", "K", "Largest temperature of the clutch lining", [](Run r) { return r.peaks.clutch_temperature; }},
    Scalar{"peak_shoe_temperature", "K", "Largest temperature of the shoe lining", [](Run r) { return r.peaks.shoe_temperature; }},
    Scalar{"peak_pitch", "rad", "Largest pitch of the body, an axle off the ground", [](Run r) { return r.peaks.pitch; }},
    Scalar{"lifted_time", "s", "How long an axle was off the ground", [](Run r) { return r.lifted_time; }},
    Scalar{"fuel", "kg", "Fuel burnt", sum_of<account::fuel>},
    Scalar{"engine_work", "J", "Work of the engine", sum_of<account::engine_work>},
    Scalar{"car_energy", "J", "Energy of motion gained by the car", [](Run r) { return r.car_energy; }},
    Scalar{"rotating_energy", "J", "Energy of motion gained by all that turns", [](Run r) { return r.rotating_energy; }},
    Scalar{"clutch_loss", "J", "Slip heat of the engine clutch", sum_of<account::clutch_loss>},
    Scalar{"shoe_loss", "J", "Slip heat of shoes and drum", sum_of<account::shoe_loss>},
    Scalar{"mesh_loss", "J", "Loss of the gear meshes", sum_of<account::mesh_loss>},
    Scalar{"belt_loss", "J", "Loss of the belts", sum_of<account::belt_loss>},
    Scalar{"brake_loss", "J", "Heat of the brake and bearing drag", sum_of<account::brake_loss>},
    Scalar{"rolling_loss", "J", "Rolling drag of the tyres", sum_of<account::rolling_loss>},
    Scalar{"rear_tyre_loss", "J", "Slip heat of the rear tyres", sum_of<account::rear_tyre_loss>},
    Scalar{"front_tyre_loss", "J", "Slip heat of the front tyres", sum_of<account::front_tyre_loss>},
    Scalar{"tyre_stored", "J", "Elastic work left in the tyres", sum_of<account::tyre_stored>},
    Scalar{"air_loss", "J", "Work against the air", sum_of<account::air_loss>},
    Scalar{"grade_work", "J", "Work against the grade", sum_of<account::grade_work>},
    Scalar{"energy_residual", "J", "Engine work less all gains and losses", [](Run r) { return r.energy_residual; }},
    Scalar{"time_error", "s", "Largest estimated error of the times at distances, shift and end", [](Run r) { return r.time_error; }},
    Scalar{"edges", "1", "Times that a switch hung on less than the estimated error", [](Run r) { return static_cast<double>(r.edges); }},
    Scalar{"doubtful", "1", "1 where the times may be off by more than 0.5 ms, else 0", [](Run r) { return r.doubtful ? 1.0 : 0.0; }},
    Scalar{"mode_changes", "1", "Entries in the list of mode changes", [](Run r) { return static_cast<double>(r.changes.size()); }},
    Scalar{"steps", "1", "Steps of the integrator", [](Run r) { return static_cast<double>(r.ending.steps); }},
};
// clang-format on

}  // namespace

std::span<const Scalar> scalars() { return kScalars; }

}  // namespace layshaft
