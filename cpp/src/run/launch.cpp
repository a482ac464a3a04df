#include "layshaft/run/launch.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "layshaft/car/car_integrator.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/car/pitch.hpp"
#include "layshaft/number/text.hpp"
#include "layshaft/run/launch_recorder.hpp"
#include "layshaft/run/launch_start.hpp"

namespace layshaft {
namespace {

void check(bool good, std::string_view field, double value, std::string_view bound) {
  require(good, "LaunchOptions", field, value, bound);
}

void check_marks(const std::vector<double>& marks, std::string_view field) {
  double previous = 0.0;
  for (const double mark : marks) {
    check(mark > previous && mark < 1e6, field, mark, "ascending, > 0 and < 1e6");
    previous = mark;
  }
}

// Of a car that stands or crawls, the error of the place over this speed [m/s].
constexpr double kCrawl = 0.1;

void judge_errors(const CarriedError<Drivetrain>& error, LaunchResult& result) {
  const double speed = std::max(std::abs(result.state(node::car)), kCrawl);
  const double way = error.way(node::car);
  double largest = std::isfinite(way) ? std::abs(way) / speed : HUGE_VAL;
  // Not a number, and so left out, where the thing did not happen.
  for (const double each : result.distance_time_errors) largest = std::fmax(largest, each);
  result.time_error = std::fmax(largest, result.shift.error);
  result.edges = error.edges;
  result.doubtful = error.edges > 0 || !(result.time_error <= kSureTime);
}

}  // namespace

void validate(const LaunchOptions& options) {
  check(options.distance > 0.0 && options.distance < 1e5, "distance", options.distance,
        "> 0 and < 1e5");
  check(options.longest_time > 0.0 && options.longest_time < 1e4, "longest_time",
        options.longest_time, "> 0 and < 1e4");
  check(options.start_speed >= 0.0 && options.start_speed < kMostStartSpeed, "start_speed",
        options.start_speed, ">= 0 and < 100");
  check(options.sample_interval == 0.0 || options.sample_interval >= 1e-6, "sample_interval",
        options.sample_interval, "0 or >= 1e-6");
  check(options.longest_time <= 1e7 * options.sample_interval || options.sample_interval == 0.0,
        "sample_interval", options.sample_interval, "so long that 1e7 samples are enough");
  check_marks(options.distance_marks, "distance_marks");
  check_marks(options.speed_marks, "speed_marks");
  check(options.integration.tolerance >= 1e-13 && options.integration.tolerance <= 1e-2,
        "tolerance", options.integration.tolerance, "from 1e-13 to 1e-2");
  check(options.integration.first_step > 0.0 && options.integration.first_step < 1.0, "first_step",
        options.integration.first_step, "> 0 and < 1");
  check(options.integration.most_steps >= 1, "most_steps",
        static_cast<double>(options.integration.most_steps), ">= 1");
}

Pedals driver_pedals(const Driver& driver) {
  Pedals pedals{};
  pedals.count = 2;
  pedals.time = {0.0, driver.rise_time};
  pedals.throttle = {0.0, driver.throttle};
  return pedals;
}

StateOf<Drivetrain> rolling_start(const Drivetrain& plant, double speed) {
  const StateOf<Drivetrain> state = plant.rolling_state(speed);
  const double most = torque_curve_field().x_maximum;
  if (!(state(node::crank) <= most)) {
    throw std::invalid_argument(
        "start_speed = " + in_digits(speed) + " m/s must be lower: the engine would turn at " +
        in_rpm(state(node::crank)) + ", where no torque curve goes beyond " + in_rpm(most));
  }
  return state;
}

LaunchStart make_launch_start(const Car& car, const LaunchOptions& options) {
  const Pedals pedals = options.pedals.count > 0 ? options.pedals : driver_pedals(car.driver);
  LaunchStart start{Drivetrain(car, {pedals, options.grade}), {}, {}};
  start.state = rolling_start(start.plant, options.start_speed);
  start.modes.switches = start.plant.rolling_switches(start.state);
  return start;
}

void finish_launch(const LaunchStart& start, const Integration<Drivetrain>& run,
                   LaunchResult& result) {
  const Drivetrain& plant = start.plant;
  result.ending = run.ending;
  if (result.ending.status == Status::finished && result.peaks.pitch >= kPitchOver) {
    result.ending.status = Status::goes_over;
  }
  if (result.ending.status != Status::finished) result.end = LaunchEnd::early;
  result.first_modes = run.first_modes;
  result.changes = run.changes;
  result.state = to_column(run.state);
  result.accounts = run.accounts;
  result.car_energy = plant.car_energy(run.state) - plant.car_energy(start.state);
  result.rotating_energy = plant.rotating_energy(run.state) - plant.rotating_energy(start.state);
  result.energy_residual =
      parts::unspent_work<CarParts>(run.accounts) - result.car_energy - result.rotating_energy;
  judge_errors(run.error, result);
}

LaunchResult launch(const Car& car, const LaunchOptions& options) {
  validate(options);
  const LaunchStart start = make_launch_start(car, options);
  LaunchResult result;
  LaunchRecorder recorder(options, car.air.temperature, result);
  CarIntegrator integrator(start.plant, options.integration);
  finish_launch(
      start, integrator.run(0.0, start.state, start.modes, options.longest_time, recorder), result);
  return result;
}

}  // namespace layshaft
