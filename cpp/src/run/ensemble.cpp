#include "layshaft/run/ensemble.hpp"

#include <limits>
#include <memory>
#include <vector>

#include "layshaft/network/integrate.hpp"
#include "layshaft/run/launch_parts.hpp"
#include "layshaft/run/launch_recorder.hpp"

namespace layshaft {
namespace {

using CarIntegrator = Integrator<Drivetrain, Rosenbrock>;

template <class Eigenish, class Real, int Size>
void copy_to(const Eigenish& from, Column<Real, Size>& to) {
  for (int i = 0; i < Size; ++i) to(i) = from(i);
}
template <class Eigenish, class Real, int Rows, int Columns>
void copy_to(const Eigenish& from, Grid<Real, Rows, Columns>& to) {
  for (int i = 0; i < Rows; ++i) {
    for (int j = 0; j < Columns; ++j) to(i, j) = from(i, j);
  }
}
[[nodiscard]] StateOf<Drivetrain> to_state(const Column<double, car_state::count>& column) {
  return StateOf<Drivetrain>(column.entries.data());
}

// The integrator of one lane: makes no steps itself, but takes those of its lane that are not
// quiet.
class LaneIntegrator : private CarIntegrator {
 public:
  LaneIntegrator(const LaunchStart& start, const LaunchOptions& options)
      : CarIntegrator(start.plant, options.integration), options_of_run_(options) {
    start_run(0.0, start.state, start.modes);
  }

  using CarIntegrator::outcome;
  [[nodiscard]] bool alive() const { return alive_ && time_ < options_of_run_.longest_time; }

  /// A step in which nothing happened.
  void pass_quiet_step(LaunchRecorder& recorder) {
    if (fresh_) {
      recorder.note_modes(modes_, time_, state_, accounts_, carried_.switch_time);
    }
    fresh_ = false;
    ++steps_;
    same_instant_ = 0;
  }
  [[nodiscard]] bool out_of_steps() const { return steps_ >= options_.most_steps; }

  /// A step in which something happened, or may have.
  void take_lane_step(const LaneImage& image, LaunchRecorder& recorder) {
    take_motion(image);
    const Look begin = look(time_, state_);
    last_ = begin.guards;
    account_rates_[0] = begin.account_rates;
    DenseRowsOf<kRodas5P, State> dense;
    for (std::size_t r = 0; r < dense.size(); ++r) dense[r] = to_state(image.made.dense[r]);
    stepper_.adopt(to_state(image.motion.state), time_, image.motion.step,
                   to_state(image.made.new_state), dense, image.made.next_step, image.made.growth);
    stepper_.carry(to_state(image.made.error));
    alive_ = take_step(options_of_run_.longest_time, recorder);
    if (alive_ && out_of_steps()) alive_ = fail(Status::step_budget, -1);
    fresh_ = true;
  }

  /// Ends the run where the lane stands.
  void stop(const LaneImage& image, Status status) {
    take_motion(image);
    alive_ = fail(status, -1);
  }

  void put_car(LaneCar<double>& car) const {
    const auto& network = plant_.network();
    car.laws = plant_.laws();
    car.plausible = plant_.plausible();
    car.air_temperature = plant_.law().air_temperature;
    for (int i = 0; i < coupling::count; ++i) {
      const auto joined = CarParts::nodes_of(i);
      for (std::size_t n = 0; n < joined.size(); ++n) {
        const auto column = static_cast<int>(n);
        car.slip(i, column) = joined[n] == parts::kNone ? 0.0 : network.slip(i, joined[n]);
      }
    }
    copy_to(plant_.slip_scale(), car.slip_scale);
    copy_to(plant_.torque_scale(), car.torque_scale);
    copy_to(plant_.state_scale(), car.state_scale);
    car.tolerance = options_.tolerance;
    car.longest_step = kLongestStep;
    car.end_time = options_of_run_.longest_time;
  }

