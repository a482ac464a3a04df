#include "layshaft/run/sweep.hpp"

#include <algorithm>
#include <stdexcept>

#include "layshaft/run/ensemble.hpp"
#include "layshaft/run/run_queue.hpp"
#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

void put_run(const LaunchResult& launched, std::size_t run, SweepResult& result) {
  put_scalars(scalars(), launched, run, result);
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
  return sweep(cars.count(), [&](std::size_t run) { return cars.at(run); }, options, progress);
}

SweepResult sweep(std::size_t runs, const std::function<Car(std::size_t)>& car_of,
                  const SweepOptions& options, const Progress& progress) {
  validate(options.launch);
  LaunchOptions launch_options = options.launch;
  launch_options.sample_interval = 0.0;
  SweepResult result = empty_result(runs, scalars().size(), launch_options.distance_marks.size(),
                                    launch_options.speed_marks.size());

  RunQueue queue(result);
  const LaunchQueue launches{
      [&](std::size_t& number, Car& changed) {
        while (const auto run = queue.next()) {
          try {
            changed = car_of(*run);
            number = *run;
            return true;
          } catch (const std::invalid_argument& refused) {
            queue.refuse(*run, refused.what());
          }
        }
        return false;
      },
      [&](std::size_t run, const LaunchResult& launched) {
        put_run(launched, run, result);
        queue.finish();
      },
      [&](std::size_t run, const std::string& why) { queue.refuse(run, why); }};
  // Not more lanes than there are launches to fill them.
  const LaneForm widest = lane_form(options.lanes);
  const std::size_t filled = runs / queue.workers(options.threads);
  const LaneForm form = lane_form(std::clamp<std::size_t>(filled, 1, widest.width));
  queue.work_off(options.threads, [&] { run_ensemble(launch_options, form, launches); }, progress);
  return result;
}

}  // namespace layshaft
