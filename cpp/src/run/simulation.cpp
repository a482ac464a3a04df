#include "layshaft/run/simulation.hpp"

#include <algorithm>
#include <optional>
#include <stdexcept>

#include "layshaft/number/absent.hpp"
#include "layshaft/number/bounds.hpp"
#include "layshaft/run/launch_start.hpp"
#include "layshaft/run/reading.hpp"
#include "layshaft/run/saved_state.hpp"
#include "layshaft/run/step_ahead.hpp"
#include "layshaft/run/sweep.hpp"

namespace layshaft {
namespace {

// Instants of 1e-9 s are still told apart here: a double has steps of 1e-10.
constexpr double kLongestTime = 1e6;  // [s]

void check(const Inputs& inputs) {
  const auto share = [](double value, std::string_view field) {
    require(value >= 0.0 && value <= 1.0, "Inputs", field, value, "from 0 to 1");
  };
  share(inputs.throttle, "throttle");
  share(inputs.brake, "brake");
  require(inputs.grade >= -1.0 && inputs.grade <= 1.0, "Inputs", "grade", inputs.grade,
          "from -1 to 1");
}

LaunchOptions launch_options(const SimulationOptions& options) {
  require(options.stopwatch_distance > 0.0 && options.stopwatch_distance < 1e5, "SimulationOptions",
          "stopwatch_distance", options.stopwatch_distance, "> 0 and < 1e5");
  LaunchOptions launch;
  launch.start_speed = options.start_speed;
  launch.integration.tolerance = options.tolerance;
  validate(launch);
  return launch;
}

Drivetrain make_plant(const Car& car, const SimulationOptions& options, const Inputs& inputs) {
  check(inputs);
  const std::array<std::array<double, 3>, 1> held{{{0.0, inputs.throttle, inputs.brake}}};
  const Pedals pedals = options.own_driver ? driver_pedals(car.driver) : make_pedals(held);
  return Drivetrain(car, {pedals, inputs.grade});
}

}  // namespace

// Stays where it is in memory: the integrator holds a reference to the plant.
class Simulation::Run {
 public:
  explicit Run(const SimulationSetup& setup)
      : setup_(setup),
        launch_(launch_options(setup.options)),
        plant_(make_plant(setup.car, setup.options, setup.inputs)),
        ahead_(plant_, launch_.integration) {
    const StateOf<Drivetrain> state = rolling_start(plant_, setup.options.start_speed);
    ModesOf<Drivetrain> modes;
    modes.switches = plant_.rolling_switches(state);
    ahead_.start(state, modes);
    if (!ahead_.alive()) throw std::runtime_error(explain(ahead_.ending()));
    mark();
  }

  explicit Run(const SavedState& saved)
      : setup_(saved.setup),
        launch_(launch_options(setup_.options)),
        plant_(make_plant(setup_.car, setup_.options, setup_.inputs)),
        ahead_(plant_, launch_.integration),
        stopped_at_(saved.stopped_at) {
    make_again(saved.outset, saved.steps, saved.time);
    if (!(saved.time >= saved.outset.at.time && saved.time <= ahead_.time()))
      NumberReader::refuse();
    log_ = saved.changes;
    fresh_from_ = log_.size();
    mark();
  }

  [[nodiscard]] const SimulationSetup& setup() const { return setup_; }
  [[nodiscard]] double time() const { return time_; }
  [[nodiscard]] bool at_end() const { return !ahead_.alive() && time_ >= ahead_.time(); }
  [[nodiscard]] std::string failure() const { return at_end() ? explain(ahead_.ending()) : ""; }
  [[nodiscard]] std::span<const Change> changes() const { return log_; }
  [[nodiscard]] bool changed() const { return changed_; }

  double step_to(double time, bool until_change) {
    require(time >= time_, "Simulation", "time", time, "not before the present");
    require(time <= kLongestTime, "Simulation", "time", time, "at most 1e6");
    mark();
    try {
      go_on(time, until_change);
    } catch (...) {  // Out of memory.
      take_back();
      throw;
    }
    return time_;
  }

  void set_inputs(const Inputs& inputs) {
    mark();
    if (inputs == setup_.inputs) return;
    const Drivetrain changed = make_plant(setup_.car, setup_.options, inputs);
    const Sample now = ahead_.sample(time_);
    try {
      plant_ = changed;
      setup_.inputs = inputs;
      if (stopped_at_ > time_) stopped_at_ = kNever;
      if (!ahead_.press(now)) throw std::runtime_error(explain(ahead_.ending()));
      pass_to(time_);
    } catch (...) {
      take_back();
      throw;
    }
  }

  void take_back() {
    if (setup_.inputs != mark_.inputs) {
      plant_ = make_plant(setup_.car, setup_.options, mark_.inputs);
      setup_.inputs = mark_.inputs;
    }
    stopped_at_ = mark_.stopped_at;
    make_again(mark_.outset, mark_.steps, mark_.time);
    if (!mark_.alive && ahead_.alive()) step();
    changed_ = mark_.changed;
    fresh_from_ = mark_.fresh_from;
    if (setup_.options.keep_changes) {
      log_.resize(mark_.changes);
    } else {
      log_ = mark_.log;
    }
  }

  [[nodiscard]] double output(std::size_t number) const {
    if (!reading_) {
      reading_ =
          Reading{ahead_.sample(time_), setup_.car.air.temperature, std::min(time_, stopped_at_)};
    }
    return read_output(*reading_, number);
  }