  void put_modes(const LaunchRecorder& recorder, LaneModes<double>& modes) const {
    // Distances are summed in lanes and by the recorder along points that differ by round-off.
    constexpr double kJustBefore = 1.0 - 1e-12;
    modes.active = active_;
    copy_to(frozen_.low_weight, modes.frozen.low_weight);
    copy_to(frozen_.high_weight, modes.frozen.high_weight);
    copy_to(frozen_.push, modes.frozen.push);
    copy_to(frozen_.accelerate, modes.frozen.accelerate);
    copy_to(frozen_.hold, modes.frozen.hold);
    for (std::size_t i = 0; i < coupling::count; ++i) {
      modes.first_kind[i] = static_cast<double>(guards_.kinds[2 * i]);
      modes.second_kind[i] = static_cast<double>(guards_.kinds[2 * i + 1]);
    }
    modes.corner_time = plant_.corner_time(modes_.switches);
    // The recorder hears of new modes with the next step: at once where it may have to listen then.
    const bool may_listen = modes_.couplings[coupling::second] != CouplingMode::open;
    const bool is_news = may_listen && !recorder.knows(modes_);
    modes.next_distance =
        is_news ? -std::numeric_limits<double>::infinity() : recorder.next_distance() * kJustBefore;
    modes.next_speed = recorder.next_speed();
    modes.next_crank = recorder.next_crank();
    modes.turns_from = recorder.turns_from();
  }

  void put_motion(LaneMotion<double>& motion) const {
    copy_to(stepper_.current_state(), motion.state);
    copy_to(state_, motion.seen);
    motion.accounts = accounts_;
    motion.account_rates = account_rates_[0];
    for (std::size_t g = 0; g < armed_.size(); ++g) motion.armed[g] = armed_[g] ? 1.0 : 0.0;
    for (std::size_t g = 0; g < last_.size(); ++g) motion.guards[g] = last_[g] * scale_of(g);
    motion.time = time_;
    motion.step = std::min(stepper_.current_time_step(), kLongestStep);
    motion.kept = stepper_.kept_step();
    motion.attempts = 0.0;
    copy_to(carried_.state, motion.error);
    motion.car_way_error = carried_.way(node::car);
  }

 private:
  static_assert(std::tuple_size_v<GuardValues<Drivetrain>> == kCarGuards);

  // Brings the integrator to where the lane stands.
  void take_motion(const LaneImage& image) {
    const LaneMotion<double>& motion = image.motion;
    time_ = motion.time;
    state_ = to_state(motion.seen);
    accounts_ = motion.accounts;
    carried_.state = to_state(motion.error);
    carried_.way(node::car) = motion.car_way_error;
    for (std::size_t g = 0; g < armed_.size(); ++g) armed_[g] = motion.armed[g] > 0.5;
  }

  // By which a guard is divided.
  [[nodiscard]] double scale_of(std::size_t guard) const {
    const Fired id = guards_.fired(static_cast<int>(guard));
    if (id.kind == GuardKind::none || id.kind == GuardKind::plant_switch) return 1.0;
    return id.kind == GuardKind::slip ? plant_.slip_scale()(id.index)
                                      : plant_.torque_scale()(id.index);
  }

  const LaunchOptions& options_of_run_;
  bool fresh_ = true;  // the recorder does not know the modes yet
};

// One launch while it has a lane.
struct Seat {
  Seat(std::size_t number_, const Car& car, const LaunchOptions& options)
      : number(number_),
        start(make_launch_start(car, options)),
        recorder(options, car.air.temperature, result),
        integrator(start, options) {
    integrator.put_car(image.car);
    image.motion.peaks = {};
    image.made = {};
    put_standing();
  }

  void put_standing() {
    integrator.put_modes(recorder, image.modes);
    integrator.put_motion(image.motion);
  }

  [[nodiscard]] const LaunchResult& finish() {
    const LanePeaks<double>& peaks = image.motion.peaks;
    recorder.raise_peaks({peaks.car_speed, peaks.crank_speed, peaks.rear_slip, peaks.front_slip,
                          peaks.clutch_temperature, peaks.shoe_temperature, 0.0});
    finish_launch(start, integrator.outcome(), result);
    return result;
  }

  std::size_t number;
  LaunchStart start;
  LaunchResult result;
  LaunchRecorder recorder;
  LaneIntegrator integrator;
  LaneImage image;
};

class Ensemble {
 public:
  Ensemble(const LaunchOptions& options, const LaneForm& form, const LaunchQueue& queue)
      : options_(options),
        form_(form),
        queue_(queue),
        seats_(form.width),
        rows_((kLaneNumbers * form.width + kMostLanes - 1) / kMostLanes) {}

