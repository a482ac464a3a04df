#include "layshaft/run/sweep.hpp"

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <sstream>
#include <stdexcept>
#include <thread>

#include "layshaft/car/track_list.hpp"
#include "layshaft/run/ensemble.hpp"
#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

constexpr double kNotANumber = std::numeric_limits<double>::quiet_NaN();
constexpr auto kPollInterval = std::chrono::milliseconds(50);

SweepResult empty_result(std::size_t runs, const LaunchOptions& options) {
  SweepResult result{};
  result.runs = runs;
  result.scalars.assign(runs * scalars().size(), kNotANumber);
  result.distance_times.assign(runs * options.distance_marks.size(), kNotANumber);
  result.distance_speeds.assign(runs * options.distance_marks.size(), kNotANumber);
  result.speed_times.assign(runs * options.speed_marks.size(), kNotANumber);
  result.status.assign(runs, RunStatus::not_run);
  result.messages.assign(runs, {});
  return result;
}

void put_row(const std::vector<double>& row, std::size_t run, std::vector<double>& table) {
  std::copy(row.begin(), row.end(), table.begin() + static_cast<std::ptrdiff_t>(run * row.size()));
}

void put_run(const LaunchResult& launched, std::size_t run, SweepResult& result) {
  std::vector<double> row;
  row.reserve(scalars().size());
  for (const Scalar& scalar : scalars()) row.push_back(scalar.get(launched));
  put_row(row, run, result.scalars);
  put_row(launched.distance_times, run, result.distance_times);
  put_row(launched.distance_speeds, run, result.distance_speeds);
  put_row(launched.speed_times, run, result.speed_times);
  const bool finished = launched.ending.status == Status::finished;
  result.status[run] = finished ? RunStatus::finished : RunStatus::early;
  result.messages[run] = explain(launched.ending);
}

// The states and the account after the car's are those of the track.
std::string_view state_name(std::size_t part) {
  return part < TrackParts::kStateRows.size() ? TrackParts::kStateRows[part].name : "";
}

std::string_view account_name(std::size_t which) {
  return which < TrackParts::kAccountRows.size() ? TrackParts::kAccountRows[which].name : "";
}

bool is_account(const Ending& ending) { return ending.part >= car_state::count; }

std::string name_part(const Ending& ending) {
  if (ending.part < 0) return "";
  const auto part = static_cast<std::size_t>(ending.part);
  if (ending.status == Status::non_finite) return " in " + std::string(state_name(part));
  if (ending.status == Status::implausible) {
    return part < car_state::count ? " in " + std::string(state_name(part))
                                   : " in " + std::string(account_name(part - car_state::count));
  }
  return part < kCouplingNames.size() ? " at " + std::string(kCouplingNames[part]) : "";
}

}  // namespace

std::string explain(const Ending& ending) {
  std::ostringstream text;
  const auto say = [&](std::string_view what, std::string_view advice) {
    text << what << name_part(ending) << " after " << ending.time << " s; " << advice;
    return text.str();
  };
  switch (ending.status) {
    case Status::finished: return "";
    case Status::step_budget:
      return say("step budget used up", "allow more steps or a looser tolerance");
    case Status::non_finite:
      return say("a state stopped being a number", "look for an extreme value in the set-up");
    case Status::no_modes:
      return say("no set of modes satisfies the limits", "look for an extreme value in the set-up");
    case Status::chatter:
      return say("modes change without end", "look for two parts that fight each other");
    case Status::step_vanished: return say("no step meets the tolerance", "loosen the tolerance");
    case Status::goes_over:
      return say("the car goes over", "lower the centre of mass or press the pedals less");
    case Status::leaves_ground:
      return say("lift takes the car off the road", "give body.downforce_area a larger value");
    case Status::implausible:
      return say(is_account(ending) ? "energy came from nowhere" : "a value left what is possible",
                 "look at the car's warnings and for an extreme value in the set-up");
  }
  return "unknown";
}

SweepResult sweep(const Car& car, const SweepPlan& plan, const SweepOptions& options,
                  const Progress& progress) {
  const PlannedCars cars(car, plan);
  const std::size_t runs = cars.count();
  validate(options.launch);
  LaunchOptions launch_options = options.launch;
  launch_options.sample_interval = 0.0;
  SweepResult result = empty_result(runs, launch_options);

  std::atomic<std::size_t> next{0};
  std::atomic<std::size_t> done{0};
  std::atomic<bool> stopped{false};
  std::mutex mutex;
  std::condition_variable all_done;
  const auto count_done = [&] {
    if (++done == runs) {
      const std::lock_guard lock(mutex);
      all_done.notify_one();
    }
  };
  const auto refuse = [&](std::size_t run, const std::string& why) {
    result.status[run] = RunStatus::refused;
    result.messages[run] = why;
    count_done();
  };
  const LaunchQueue queue{[&](std::size_t& run, Car& changed) {
                            for (run = next++; run < runs && !stopped; run = next++) {
                              try {
                                changed = cars.at(run);
                                return true;
                              } catch (const std::invalid_argument& refused) {
                                refuse(run, refused.what());
                              }
                            }
                            return false;
                          },
                          [&](std::size_t run, const LaunchResult& launched) {
                            put_run(launched, run, result);
                            count_done();
                          },
                          refuse};
  const unsigned wanted =
      options.threads > 0 ? options.threads : std::thread::hardware_concurrency();
  const std::size_t count = std::clamp<std::size_t>(wanted, 1, std::max<std::size_t>(runs, 1));
  // Not more lanes than there are launches to fill them.
  const LaneForm widest = lane_form(options.lanes);
  const LaneForm form = lane_form(std::clamp<std::size_t>(runs / count, 1, widest.width));
  const auto work = [&] { run_ensemble(launch_options, form, queue); };
  {
    std::vector<std::jthread> workers;
    workers.reserve(count);
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
