#include "unit.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstring>
#include <fstream>
#include <iterator>
#include <memory>
#include <stdexcept>
#include <utility>

#include "layshaft/car/setup_text.hpp"
#include "layshaft/number/bounds.hpp"
#include "layshaft/run/saved_state.hpp"

namespace layshaft::fmi {
namespace {

std::string read_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) throw std::invalid_argument("cannot read " + path);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::string trimmed(std::string text) {
  text.erase(text.find_last_not_of(" \r\n") + 1);
  return text;
}

Access access_of(ValueKind kind) {
  switch (kind) {
    case ValueKind::number: return Access::real;
    case ValueKind::count: return Access::whole;
    case ValueKind::choice: return Access::choice;
    case ValueKind::yes_no: return Access::yes_no;
  }
  return Access::real;
}

// FMI 2.0 reads choices as whole numbers, and FMI 3.0 as wide ones.
bool fits(Access wanted, ValueKind kind) {
  const Access own = access_of(kind);
  return wanted == own || (wanted == Access::whole && own == Access::choice);
}

const Variable& variable_of(std::uint32_t reference, Access access) {
  if (reference >= variables().size()) {
    throw std::invalid_argument("no variable has the value reference " + std::to_string(reference));
  }
  const Variable& variable = variables()[reference];
  if (fits(access, variable.kind)) return variable;
  throw std::invalid_argument(std::string(variable.name) + " is of another type");
}

void require_allowed(bool good, const char* what) {
  if (!good) throw std::invalid_argument(std::string(what) + " is not allowed in this state");
}

// Times that are added up by others differ from ours by round-off: a few units in the last place,
// or as little as changes at one instant may lie apart.
double round_off(double time) {
  return 1e-9 + 8.0 * std::numeric_limits<double>::epsilon() * std::abs(time);
}

}  // namespace

void require_pointer(const void* pointer, const char* name) {
  if (pointer != nullptr) return;
  throw std::invalid_argument(std::string(name) + " must not be a null pointer");
}

std::string path_of_address(std::string_view address) {
  if (!address.starts_with("file:")) return std::string(address);
  address.remove_prefix(5);
  if (address.starts_with("//")) {
    address.remove_prefix(2);
    address.remove_prefix(std::min(address.find('/'), address.size()));  // The host.
  }
  std::string path;
  for (std::size_t i = 0; i < address.size(); ++i) {
    int code = 0;
    const char* digits = address.data() + i + 1;
    if (address[i] == '%' && i + 2 < address.size() &&
        std::from_chars(digits, digits + 2, code, 16).ptr == digits + 2) {
      path += static_cast<char>(code);
      i += 2;
    } else {
      path += address[i];
    }
  }
  return path;
}

Unit::Unit(const std::string& resources, std::string_view token) {
  const std::string folder = resources.ends_with('/') ? resources : resources + "/";
  if (trimmed(read_file(folder + "token.txt")) != token) {
    throw std::invalid_argument("the token is not that of this unit's description");
  }
  first_setup_ = {.car = car_from_text(read_file(folder + "car.txt")), .options = {}, .inputs = {}};
  setup_ = first_setup_;
}

double Unit::time() const { return start_time_ + (run_ ? run_->time() : 0.0); }

void Unit::require_phase(Phase phase, const char* what) const {
  require_allowed(phase_ == phase, what);
}

void Unit::enter_initialisation(double start_time, std::optional<double> stop_time,
                                std::optional<double> tolerance) {
  constexpr double kLatest = 1e9;  // [s]; times are then still told apart to 1e-7 s.
  require_phase(Phase::instantiated, "entering initialisation");
  require(std::abs(start_time) <= kLatest, "Unit", "startTime", start_time, "from -1e9 to 1e9");
  const double stop = stop_time.value_or(std::numeric_limits<double>::infinity());
  require(stop > start_time, "Unit", "stopTime", stop, "after startTime");
  if (tolerance) {
    require(*tolerance > 0.0 && *tolerance < 1.0, "Unit", "tolerance", *tolerance, "> 0 and < 1");
    setup_.options.tolerance = std::clamp(*tolerance, 1e-13, 1e-2);
  }
  start_time_ = start_time;
  stop_time_ = stop;
  phase_ = Phase::initialising;
}

void Unit::exit_initialisation(bool event_mode) {
  require_phase(Phase::initialising, "leaving initialisation");
  static_cast<void>(run());
  phase_ = event_mode ? Phase::events : Phase::stepping;
}

void Unit::enter_events() {
  require_phase(Phase::stepping, "entering event mode");
  phase_ = Phase::events;
}

void Unit::enter_stepping() {
  require_phase(Phase::events, "entering step mode");
  phase_ = Phase::stepping;
}

void Unit::terminate() {
  require_allowed(phase_ == Phase::stepping || phase_ == Phase::events, "terminating");
  phase_ = Phase::terminated;
}

void Unit::reset() {
  setup_ = first_setup_;
  run_.reset();
  phase_ = Phase::instantiated;
  start_time_ = 0.0;
  stop_time_ = std::numeric_limits<double>::infinity();
}

// Made from the parameters where they may still change; given the inputs before it is used.
Simulation& Unit::run() {
  if (!run_) run_.emplace(setup_);
  run_->set_inputs(setup_.inputs);
  return *run_;
}

