#include "layshaft/run/scalars.hpp"

#include <array>

namespace layshaft {
namespace {

using Run = const LaunchResult&;

// Tables: one line each reads better than a wrapped one.
// clang-format off
constexpr std::array kFirstRows{
    Scalar{"shift_speed", "m/s", "Car speed at which the first shoe touches the drum", [](Run r) { return r.shift.car_speed; }},
    Scalar{"engine_speed_before", "rad/s", "Engine speed as the first shoe touches", [](Run r) { return r.shift.crank_before; }},
    Scalar{"engine_speed_after", "rad/s", "Engine speed as shoes and drum lock", [](Run r) { return r.shift.crank_after; }},
    Scalar{"hand_over", "s", "Time from the first touch to the lock-up of the drum", [](Run r) { return r.shift.lock_time - r.shift.start_time; }},
    Scalar{"shift_time", "s", "Time at which the first shoe touches", [](Run r) { return r.shift.start_time; }},
    Scalar{"first_gear_release_time", "s", "Time at which first gear lets go", [](Run r) { return r.shift.release_time; }},
    Scalar{"shift_distance", "m", "Distance at which the first shoe touches", [](Run r) { return r.shift.distance; }},
    Scalar{"shift_shaft_speed", "rad/s", "Speed of the two-speed shaft as the first shoe touches", [](Run r) { return r.shift.shaft_speed; }},
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
