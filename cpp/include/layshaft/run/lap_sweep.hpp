#pragma once

/// Laps of one car with some fields replaced, on all cores. The results are the same bits for any
/// number of threads.

#include "layshaft/car/warnings.hpp"
#include "layshaft/run/lap.hpp"
#include "layshaft/run/sweep.hpp"

namespace layshaft {

struct LapSweepOptions {
  LapOptions lap;
  unsigned threads = 0;  ///< 0 for as many as the machine has cores.
};

/// As the sweep of launches: `scalars` are those of a lap, `distance_times` and `distance_speeds`
/// those of its sectors, with the line as the last. A run is `early` where its lap was not finished
/// or does not repeat. Throws std::invalid_argument for an unknown path, a plan of uneven size or
/// bad options, before any work.
[[nodiscard]] SweepResult lap_sweep(const Car& car, const Track& track, const SweepPlan& plan,
                                    const LapSweepOptions& options, const Progress& progress = {});

/// Warnings of a lap by its largest pitch [rad] and `grip_left` [-]; empty when there is nothing to
/// say.
[[nodiscard]] std::vector<CarWarning> lap_warnings(double peak_pitch, double grip_left);

/// One sentence on why a lap was not finished or does not repeat, and what to try; else empty.
[[nodiscard]] std::string explain_lap(const LapResult& result);

}  // namespace layshaft
