#pragma once

/// Many runs of one car with some fields replaced, on all cores.
///
/// Each core runs several launches side by side in lanes (`ensemble.hpp`), all drawn from one
/// queue. Runs are independent, each written to its own place, so the results are the same bits for
/// any number of threads and lanes. A run that fails leaves not-a-numbers and its message; the
/// others go on.

#include <functional>
#include <string>
#include <vector>

#include "layshaft/run/explain.hpp"
#include "layshaft/run/launch.hpp"
#include "layshaft/run/sweep_plan.hpp"

namespace layshaft {

struct SweepOptions {
  LaunchOptions launch;
  unsigned threads = 0;   ///< 0 for as many as the machine has cores.
  std::size_t lanes = 0;  ///< At most so many side by side; 0 as `lane_form` has it.
};

enum class RunStatus : std::uint8_t {
  finished,  ///< To the distance, or to the longest time.
  early,     ///< Stopped by the integrator; the message says where and why.
  refused,   ///< Its values were refused; the message says which.
  not_run,   ///< The sweep was stopped before its turn.
};

struct SweepResult {
  std::size_t runs;
  std::vector<double> scalars;          ///< runs x scalars(), row after row.
  std::vector<double> distance_times;   ///< runs x distance marks [s].
  std::vector<double> distance_speeds;  ///< runs x distance marks [m/s].
  std::vector<double> speed_times;      ///< runs x speed marks [s].
  std::vector<RunStatus> status;
  std::vector<std::string> messages;  ///< Empty for a finished run.
};

/// Called about every 50 ms on the calling thread with the number of runs done; returns whether to
/// go on.
using Progress = std::function<bool(std::size_t done, std::size_t total)>;

/// Throws std::invalid_argument for an unknown path or a plan of uneven size, before any work.
[[nodiscard]] SweepResult sweep(const Car& car, const SweepPlan& plan, const SweepOptions& options,
                                const Progress& progress = {});

/// The same of cars that are worked out as their turn comes, each by its number; called on any of
/// the threads. std::invalid_argument from it refuses that run alone.
[[nodiscard]] SweepResult sweep(std::size_t runs, const std::function<Car(std::size_t run)>& car_of,
                                const SweepOptions& options, const Progress& progress = {});

[[nodiscard]] constexpr std::string_view to_string(RunStatus status) {
  switch (status) {
    case RunStatus::finished: return "finished";
    case RunStatus::early: return "early";
    case RunStatus::refused: return "refused";
    case RunStatus::not_run: return "not_run";
  }
  return "unknown";
}

}  // namespace layshaft
