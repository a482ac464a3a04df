#pragma once

/// One scalar result of a run, and the rows that launches and laps have alike.

#include <array>
#include <cstddef>
#include <string_view>

#include "layshaft/car/car_list.hpp"

namespace layshaft {

template <class Result>
struct ScalarOf {
  std::string_view name;
  std::string_view unit;  ///< SI unit; "1" for a ratio or a count.
  std::string_view meaning;
  double (*get)(const Result&);
};

/// An account at the end of a run.
template <class Result, std::size_t Which>
[[nodiscard]] double sum_of(const Result& run) {
  return run.accounts[Which];
}

// Tables: one line each reads better than a wrapped one.
// clang-format off
/// Peaks, fuel, and where the energy went, as far as the tyres.
template <class Result>
inline constexpr std::array kPeakRows{
    ScalarOf<Result>{"peak_engine_speed", "rad/s", "Largest engine speed", [](const Result& r) { return r.peaks.crank_speed; }},
    ScalarOf<Result>{"peak_rear_slip", "1", "Largest slip of the rear tyres", [](const Result& r) { return r.peaks.rear_slip; }},
    ScalarOf<Result>{"peak_front_slip", "1", "Largest slip of the front tyres", [](const Result& r) { return r.peaks.front_slip; }},
    ScalarOf<Result>{"peak_clutch_temperature", "K", "Largest temperature of the clutch lining", [](const Result& r) { return r.peaks.clutch_temperature; }},
    ScalarOf<Result>{"peak_shoe_temperature", "K", "Largest temperature of the shoe lining", [](const Result& r) { return r.peaks.shoe_temperature; }},
    ScalarOf<Result>{"peak_pitch", "rad", "Largest pitch of the body, an axle off the ground", [](const Result& r) { return r.peaks.pitch; }},
    ScalarOf<Result>{"lifted_time", "s", "How long an axle was off the ground", [](const Result& r) { return r.lifted_time; }},
    ScalarOf<Result>{"fuel", "kg", "Fuel burnt", sum_of<Result, account::fuel>},
    ScalarOf<Result>{"engine_work", "J", "Work of the engine", sum_of<Result, account::engine_work>},
    ScalarOf<Result>{"car_energy", "J", "Energy of motion gained by the car", [](const Result& r) { return r.car_energy; }},
    ScalarOf<Result>{"rotating_energy", "J", "Energy of motion gained by all that turns", [](const Result& r) { return r.rotating_energy; }},
    ScalarOf<Result>{"clutch_loss", "J", "Slip heat of the engine clutch", sum_of<Result, account::clutch_loss>},
    ScalarOf<Result>{"shoe_loss", "J", "Slip heat of shoes and drum", sum_of<Result, account::shoe_loss>},
    ScalarOf<Result>{"mesh_loss", "J", "Loss of the gear meshes", sum_of<Result, account::mesh_loss>},
    ScalarOf<Result>{"belt_loss", "J", "Loss of the belts", sum_of<Result, account::belt_loss>},
    ScalarOf<Result>{"brake_loss", "J", "Heat of the brake and bearing drag", sum_of<Result, account::brake_loss>},
    ScalarOf<Result>{"rolling_loss", "J", "Rolling drag of the tyres", sum_of<Result, account::rolling_loss>},
};
/// Where the energy went behind them.
template <class Result>
inline constexpr std::array kRoadRows{
    ScalarOf<Result>{"tyre_stored", "J", "Elastic work left in the tyres", sum_of<Result, account::tyre_stored>},
    ScalarOf<Result>{"air_loss", "J", "Work against the air", sum_of<Result, account::air_loss>},
    ScalarOf<Result>{"grade_work", "J", "Work against the grade", sum_of<Result, account::grade_work>},
    ScalarOf<Result>{"energy_residual", "J", "Engine work less all gains and losses", [](const Result& r) { return r.energy_residual; }},
};
/// How the run went.
template <class Result>
inline constexpr std::array kRunRows{
    ScalarOf<Result>{"edges", "1", "Times that a switch hung on less than the estimated error", [](const Result& r) { return static_cast<double>(r.edges); }},
    ScalarOf<Result>{"doubtful", "1", "1 where the times may be off by more than 0.5 ms, else 0", [](const Result& r) { return r.doubtful ? 1.0 : 0.0; }},
    ScalarOf<Result>{"mode_changes", "1", "Entries in the list of mode changes", [](const Result& r) { return static_cast<double>(r.changes.size()); }},
    ScalarOf<Result>{"steps", "1", "Steps of the integrator", [](const Result& r) { return static_cast<double>(r.ending.steps); }},
};
// clang-format on

}  // namespace layshaft
