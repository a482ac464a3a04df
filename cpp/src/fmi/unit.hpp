#pragma once

/// One instance of the car as a co-simulation unit: what FMI 2.0 and 3.0 have in common.
///
/// Variables are addressed by their number in `variables()`, which is their value reference; the
/// time is the number after the last. A unit is made from the files that the export wrote: the car
/// and a token that ties them to the description of the variables.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "layshaft/run/variables.hpp"

namespace layshaft::fmi {

enum class Phase : std::uint8_t { instantiated, initialising, stepping, events, terminated };

/// Which of the standard's types a variable is read and set with.
enum class Access : std::uint8_t { real, whole, choice, yes_no };

struct StepOutcome {
  double reached;  ///< [s]
  bool at_event;   ///< Modes have changed just there.
};

class Unit {
 public:
  /// `resources` is the unit's folder of that name. Throws std::invalid_argument where its files
  /// cannot be read or have another token.
  Unit(const std::string& resources, std::string_view token);

  [[nodiscard]] Phase phase() const { return phase_; }
  [[nodiscard]] double time() const;  ///< [s]

  /// A tolerance of 0 leaves that of the set-up.
  void enter_initialisation(double start_time, double tolerance);
  void exit_initialisation(bool event_mode);
  void enter(Phase phase);
  void reset();

  [[nodiscard]] double get(std::uint32_t reference, Access access);
  void set(std::uint32_t reference, Access access, double value);

  /// Goes on to `time` [s], or to the next change of a mode. Throws std::runtime_error where the
  /// run cannot go on, `time()` is as far as it came then.
  StepOutcome step_to(double time, bool stop_at_event);

  [[nodiscard]] std::vector<double> save();
  void load(std::span<const double> saved);

 private:
  [[nodiscard]] Simulation& run();
  void require_phase(bool good, const char* what) const;

  SimulationSetup first_setup_;
  SimulationSetup setup_;
  std::optional<Simulation> run_;  // From the first look at an output on.
  Phase phase_ = Phase::instantiated;
  double start_time_ = 0.0;
};

/// Reads or sets variables one after the other.
template <class Value>
void get_all(Unit& unit, std::span<const std::uint32_t> references, Access access, Value* values) {
  for (const std::uint32_t reference : references) {
    *values++ = static_cast<Value>(unit.get(reference, access));
  }
}
template <class Value>
void set_all(Unit& unit, std::span<const std::uint32_t> references, Access access,
             const Value* values) {
  for (const std::uint32_t reference : references) {
    unit.set(reference, access, static_cast<double>(*values++));
  }
}

/// Saved states as the standard hands them over: a pointer of ours, or bytes of the caller's.
/// `keep_state` uses the state that is there already; `write_state` says whether there was room.
void keep_state(Unit& unit, void** state);
void restore_state(Unit& unit, const void* state);
void free_state(void** state);
[[nodiscard]] std::size_t state_bytes(const void* state);
[[nodiscard]] bool write_state(const void* state, void* bytes, std::size_t size);
[[nodiscard]] void* read_state(const void* bytes, std::size_t size);

/// Path of a `file:` address, or the text itself where it is none.
[[nodiscard]] std::string path_of_address(std::string_view address);

}  // namespace layshaft::fmi
