#include "layshaft/run/sweep.hpp"

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <sstream>
#include <stdexcept>
#include <thread>

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

}  // namespace

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
