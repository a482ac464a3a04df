#include "layshaft/run/ensemble.hpp"

#include <functional>
#include <limits>
#include <memory>
#include <vector>

#include "layshaft/car/car_integrator.hpp"
#include "layshaft/run/launch_recorder.hpp"
#include "layshaft/run/launch_start.hpp"

namespace layshaft {
namespace {

template <class Source, class Real, int Size>
void copy_to(const Source& from, Column<Real, Size>& to) {
  for (int i = 0; i < Size; ++i) to(i) = from(i);
}
template <class Source, class Real, int Rows, int Columns>
void copy_to(const Source& from, Grid<Real, Rows, Columns>& to) {
  for (int i = 0; i < Rows; ++i) {
    for (int j = 0; j < Columns; ++j) to(i, j) = from(i, j);
  }
}

// The integrator of one lane: makes no steps itself, but takes those of its lane that are not
// quiet.
class LaneIntegrator {
 public:
  LaneIntegrator(const LaunchStart& start, const LaunchOptions& options, LaunchRecorder& recorder)
      : options_(options),
        recorder_(recorder),
        recorder_call_(std::ref(recorder)),
        integrator_(start.plant, options.integration) {
    integrator_.start(0.0, start.state, start.modes);
  }

  [[nodiscard]] Integration<Drivetrain> outcome() const { return integrator_.outcome(); }
  [[nodiscard]] bool alive() const {
    return integrator_.alive() && integrator_.at().time < options_.longest_time;
  }

  /// A step in which nothing happened.
  void pass_quiet_step() {
    const Standing<Drivetrain>& at = integrator_.at();
    if (fresh_) {
      recorder_.note_modes(at.modes, at.time, at.state, at.accounts, at.error.switch_time);
    }
    fresh_ = false;
    ++quiet_steps_;
  }
  [[nodiscard]] bool out_of_steps() const {
    return integrator_.at().steps + quiet_steps_ >= options_.integration.most_steps;
  }

  /// A step in which something happened, or may have.
  void take_lane_step(const LaneImage& image) {
    take_motion(image);
    DenseRowsOf<kRodas5P, State> dense;
    for (std::size_t r = 0; r < dense.size(); ++r) dense[r] = to_vector(image.made.dense[r]);
    CarIntegrator::Stepper& stepper = integrator_.stepper();
    stepper.adopt(to_vector(image.motion.state), image.motion.time, image.motion.step,
                  to_vector(image.made.new_state), dense, image.made.next_step, image.made.growth);
    stepper.carry(to_vector(image.made.error));
    integrator_.take(options_.longest_time, recorder_call_);
    if (integrator_.alive() && out_of_steps()) integrator_.stop(Status::step_budget);
    fresh_ = true;
  }

  /// Ends the run where the lane stands.
  void stop(const LaneImage& image, Status status) {
    take_motion(image);
    integrator_.stop(status);
  }

  void put_car(LaneCar<double>& car) const {
    const Drivetrain& plant = integrator_.plant();
    car.laws = plant.laws();
    car.plausible = plant.plausible();
    car.air_temperature = plant.law().air_temperature;
    for (int i = 0; i < coupling::count; ++i) {
      const auto joined = CarParts::nodes_of(i);
      for (std::size_t n = 0; n < joined.size(); ++n) {
        const auto column = static_cast<int>(n);
        car.slip(i, column) = joined[n] == parts::kNone ? 0.0 : plant.network().slip(i, joined[n]);
      }
    }
    copy_to(plant.slip_scale(), car.slip_scale);
    copy_to(plant.torque_scale(), car.torque_scale);
    copy_to(plant.state_scale(), car.state_scale);
    car.tolerance = options_.integration.tolerance;
    car.longest_step = kLongestStep;
    car.end_time = options_.longest_time;
  }

