#include "layshaft/run/scalars.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <vector>

#include "layshaft/run/lap.hpp"
#include "layshaft/run/launch.hpp"

namespace layshaft {
namespace {

using Run = const LaunchResult&;
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

double bogged(Lap r) {
  return static_cast<double>(std::ranges::count_if(r.corners, &CornerPass::bogs));
}

const Shift& shift_of(Run r) { return r.shift; }

// The first upshift in which the drum locked; all not a number without one.
Shift shift_of(Lap r) {
  const auto found =
      std::ranges::find_if(r.events, [](const LapEvent& e) { return is_known(e.up.lock); });
  return found == r.events.end() ? Shift{} : found->up;
}

// A row of the list: how a launch and a lap get the number; null where there is none.
struct ScalarRow {
  std::string_view name;
  std::string_view unit;
  std::string_view meaning;
  double (*of_launch)(Run);
  double (*of_lap)(Lap);
};

template <class Get>
constexpr ScalarRow of_both(std::string_view name, std::string_view unit, std::string_view meaning,
                            Get get) {
  return {name, unit, meaning, get, get};
}

// Of the shift.
template <class Get>
constexpr ScalarRow of_shift(std::string_view name, std::string_view unit, std::string_view meaning,
                             Get) {
  return of_both(name, unit, meaning, [](const auto& r) { return Get{}(shift_of(r)); });
}

// An account at the end.
template <std::size_t Which>
constexpr ScalarRow of_account(std::string_view name, std::string_view meaning,
                               std::string_view unit = "J") {
  return of_both(name, unit, meaning, [](const auto& r) -> double { return r.accounts[Which]; });
}

constexpr ScalarRow of_launches(std::string_view name, std::string_view unit,
                                std::string_view meaning, double (*get)(Run)) {
  return {name, unit, meaning, get, nullptr};
}

constexpr ScalarRow of_laps(std::string_view name, std::string_view unit, std::string_view meaning,
                            double (*get)(Lap)) {
  return {name, unit, meaning, nullptr, get};
}

// A table: one line each reads better than a wrapped one.
// clang-format off
constexpr std::array kScalarRows{
    of_laps("lap_time", "s", "Time of the lap", [](Lap r) { return r.time; }),
    of_shift("shift_time", "s", "Time of the first shift as it is heard: the engine at its peak", [](const Shift& s) { return s.peak.time; }),
    of_shift("shift_speed", "m/s", "Car speed at the first shift, the engine at its peak", [](const Shift& s) { return s.peak.car_speed; }),
    of_shift("shift_distance", "m", "Distance at the first shift, the engine at its peak", [](const Shift& s) { return s.peak.distance; }),
    of_shift("engine_speed_before", "rad/s", "Engine speed at its peak at the first shift", [](const Shift& s) { return s.peak.crank_speed; }),
    of_shift("engine_speed_after", "rad/s", "Engine speed at its low after that shift", [](const Shift& s) { return s.low.crank_speed; }),
    of_shift("low_time", "s", "Time of the engine's low after that shift", [](const Shift& s) { return s.low.time; }),
    of_shift("low_speed", "m/s", "Car speed at the engine's low after that shift", [](const Shift& s) { return s.low.car_speed; }),
    of_shift("engine_speed_drop", "rad/s", "Engine speed lost from its peak at that shift to its low", [](const Shift& s) { return s.peak.crank_speed - s.low.crank_speed; }),
    of_shift("contact_time", "s", "Time at which the first shoe touches the drum", [](const Shift& s) { return s.contact.time; }),
    of_shift("contact_speed", "m/s", "Car speed as the first shoe touches", [](const Shift& s) { return s.contact.car_speed; }),
    of_shift("contact_engine_speed", "rad/s", "Engine speed as the first shoe touches", [](const Shift& s) { return s.contact.crank_speed; }),
    of_shift("contact_shaft_speed", "rad/s", "Speed of the two-speed shaft as the first shoe touches", [](const Shift& s) { return s.shaft_speed; }),
    of_shift("let_go_time", "s", "Time at which first gear lets go", [](const Shift& s) { return s.let_go.time; }),
    of_shift("let_go_speed", "m/s", "Car speed as first gear lets go", [](const Shift& s) { return s.let_go.car_speed; }),
    of_shift("let_go_engine_speed", "rad/s", "Engine speed as first gear lets go", [](const Shift& s) { return s.let_go.crank_speed; }),
    of_shift("lock_time", "s", "Time at which shoes and drum lock", [](const Shift& s) { return s.lock.time; }),
    of_shift("lock_speed", "m/s", "Car speed as shoes and drum lock", [](const Shift& s) { return s.lock.car_speed; }),
    of_shift("lock_engine_speed", "rad/s", "Engine speed as shoes and drum lock", [](const Shift& s) { return s.lock.crank_speed; }),
    of_shift("hand_over", "s", "Time from the first touch to the lock-up of the drum", [](const Shift& s) { return s.lock.time - s.contact.time; }),
    of_shift("shift_heat", "J", "Slip heat in shoes and drum during the hand-over", [](const Shift& s) { return s.heat; }),
    of_launches("upshifts", "1", "Lock-ups of the drum", [](Run r) { return static_cast<double>(r.upshifts); }),
    of_launches("downshifts", "1", "Times both shoes came back", [](Run r) { return static_cast<double>(r.downshifts); }),
    of_laps("upshifts", "1", "Times first gear let go", [](Lap r) { return count_of(r, Kind::upshift); }),
    of_laps("downshifts", "1", "Times both shoes came back, first gear having let go before", [](Lap r) { return count_of(r, Kind::downshift); }),
    of_laps("shifts_in_corners", "1", "Shifts of either kind in a corner", [](Lap r) { return count_shifts(r, Place::in_corner); }),
    of_laps("shifts_before_corners", "1", "Shifts of either kind just before a corner", [](Lap r) { return count_shifts(r, Place::before_corner); }),
    of_laps("clutch_openings", "1", "Times the engine clutch let go", [](Lap r) { return count_of(r, Kind::clutch_opens); }),
    of_laps("bogged_exits", "1", "Corner exits that the engine limits: below the clutch's engagement, or with too little power below the speed of the most", bogged),
    of_laps("most_grip", "1", "Largest share of the grip used sideways", most_grip),
    of_laps("grip_left", "1", "Largest share of the grip left at a corner where no margin uses it up", grip_left),
    of_launches("clutch_lock_time", "s", "First lock-up of the engine clutch", [](Run r) { return r.clutch_lock_time; }),
    of_launches("end_time", "s", "Time at which the run ended", [](Run r) { return r.ending.time; }),
    of_launches("end_speed", "m/s", "Car speed at the end", [](Run r) { return r.state(node::car); }),
    of_launches("end_distance", "m", "Distance at the end", [](Run r) { return r.accounts[account::distance]; }),
    of_both("peak_speed", "m/s", "Largest car speed", [](const auto& r) { return r.peaks.car_speed; }),
    of_laps("least_speed", "m/s", "Least car speed", [](Lap r) { return r.least_speed; }),
    of_both("peak_engine_speed", "rad/s", "Largest engine speed", [](const auto& r) { return r.peaks.crank_speed; }),
    of_both("peak_rear_slip", "1", "Largest slip of the rear tyres", [](const auto& r) { return r.peaks.rear_slip; }),
    of_both("peak_front_slip", "1", "Largest slip of the front tyres", [](const auto& r) { return r.peaks.front_slip; }),
    of_both("peak_clutch_temperature", "K", "Largest temperature of the clutch lining", [](const auto& r) { return r.peaks.clutch_temperature; }),
    of_both("peak_shoe_temperature", "K", "Largest temperature of the shoe lining", [](const auto& r) { return r.peaks.shoe_temperature; }),
    of_both("peak_pitch", "rad", "Largest pitch of the body, an axle off the ground", [](const auto& r) { return r.peaks.pitch; }),
    of_both("lifted_time", "s", "How long an axle was off the ground", [](const auto& r) { return r.lifted_time; }),
    of_account<account::fuel>("fuel", "Fuel burnt", "kg"),
    of_account<account::engine_work>("engine_work", "Work of the engine"),
    of_both("car_energy", "J", "Energy of motion gained by the car", [](const auto& r) { return r.car_energy; }),
    of_both("rotating_energy", "J", "Energy of motion gained by all that turns", [](const auto& r) { return r.rotating_energy; }),
    of_account<account::clutch_loss>("clutch_loss", "Slip heat of the engine clutch"),
    of_account<account::shoe_loss>("shoe_loss", "Slip heat of shoes and drum"),
    of_account<account::mesh_loss>("mesh_loss", "Loss of the gear meshes"),
    of_account<account::belt_loss>("belt_loss", "Loss of the belts"),
    of_account<account::brake_loss>("brake_loss", "Heat of the brake and bearing drag"),
    of_account<account::rolling_loss>("rolling_loss", "Rolling drag of the tyres"),
    of_account<account::rear_tyre_loss>("rear_tyre_loss", "Slip heat of the rear tyres along the road"),
    of_account<account::front_tyre_loss>("front_tyre_loss", "Slip heat of the front tyres along the road"),
    of_laps("cornering_loss", "J", "Work of the tyres' drag in corners", [](Lap r) { return r.accounts[track_account::cornering_loss]; }),
    of_account<account::tyre_stored>("tyre_stored", "Elastic work left in the tyres"),
    of_account<account::air_loss>("air_loss", "Work against the air"),
    of_account<account::grade_work>("grade_work", "Work against the grade"),
    of_both("energy_residual", "J", "Engine work less all gains and losses", [](const auto& r) { return r.energy_residual; }),
    of_laps("laps_driven", "1", "Laps driven in all until one repeated, with every margin tried", [](Lap r) { return static_cast<double>(r.laps); }),
    of_both("time_error", "s", "Largest estimated error of its times: at distances, sectors and its end, and of the shift of a launch", [](const auto& r) { return r.time_error; }),
    of_both("edges", "1", "Times that a switch hung on less than the estimated error", [](const auto& r) { return static_cast<double>(r.edges); }),
    of_both("doubtful", "1", "1 where the times may be off by more than 0.5 ms, or a lap hangs on which side of a jump of its grip the driver stays, else 0", [](const auto& r) { return r.doubtful ? 1.0 : 0.0; }),
    of_both("mode_changes", "1", "Entries in the list of mode changes", [](const auto& r) { return static_cast<double>(r.changes.size()); }),
    of_both("steps", "1", "Steps of the integrator", [](const auto& r) { return static_cast<double>(r.ending.steps); }),
};
// clang-format on

// The rows that a kind of run has. Not worked out by the compiler: g++ 12 takes no function for a
// constant where it looks for undefined behaviour too.
template <auto Get, class Result>
std::vector<ScalarOf<Result>> scalars_with() {
  std::vector<ScalarOf<Result>> found;
  for (const ScalarRow& row : kScalarRows) {
    if (row.*Get != nullptr) found.push_back({row.name, row.unit, row.meaning, row.*Get});
  }
  return found;
}

}  // namespace

std::span<const Scalar> scalars() {
  static const auto all = scalars_with<&ScalarRow::of_launch, LaunchResult>();
  return all;
}

std::span<const LapScalar> lap_scalars() {
  static const auto all = scalars_with<&ScalarRow::of_lap, LapResult>();
  return all;
}

}  // namespace layshaft
