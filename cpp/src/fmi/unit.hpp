#pragma once

/// One instance of the car as a co-simulation unit: what FMI 2.0 and 3.0 have in common.
///
/// Variables are addressed by their number in `variables()`, which is their value reference; the
/// time is the number after the last. A unit is made from the files that the export wrote: the car
/// and a token that ties them to the description of the variables.

#include <cstdint>
#include <limits>
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
  bool changed;    ///< Modes have changed on the way; just there where the step stops for it.
};

class Unit {
 public:
  /// `resources` is the unit's folder of that name. Throws std::invalid_argument where its files
  /// cannot be read or have another token.
  Unit(const std::string& resources, std::string_view token);

  [[nodiscard]] Phase phase() const { return phase_; }
  [[nodiscard]] double time() const;  ///< [s]

  /// Throws std::invalid_argument unless the unit is in `phase`; `what` needs that.
  void require_phase(Phase phase, const char* what) const;

  /// A time or a tolerance that is left out keeps what is fixed before: 0, never, the set-up's.
  void enter_initialisation(double start_time, std::optional<double> stop_time,
                            std::optional<double> tolerance);
  void exit_initialisation(bool event_mode);
  void enter_events();
  void enter_stepping();
  void terminate();
  void reset();

  [[nodiscard]] double get(std::uint32_t reference, Access access);
  /// One value for each reference; all or, where one is refused, none.
  void set(std::span<const std::uint32_t> references, Access access,
           std::span<const double> values);

  /// Goes on by `step` [s] from `time` [s], which is the present, or to the next change of a mode,
  /// which is always later. Throws std::invalid_argument for another time, a step that is none and
  /// an end past the stop time, and std::runtime_error where the run cannot go on; then nothing has
  /// changed.
  StepOutcome step(double time, double step, bool stop_at_change);

  [[nodiscard]] std::vector<double> save();
  void load(std::span<const double> saved);

 private:
  [[nodiscard]] Simulation& run();
  [[nodiscard]] double checked_end(double time, double step) const;

  SimulationSetup first_setup_;
  SimulationSetup setup_;
  std::optional<Simulation> run_;  // From the first look at an output on.
  Phase phase_ = Phase::instantiated;
  double start_time_ = 0.0;
  double stop_time_ = std::numeric_limits<double>::infinity();
};

/// Throws std::invalid_argument for a null pointer.
void require_pointer(const void* pointer, const char* name);

/// Reads or sets variables as the standard hands them over.
template <class Value>
void get_all(Unit& unit, const std::uint32_t* references, std::size_t count, Access access,
             Value* values) {
  if (count == 0) return;
  require_pointer(references, "valueReferences");
  require_pointer(values, "values");
  std::vector<Value> found;
  for (std::size_t i = 0; i < count; ++i) {
    found.push_back(static_cast<Value>(unit.get(references[i], access)));
  }
  for (std::size_t i = 0; i < count; ++i) values[i] = found[i];
}
template <class Value>
void set_all(Unit& unit, const std::uint32_t* references, std::size_t count, Access access,
             const Value* values) {
  if (count == 0) return;
  require_pointer(references, "valueReferences");
  require_pointer(values, "values");
  std::vector<double> wanted;
  for (std::size_t i = 0; i < count; ++i) wanted.push_back(static_cast<double>(values[i]));
  unit.set({references, count}, access, wanted);
}

/// Saved states as the standard hands them over: a pointer of ours, or bytes of the caller's.
/// `keep_state` uses the state that is there already. Null pointers and bytes that are too few or
/// no state are refused with std::invalid_argument.
void keep_state(Unit& unit, void** state);
void restore_state(Unit& unit, const void* state);
void free_state(void** state);
void count_state_bytes(const void* state, std::size_t* size);
void write_state(const void* state, void* bytes, std::size_t size);
void read_state(const void* bytes, std::size_t size, void** state);

/// Path of a `file:` address, or the text itself where it is none.
[[nodiscard]] std::string path_of_address(std::string_view address);

}  // namespace layshaft::fmi