  [[nodiscard]] SavedState saved() const {
    if (at_end()) throw std::invalid_argument("a run that cannot go on is not saved");
    const Outset& outset = ahead_.outset();
    return {.setup = setup_,
            .time = time_,
            .stopped_at = stopped_at_ <= outset.at.time ? stopped_at_ : kNever,
            .outset = outset,
            .steps = ahead_.steps_since(),
            .changes = setup_.options.keep_changes ? log_ : std::vector<Change>{}};
  }

 private:
  // All that `take_back` needs.
  struct Mark {
    Outset outset;
    long steps = 0;
    bool alive = true;
    double time = 0.0;
    double stopped_at = kNever;
    Inputs inputs;
    bool changed = false;
    std::size_t fresh_from = 0;
    std::size_t changes = 0;
    std::vector<Change> log;  // Where not all are kept.
  };

  void mark() {
    mark_.outset = ahead_.outset();
    mark_.steps = ahead_.steps_since();
    mark_.alive = ahead_.alive();
    mark_.time = time_;
    mark_.stopped_at = stopped_at_;
    mark_.inputs = setup_.inputs;
    mark_.changed = changed_;
    mark_.fresh_from = fresh_from_;
    mark_.changes = log_.size();
    if (!setup_.options.keep_changes) mark_.log = log_;
  }

  // Goes from an outset to `time` again; the log is left to the caller.
  void make_again(const Outset& outset, long steps, double time) {
    ahead_.resume(outset);
    for (long k = 0; k < steps && ahead_.alive() && ahead_.time() <= time; ++k) step();
    pass_to(time);
  }

  void go_on(double time, bool until_change) {
    changed_ = false;
    while (ahead_.alive() && falls_short(time, until_change)) {
      step();
      if (!until_change) changed_ = pass_changes(time) || changed_;
    }
    const double stop = until_change ? std::min(time, next_change()) : time;
    changed_ = pass_to(std::min(stop, ahead_.time())) || changed_;
    if (!setup_.options.keep_changes) drop_changes(fresh_from_);
    fresh_from_ = log_.size();
  }

  [[nodiscard]] double next_change() const {
    return ahead_.changes().empty() ? kNever : ahead_.changes().front().time;
  }

  // At a change the next step is needed too: it may begin with another change at the same instant.
  [[nodiscard]] bool falls_short(double time, bool until_change) const {
    if (!until_change) return ahead_.time() < time;
    const double stop = std::min(time, next_change());
    return ahead_.time() < stop || (ahead_.time() == stop && next_change() == stop);
  }

  void step() {
    if (!ahead_.advance() || stopped_at_ < kNever) return;
    const StepAhead::SegmentView made = ahead_.last_step();
    const double mark = setup_.options.stopwatch_distance;
    if (made.accounts_at_end[account::distance] >= mark) {
      stopped_at_ = time_at_distance(made, mark);
    }
  }

  // Both say whether there were changes on the way.
  bool pass_changes(double time) {
    const std::size_t before = log_.size();
    ahead_.take_changes(time, log_);
    const bool any = log_.size() > before;
    if (!setup_.options.keep_changes && log_.size() >= 2 * kMostChanges) {
      drop_changes(log_.size() - kMostChanges);
    }
    return any;
  }
  bool pass_to(double time) {
    time_ = time;
    reading_.reset();
    return pass_changes(time);
  }

  // The oldest ones.
  void drop_changes(std::size_t count) {
    log_.erase(log_.begin(), log_.begin() + static_cast<std::ptrdiff_t>(count));
    fresh_from_ -= std::min(count, fresh_from_);
  }

  SimulationSetup setup_;
  LaunchOptions launch_;
  Drivetrain plant_;
  StepAhead ahead_;
  double time_ = 0.0;
  double stopped_at_ = kNever;  // The stopwatch; known as far as the steps go.
  std::vector<Change> log_;     // Up to now; the steps may know of later ones.
  std::size_t fresh_from_ = 0;  // Those before were there when the last step ended.
  bool changed_ = false;        // In the last step.
  Mark mark_;
  mutable std::optional<Reading> reading_;
};

Simulation::Simulation(const SimulationSetup& setup) : run_(std::make_unique<Run>(setup)) {}
Simulation::Simulation(Simulation&&) noexcept = default;
Simulation& Simulation::operator=(Simulation&&) noexcept = default;
Simulation::~Simulation() = default;

const SimulationSetup& Simulation::setup() const { return run_->setup(); }
void Simulation::set_inputs(const Inputs& inputs) { run_->set_inputs(inputs); }
double Simulation::step_to(double time) { return run_->step_to(time, false); }
double Simulation::step_to_change(double time) { return run_->step_to(time, true); }
void Simulation::take_back() { run_->take_back(); }
double Simulation::time() const { return run_->time(); }
std::string Simulation::failure() const { return run_->failure(); }
std::span<const Change> Simulation::changes() const { return run_->changes(); }
bool Simulation::changed() const { return run_->changed(); }
double Simulation::output(std::size_t number) const { return run_->output(number); }

double Simulation::output(std::string_view name) const {
  const auto number = find_output(name);
  if (!number) throw std::invalid_argument("unknown output " + std::string(name));
  return run_->output(*number);
}

std::vector<double> Simulation::save() const { return to_numbers(run_->saved()); }

void Simulation::load(std::span<const double> saved) {
  run_ = std::make_unique<Run>(from_numbers(saved));
}

}  // namespace layshaft