  void put_modes(LaneModes<double>& modes) const {
    // Distances are summed in lanes and by the recorder along points that differ by round-off.
    constexpr double kJustBefore = 1.0 - 1e-12;
    const FrozenOf<Drivetrain>& frozen = stretch().frozen();
    modes.active = stretch().active();
    copy_to(frozen.low_weight, modes.frozen.low_weight);
    copy_to(frozen.high_weight, modes.frozen.high_weight);
    copy_to(frozen.push, modes.frozen.push);
    copy_to(frozen.accelerate, modes.frozen.accelerate);
    copy_to(frozen.hold, modes.frozen.hold);
    for (std::size_t g = 0; g < modes.kinds.size(); ++g) {
      modes.kinds[g] = static_cast<double>(stretch().guards().kinds[g]);
    }
    const ModesOf<Drivetrain>& now = integrator_.at().modes;
    // The recorder hears of new modes with the next step: at once where it may have to listen then.
    const bool may_listen = now.couplings[coupling::second] != CouplingMode::open;
    const bool is_news = may_listen && !recorder_.knows(now);
    modes.kink_time = integrator_.plant().kink_time(now.switches);
    modes.next_distance = is_news ? -std::numeric_limits<double>::infinity()
                                  : recorder_.next_distance() * kJustBefore;
    modes.next_speed = recorder_.next_speed();
    modes.next_crank = recorder_.next_crank();
    modes.turns_from = recorder_.turns_from();
  }

  void put_motion(LaneMotion<double>& motion) const {
    const Standing<Drivetrain>& at = integrator_.at();
    const Watched<Drivetrain>& watched = integrator_.watched();
    const CarIntegrator::Stepper& stepper = integrator_.stepper();
    copy_to(stepper.current_state(), motion.state);
    copy_to(at.state, motion.seen);
    motion.accounts = at.accounts;
    motion.account_rates = watched.account_rates[0];
    for (std::size_t g = 0; g < kCarGuards; ++g) {
      motion.armed[g] = watched.armed[g] ? 1.0 : 0.0;
      motion.guards[g] = watched.last[g] * scale_of(g);
    }
    motion.time = at.time;
    motion.step = std::min(stepper.current_time_step(), kLongestStep);
    motion.kept = stepper.kept_step();
    motion.attempts = 0.0;
    copy_to(at.error.state, motion.error);
    motion.car_way_error = at.error.way(node::car);
  }

 private:
  using State = StateOf<Drivetrain>;
  static_assert(std::tuple_size_v<GuardValues<Drivetrain>> == kCarGuards);

  [[nodiscard]] const Stretch<Drivetrain>& stretch() const { return integrator_.stretch(); }

  // Brings the integrator to where the lane stands.
  void take_motion(const LaneImage& image) {
    const LaneMotion<double>& motion = image.motion;
    Standing<Drivetrain> at = integrator_.at();
    at.time = motion.time;
    at.state = to_vector(motion.seen);
    at.accounts = motion.accounts;
    at.error.state = to_vector(motion.error);
    at.error.way(node::car) = motion.car_way_error;
    at.steps += quiet_steps_;
    if (quiet_steps_ > 0) at.same_instant = 0;
    quiet_steps_ = 0;
    ArmedGuards<Drivetrain> armed;
    for (std::size_t g = 0; g < kCarGuards; ++g) armed[g] = motion.armed[g] > 0.5;
    integrator_.put(at, armed);
  }

  // By which a guard is divided.
  [[nodiscard]] double scale_of(std::size_t guard) const {
    const Drivetrain& plant = integrator_.plant();
    const Fired id = stretch().guards().fired(static_cast<int>(guard));
    if (id.kind == GuardKind::none || id.kind == GuardKind::plant_switch) return 1.0;
    return guard_scale(id.kind, plant.slip_scale()(id.index), plant.torque_scale()(id.index));
  }

  const LaunchOptions& options_;
  LaunchRecorder& recorder_;
  CarIntegrator::Recorder recorder_call_;
  CarIntegrator integrator_;
  long quiet_steps_ = 0;  // Since the integrator took a step.
  bool fresh_ = true;     // The recorder does not know the modes yet.
};

// One launch while it has a lane.
struct Seat {
  Seat(std::size_t number_, const Car& car, const LaunchOptions& options)
      : number(number_),
        start(make_launch_start(car, options)),
        recorder(options, car.air.temperature, result),
        integrator(start, options, recorder) {
    integrator.put_car(image.car);
    image.motion.peaks = {};
    image.made = {};
    put_standing();
  }

  void put_standing() {
    integrator.put_modes(image.modes);
    integrator.put_motion(image.motion);
  }

  [[nodiscard]] const LaunchResult& finish() {
    raise_peaks(result.peaks, image.motion.peaks);
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
      seat.integrator.pass_quiet_step();
      if (seat.integrator.out_of_steps()) stop(lane, Status::step_budget);
    } else if (outcome == LaneOutcome::eventful) {
      get(lane, image.motion);
      get(lane, image.made);
      seat.integrator.take_lane_step(image);
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
