#include "layshaft/run/lap_sweep.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "layshaft/number/text.hpp"
#include "layshaft/run/run_queue.hpp"
#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

void put_lap(const LapResult& driven, std::size_t run, SweepResult& result) {
  const std::size_t sectors = result.distance_times.size() / result.runs;
  put_scalars(lap_scalars(), driven, run, result);
  // A lap that was not finished has fewer.
  std::ranges::copy(driven.sector_times, &result.distance_times[run * sectors]);
  std::ranges::copy(driven.sector_speeds, &result.distance_speeds[run * sectors]);
  result.messages[run] = explain_lap(driven);
  result.status[run] = result.messages[run].empty() ? RunStatus::finished : RunStatus::early;
}

std::string explain_roll_back(const LapResult& result) {
  return "the car rolls backwards at " + with_decimals(result.end(track_state::distance), 1) +
         " m; look at grip, grade and gearing there";
}

std::string explain_stand(const LapResult& result) {
  return "the car stands at " + with_decimals(result.end(track_state::distance), 1) +
         " m and does not pull away; look at throttle, clutch, gearing, grip and grade there";
}

std::string explain_excess(const LapResult& result) {
  const auto worst = std::ranges::max_element(result.most_grips);
  const auto which = static_cast<std::size_t>(worst - result.most_grips.begin());
  std::string text = "the car cannot be slowed down enough";
  if (!result.corners.empty()) {
    text += " for the corner at " + with_decimals(result.corners[which].begin, 1) + " m";
  }
  return text + ", where it needs " + with_decimals(100.0 * most_grip(result), 1) +
         " % of the grip; look at brake, tyres, downforce and grade there";
}

}  // namespace

std::vector<CarWarning> lap_warnings(double peak_pitch, double grip_left) {
  std::vector<CarWarning> warnings = pitch_warnings(peak_pitch);
  if (grip_left > kMuchGripLeft) {
    warnings.push_back(
        {"driver", "leaves_grip",
         "The driver leaves " + with_decimals(100.0 * grip_left, 0) +
             " % of the grip at a corner: no way was found to use it up without coming in too "
             "fast, as where a shift comes and goes with the speed. Another setting may be quicker "
             "there."});
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
  if (!result.repeats) {
    return "the lap does not repeat; allow more laps, or change the setting if that does not help: "
           "where a shift comes early in one lap and late in the next, none ever does";
  }
  if (!result.holds) return explain_excess(result);
  return "";
}

SweepResult lap_sweep(const Car& car, const Track& track, const SweepPlan& plan,
                      const LapSweepOptions& options, const Progress& progress) {
  const PlannedCars cars(car, plan);
  LapOptions lap_options = options.lap;
  lap_options.sample_spacing = 0.0;
  validate(lap_options, track);
  SweepResult result =
      empty_result(cars.count(), lap_scalars().size(), lap_options.sectors.size() + 1, 0);
  RunQueue queue(result);
  const auto work = [&] {
    while (const auto run = queue.next()) {
      try {
        put_lap(lap(cars.at(*run), track, lap_options), *run, result);
        queue.finish();
      } catch (const std::invalid_argument& refused) {
        queue.refuse(*run, refused.what());
      }
    }
  };
  queue.work_off(options.threads, work, progress);
  return result;
}

}  // namespace layshaft
