#include "layshaft/run/simulation.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <stdexcept>

#include "layshaft/number/bounds.hpp"
#include "layshaft/run/launch_parts.hpp"
#include "layshaft/run/reading.hpp"
#include "layshaft/run/saved_state.hpp"
#include "layshaft/run/step_ahead.hpp"
#include "layshaft/run/sweep.hpp"

namespace layshaft {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();

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
    const StateOf<Drivetrain> state = plant_.rolling_state(setup.options.start_speed);
    ModesOf<Drivetrain> modes;
    modes.switches = plant_.rolling_switches(state);
    ahead_.start(state, modes);
    pass_to(0.0);
  }

  explicit Run(const SavedState& saved)
      : setup_(saved.setup),
        launch_(launch_options(setup_.options)),
        plant_(make_plant(setup_.car, setup_.options, setup_.inputs)),
        ahead_(plant_, launch_.integration),
        stopped_at_(saved.stopped_at) {
    ahead_.resume(saved.outset, saved.changes);
    for (long k = 0; k < saved.steps && ahead_.alive(); ++k) step();
    if (!(saved.time >= saved.outset.time && saved.time <= ahead_.time())) NumberReader::refuse();
    pass_to(saved.time);
  }

  [[nodiscard]] const SimulationSetup& setup() const { return setup_; }
  [[nodiscard]] double time() const { return time_; }
  [[nodiscard]] std::string failure() const {
    return ahead_.alive() || time_ < ahead_.time() ? "" : explain(ahead_.ending());
  }
  [[nodiscard]] std::span<const Change> changes() const {
    return {ahead_.changes().data(), passed_};
  }

  double step_to(double time, bool until_change) {
    require(time >= time_, "Simulation", "time", time, "not before the present");
    while (!(until_change && next_change() <= time) && ahead_.time() < time && ahead_.alive()) {
      step();
    }
    pass_to(std::min({time, ahead_.time(), until_change ? next_change() : kNever}));
    return time_;
  }

  void set_inputs(const Inputs& inputs) {
    if (inputs == setup_.inputs) return;
    Drivetrain changed = make_plant(setup_.car, setup_.options, inputs);
    const Sample now = ahead_.sample(time_);
    plant_ = changed;
    setup_.inputs = inputs;
    if (stopped_at_ > time_) stopped_at_ = kNever;
    if (ahead_.alive() || time_ < ahead_.time()) ahead_.press(now);
    pass_to(time_);
  }

  [[nodiscard]] double output(std::size_t number) const {
    if (!reading_) {
      reading_ =
          Reading{ahead_.sample(time_), setup_.car.air.temperature, std::min(time_, stopped_at_)};
    }
    return read_output(*reading_, number);
  }

  [[nodiscard]] SavedState saved() const {
    if (!failure().empty()) throw std::invalid_argument("a run that cannot go on is not saved");
    const auto& all = ahead_.changes();
    const Outset& outset = ahead_.outset();
    return {.setup = setup_,
            .time = time_,
            .stopped_at = stopped_at_ <= outset.time ? stopped_at_ : kNever,
            .outset = outset,
            .steps = ahead_.steps_since(),
            .changes = {all.begin(),
                        all.begin() + static_cast<std::ptrdiff_t>(ahead_.changes_before())}};
  }

 private:
  [[nodiscard]] double next_change() const {
    return passed_ < ahead_.changes().size() ? ahead_.changes()[passed_].time : kNever;
  }

  void step() {
    if (!ahead_.advance() || stopped_at_ < kNever) return;
    const StepAhead::SegmentView made = ahead_.last_step();
    const double mark = setup_.options.stopwatch_distance;
    if (made.accounts_at_end[account::distance] >= mark) {
      stopped_at_ = time_at_distance(made, mark);
    }
  }

  void pass_to(double time) {
    time_ = time;
    while (passed_ < ahead_.changes().size() && ahead_.changes()[passed_].time <= time) ++passed_;
    reading_.reset();
  }

  SimulationSetup setup_;
  LaunchOptions launch_;
  Drivetrain plant_;
  StepAhead ahead_;
  double time_ = 0.0;
  double stopped_at_ = kNever;  // The stopwatch; known as far as the steps go.
  std::size_t passed_ = 0;      // Changes up to now; the steps may know of later ones.
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
double Simulation::time() const { return run_->time(); }
std::string Simulation::failure() const { return run_->failure(); }
std::span<const Change> Simulation::changes() const { return run_->changes(); }
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
