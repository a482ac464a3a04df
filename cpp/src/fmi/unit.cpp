#include "unit.hpp"

#include <algorithm>
#include <charconv>
#include <cstring>
#include <fstream>
#include <iterator>
#include <memory>
#include <stdexcept>
#include <utility>

#include "layshaft/car/setup_text.hpp"
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

}  // namespace

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

void Unit::require_phase(bool good, const char* what) const {
  if (!good) throw std::invalid_argument(std::string(what) + " is not allowed in this state");
}

void Unit::enter_initialisation(double start_time, double tolerance) {
  require_phase(phase_ == Phase::instantiated, "entering initialisation");
  start_time_ = start_time;
  if (tolerance > 0.0) setup_.options.tolerance = std::clamp(tolerance, 1e-13, 1e-2);
  phase_ = Phase::initialising;
}

void Unit::exit_initialisation(bool event_mode) {
  require_phase(phase_ == Phase::initialising, "leaving initialisation");
  static_cast<void>(run());
  phase_ = event_mode ? Phase::events : Phase::stepping;
}

void Unit::enter(Phase phase) {
  const bool running = phase_ == Phase::stepping || phase_ == Phase::events;
  require_phase(running, "this change of state");
  phase_ = phase;
}

void Unit::reset() {
  setup_ = first_setup_;
  run_.reset();
  phase_ = Phase::instantiated;
  start_time_ = 0.0;
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
  require_phase(phase_ != Phase::instantiated, "reading an output");
  return get_output(run(), reference);
}

void Unit::set(std::uint32_t reference, Access access, double value) {
  const Variable& variable = variable_of(reference, access);
  const bool early = phase_ == Phase::instantiated || phase_ == Phase::initialising;
  require_phase(early || variable.role == Role::input, "setting a parameter");
  require_phase(phase_ != Phase::terminated, "setting an input");
  set_variable(setup_, reference, value);
  if (early) run_.reset();
}

StepOutcome Unit::step_to(double time, bool stop_at_event) {
  require_phase(phase_ == Phase::stepping, "a step");
  Simulation& simulation = run();
  const double before = simulation.time();
  // What the outsider adds up may fall short of the present by round-off.
  const double target = std::max(time - start_time_, simulation.time());
  if (stop_at_event) {
    simulation.step_to_change(target);
  } else {
    simulation.step_to(target);
  }
  if (const std::string failure = simulation.failure(); !failure.empty()) {
    throw std::runtime_error(failure);
  }
  // The time asked for where it was reached, with its own bits.
  const double now = simulation.time();
  const auto changes = simulation.changes();
  return {now == target ? std::max(time, this->time()) : this->time(),
          now > before && !changes.empty() && changes.back().time == now};
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
  std::vector<double> numbers{static_cast<double>(phase_), start_time_, run_ ? 1.0 : 0.0};
  numbers.insert(numbers.end(), inner.begin(), inner.end());
  return numbers;
}

void Unit::load(std::span<const double> saved) {
  constexpr std::size_t kOwn = 3;
  if (saved.size() < kOwn) NumberReader::refuse();
  NumberReader reader(saved);
  Phase phase{};
  double start_time = 0.0;
  bool has_run = false;
  reader(phase, static_cast<int>(Phase::terminated));
  reader(start_time);
  reader(has_run, 1);
  const std::span<const double> inner = saved.subspan(kOwn);
  SimulationSetup setup = from_numbers(inner).setup;
  if (has_run) {
    if (!run_) run_.emplace(setup);
    run_->load(inner);
  } else {
    run_.reset();
  }
  setup_ = setup;
  phase_ = phase;
  start_time_ = start_time;
}

namespace {
using State = std::vector<double>;
const State& state_at(const void* state) {
  if (state == nullptr) throw std::invalid_argument("a saved state is needed");
  return *static_cast<const State*>(state);
}
}  // namespace

void keep_state(Unit& unit, void** state) {
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

std::size_t state_bytes(const void* state) { return state_at(state).size() * sizeof(double); }

bool write_state(const void* state, void* bytes, std::size_t size) {
  if (size < state_bytes(state)) return false;
  std::memcpy(bytes, state_at(state).data(), state_bytes(state));
  return true;
}

void* read_state(const void* bytes, std::size_t size) {
  auto saved = std::make_unique<State>(size / sizeof(double));
  std::memcpy(saved->data(), bytes, saved->size() * sizeof(double));
  return saved.release();
}

}  // namespace layshaft::fmi
