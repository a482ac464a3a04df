#include "layshaft/run/lap_sweep.hpp"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <condition_variable>
#include <mutex>
#include <sstream>
#include <stdexcept>
#include <thread>

#include "layshaft/run/lap_scalars.hpp"

namespace layshaft {
namespace {

constexpr double kNotANumber = std::numeric_limits<double>::quiet_NaN();
constexpr auto kPollInterval = std::chrono::milliseconds(50);

SweepResult empty_result(std::size_t runs, std::size_t sectors) {
  SweepResult result{};
  result.runs = runs;
  result.scalars.assign(runs * lap_scalars().size(), kNotANumber);
  result.distance_times.assign(runs * sectors, kNotANumber);
  result.distance_speeds.assign(runs * sectors, kNotANumber);
  result.status.assign(runs, RunStatus::not_run);
  result.messages.assign(runs, {});
  return result;
}

void put_lap(const LapResult& driven, std::size_t run, SweepResult& result) {
  const std::size_t sectors = result.distance_times.size() / result.runs;
  double* scalar = &result.scalars[run * lap_scalars().size()];
  for (const LapScalar& each : lap_scalars()) *scalar++ = each.get(driven);
  std::copy(driven.sector_times.begin(), driven.sector_times.end(),
            &result.distance_times[run * sectors]);
  std::copy(driven.sector_speeds.begin(), driven.sector_speeds.end(),
            &result.distance_speeds[run * sectors]);
  result.messages[run] = explain_lap(driven);
  result.status[run] = result.messages[run].empty() ? RunStatus::finished : RunStatus::early;
}

void drive(const PlannedCars& cars, std::size_t run, const Track& track, const LapOptions& options,
           SweepResult& result) {
  try {
    put_lap(lap(cars.at(run), track, options), run, result);
  } catch (const std::invalid_argument& refused) {
    result.status[run] = RunStatus::refused;
    result.messages[run] = refused.what();
  }
}

std::string explain_roll_back(const LapResult& result) {
  std::ostringstream text;
  text.precision(1);
  text << std::fixed << "the car rolls backwards at " << result.end(track_state::distance)
       << " m; look at grip, grade and gearing there";
  return text.str();
}

std::string explain_stand(const LapResult& result) {
  std::ostringstream text;
  text.precision(1);
  text << std::fixed << "the car stands at " << result.end(track_state::distance)
       << " m and does not pull away; look at throttle, clutch, gearing, grip and grade there";
  return text.str();
}

std::string explain_excess(const LapResult& result) {
  const auto worst = std::ranges::max_element(result.most_grips);
  const auto which = static_cast<std::size_t>(worst - result.most_grips.begin());
  std::ostringstream text;
  text.precision(1);
  text << std::fixed << "the car cannot be slowed down enough";
  if (!result.corners.empty()) text << " for the corner at " << result.corners[which].begin << " m";
  text << ", where it needs " << 100.0 * most_grip(result)
       << " % of the grip; look at brake, tyres, downforce and grade there";
  return text.str();
}

}  // namespace

std::vector<CarWarning> lap_warnings(double peak_pitch, double grip_left) {
  // That much more grip is a fortieth more speed.
  constexpr double kMuchLeft = 0.05;
  std::vector<CarWarning> warnings = pitch_warnings(peak_pitch);
  if (grip_left > kMuchLeft) {
    std::ostringstream text;
    text << "The driver leaves " << std::round(100.0 * grip_left)
         << " % of the grip at a corner: no way was found to use it up without coming in too fast, "
            "as where a shift comes and goes with the speed. Another setting may be quicker there.";
    warnings.push_back({"driver", "leaves_grip", text.str()});
  }
  return warnings;
}

std::string explain_lap(const LapResult& result) {
  if (result.ending.status != Status::finished) return explain_on_track(result.ending);
  if (result.rolls_back) return explain_roll_back(result);
  if (result.stands) return explain_stand(result);
  if (!result.complete) {
    return "the line was not reached within the longest time; allow more, or look for a car that "
           "cannot pull away";
  }
  if (!result.repeats) return "the lap does not repeat; allow more laps";
  if (!result.holds) return explain_excess(result);
  return "";
}

SweepResult lap_sweep(const Car& car, const Track& track, const SweepPlan& plan,
                      const LapSweepOptions& options, const Progress& progress) {
  const PlannedCars cars(car, plan);
  LapOptions lap_options = options.lap;
  lap_options.sample_spacing = 0.0;
  validate(lap_options, track);
  const std::size_t runs = cars.count();
  SweepResult result = empty_result(runs, lap_options.sectors.size() + 1);

  std::atomic<std::size_t> next{0};
  std::atomic<std::size_t> done{0};
  std::atomic<bool> stopped{false};
  std::mutex mutex;
  std::condition_variable all_done;
  const auto work = [&] {
    for (std::size_t run = next++; run < runs && !stopped; run = next++) {
      drive(cars, run, track, lap_options, result);
      if (++done == runs) {
        const std::lock_guard lock(mutex);
        all_done.notify_one();
      }
    }
  };
  const unsigned wanted =
      options.threads > 0 ? options.threads : std::thread::hardware_concurrency();
  {
    std::vector<std::jthread> workers;
    const std::size_t count = std::clamp<std::size_t>(wanted, 1, std::max<std::size_t>(runs, 1));
    for (std::size_t i = 0; i < count; ++i) workers.emplace_back(work);
    std::unique_lock lock(mutex);
    try {
      while (!stopped && !all_done.wait_for(lock, kPollInterval, [&] { return done == runs; })) {
        stopped = progress && !progress(done, runs);
      }
    } catch (...) {
      stopped = true;  // Before the workers are joined, or they would run the whole plan.
      throw;
    }
  }
  if (progress) (void)progress(done, runs);
  return result;
}

}  // namespace layshaft