double Unit::get(std::uint32_t reference, Access access) {
  if (access == Access::real && reference == variables().size()) return time();
  if (variable_of(reference, access).role != Role::output) return get_variable(setup_, reference);
  require_allowed(phase_ != Phase::instantiated, "reading an output");
  return get_output(run(), reference);
}

void Unit::set(std::span<const std::uint32_t> references, Access access,
               std::span<const double> values) {
  const bool early = phase_ == Phase::instantiated || phase_ == Phase::initialising;
  SimulationSetup setup = setup_;
  for (std::size_t i = 0; i < references.size(); ++i) {
    const Variable& variable = variable_of(references[i], access);
    require_allowed(early || variable.role == Role::input, "setting a parameter");
    require_allowed(phase_ != Phase::terminated, "setting an input");
    set_variable(setup, references[i], values[i]);
  }
  setup_ = setup;
  if (early) run_.reset();
}

double Unit::checked_end(double time, double step) const {
  const double now = this->time();
  const double end = time + step;
  if (!(std::abs(time - now) <= round_off(now))) {
    refuse("doStep", "currentCommunicationPoint", time,
           "the time reached, " + std::to_string(now) + " s");
  }
  require(step > 0.0 && std::isfinite(end), "doStep", "communicationStepSize", step,
          "> 0 and finite");
  require(end > time && end > now, "doStep", "communicationStepSize", step,
          "so long that the time goes on");
  require(end <= stop_time_ + round_off(stop_time_), "doStep", "end of the step", end,
          "not after stopTime");
  return end;
}

StepOutcome Unit::step(double time, double step, bool stop_at_change) {
  require_phase(Phase::stepping, "a step");
  const double end = checked_end(time, step);
  const double before = this->time();
  Simulation& simulation = run();
  // What the outsider adds up may fall short of the present by round-off.
  const double target = std::max(end - start_time_, simulation.time());
  if (!stop_at_change) {
    simulation.step_to(target);
  } else {
    // Changes that lie closer than the outsider's times can be told apart are one to him.
    while (simulation.step_to_change(target) < target && simulation.failure().empty() &&
           !(this->time() > before)) {
    }
  }
  const double reached = simulation.time();
  const bool stopped_at_change = stop_at_change && simulation.changed();
  if (reached < target && !stopped_at_change) {
    const std::string failure = simulation.failure();
    simulation.take_back();
    throw std::runtime_error(failure);
  }
  // The time asked for where it was reached, with its own bits.
  return {reached == target ? std::max(end, this->time()) : this->time(), simulation.changed()};
}

std::vector<double> Unit::save() {
  // Without a run only the set-up counts.
  const std::vector<double> inner = run_ ? run().save()
                                         : to_numbers({.setup = setup_,
                                                       .time = 0.0,
                                                       .stopped_at = 0.0,
                                                       .outset = {},
                                                       .steps = 0,
                                                       .changes = {}});
  std::vector<double> numbers{0.0, static_cast<double>(phase_), start_time_, stop_time_,
                              run_ ? 1.0 : 0.0};
  numbers.insert(numbers.end(), inner.begin(), inner.end());
  numbers.front() = static_cast<double>(numbers.size());
  return numbers;
}

void Unit::load(std::span<const double> saved) {
  constexpr std::size_t kOwn = 5;
  if (saved.size() < kOwn) NumberReader::refuse();
  NumberReader reader(saved.subspan(1));
  Phase phase{};
  double start_time = 0.0;
  double stop_time = 0.0;
  bool has_run = false;
  reader(phase, static_cast<int>(Phase::terminated));
  reader(start_time);
  reader.or_never(stop_time);
  reader(has_run, 1);
  const std::span<const double> inner = saved.subspan(kOwn);
  const SimulationSetup setup = from_numbers(inner).setup;
  std::optional<Simulation> run;
  if (has_run) {
    run.emplace(SimulationSetup{.car = demo_car(), .options = {}, .inputs = {}});
    run->load(inner);
  }
  run_ = std::move(run);
  setup_ = setup;
  phase_ = phase;
  start_time_ = start_time;
  stop_time_ = stop_time;
}

namespace {
using State = std::vector<double>;
const State& state_at(const void* state) {
  if (state == nullptr) throw std::invalid_argument("a saved state is needed");
  return *static_cast<const State*>(state);
}
}  // namespace

void keep_state(Unit& unit, void** state) {
  require_pointer(state, "FMUState");
  State saved = unit.save();
  if (*state == nullptr) {
    *state = std::make_unique<State>(std::move(saved)).release();
  } else {
    *static_cast<State*>(*state) = std::move(saved);
  }
}

void restore_state(Unit& unit, const void* state) { unit.load(state_at(state)); }

void free_state(void** state) {
  if (state == nullptr) return;
  std::default_delete<State>()(static_cast<State*>(*state));
  *state = nullptr;
}

void count_state_bytes(const void* state, std::size_t* size) {
  require_pointer(size, "size");
  *size = size_as_bytes(state_at(state));
}

void write_state(const void* state, void* bytes, std::size_t size) {
  require_pointer(bytes, "serializedState");
  if (size < size_as_bytes(state_at(state)))
    throw std::invalid_argument("there is not room enough for the state");
  write_bytes(state_at(state), bytes);
}

void read_state(const void* bytes, std::size_t size, void** state) {
  require_pointer(bytes, "serializedState");
  require_pointer(state, "FMUState");
  *state = std::make_unique<State>(numbers_of_bytes(bytes, size)).release();
}

}  // namespace layshaft::fmi
