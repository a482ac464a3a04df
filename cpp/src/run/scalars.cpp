#include "layshaft/run/scalars.hpp"

#include <array>

namespace layshaft {
namespace {

using Run = const LaunchResult&;

// Tables: one line each reads better than a wrapped one.
// clang-format off
constexpr std::array kFirstRows{
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
    Scalar{"end_distance", "m", "Distance at the end", sum_of<LaunchResult, account::distance>},
    Scalar{"peak_speed", "m/s", "Largest car speed", [](Run r) { return r.peaks.car_speed; }},
};
constexpr std::array kTyreRows{
    Scalar{"rear_tyre_loss", "J", "Slip heat of the rear tyres", sum_of<LaunchResult, account::rear_tyre_loss>},
    Scalar{"front_tyre_loss", "J", "Slip heat of the front tyres", sum_of<LaunchResult, account::front_tyre_loss>},
};
constexpr std::array kErrorRows{
    Scalar{"time_error", "s", "Largest estimated error of the times at distances, shift and end", [](Run r) { return r.time_error; }},
};
// clang-format on

constexpr auto kScalars =
    parts::joined<Scalar>(kFirstRows, kPeakRows<LaunchResult>, kTyreRows, kRoadRows<LaunchResult>,
                          kErrorRows, kRunRows<LaunchResult>);

}  // namespace

std::span<const Scalar> scalars() { return kScalars; }

}  // namespace layshaft