  void run() {
    for (std::size_t lane = 0; lane < form_.width; ++lane) fill(lane);
    while (taken_ > 0) {
      form_.step(block());
      for (std::size_t lane = 0; lane < form_.width; ++lane) {
        if (seats_[lane]) follow(lane);
      }
    }
  }

 private:
  struct alignas(64) Row {
    std::array<double, kMostLanes> numbers{};
  };

  [[nodiscard]] double* block() { return rows_.front().numbers.data(); }

  template <class Part>
  void put(std::size_t lane, const Part& part) {
    put_part(seats_[lane]->image, part, block(), form_.width, lane);
  }
  template <class Part>
  void get(std::size_t lane, Part& part) {
    get_part(seats_[lane]->image, part, block(), form_.width, lane);
  }

  // Gives the lane the next launch that is not over at once.
  void fill(std::size_t lane) {
    std::size_t number = 0;
    Car car;
    while (queue_.next(number, car)) {
      try {
        seats_[lane] = std::make_unique<Seat>(number, car, options_);
      } catch (const std::invalid_argument& refused) {
        queue_.refused(number, refused.what());
        continue;
      }
      ++taken_;
      put(lane, seats_[lane]->image.car);
      put(lane, seats_[lane]->image.modes);
      put(lane, seats_[lane]->image.motion);
      if (seats_[lane]->integrator.alive()) return;
      leave(lane);
    }
  }

  void leave(std::size_t lane) {
    queue_.finished(seats_[lane]->number, seats_[lane]->finish());
    seats_[lane].reset();
    --taken_;
  }

  void follow(std::size_t lane) {
    Seat& seat = *seats_[lane];
    LaneImage& image = seat.image;
    get(lane, image.made.outcome);
    const auto outcome = static_cast<LaneOutcome>(static_cast<int>(image.made.outcome));
    if (outcome == LaneOutcome::quiet) {
      seat.integrator.pass_quiet_step(seat.recorder);
      if (seat.integrator.out_of_steps()) stop(lane, Status::step_budget);
    } else if (outcome == LaneOutcome::eventful) {
      get(lane, image.motion);
      get(lane, image.made);
      seat.integrator.take_lane_step(image, seat.recorder);
      if (!seat.integrator.alive()) {
        leave(lane);
        fill(lane);
        return;
      }
      seat.put_standing();
      put(lane, image.modes);
      put(lane, image.motion);
    } else {
      get(lane, image.motion.attempts);
      if (image.motion.attempts >= kMostAttempts) stop(lane, Status::step_vanished);
    }
  }

  // Ends a run in the middle of its quiet steps.
  void stop(std::size_t lane, Status status) {
    Seat& seat = *seats_[lane];
    get(lane, seat.image.motion);
    seat.integrator.stop(seat.image, status);
    leave(lane);
    fill(lane);
  }

  static constexpr double kMostAttempts =
      RosenbrockStepper<StateOf<Drivetrain>, kRodas5P>::kMostAttempts;

  const LaunchOptions& options_;
  LaneForm form_;
  const LaunchQueue& queue_;
  std::vector<std::unique_ptr<Seat>> seats_;
  std::vector<Row> rows_;
  std::size_t taken_ = 0;
};

void run_one_by_one(const LaunchOptions& options, const LaunchQueue& queue) {
  std::size_t number = 0;
  Car car;
  while (queue.next(number, car)) {
    try {
      queue.finished(number, launch(car, options));
    } catch (const std::invalid_argument& refused) {
      queue.refused(number, refused.what());
    }
  }
}

}  // namespace

void run_ensemble(const LaunchOptions& options, const LaneForm& form, const LaunchQueue& queue) {
  validate(options);
  require(options.sample_interval == 0.0, "LaunchOptions", "sample_interval",
          options.sample_interval, "0 in an ensemble");
  if (form.step == nullptr) {
    run_one_by_one(options, queue);
  } else {
    Ensemble(options, form, queue).run();
  }
}

}  // namespace layshaft
