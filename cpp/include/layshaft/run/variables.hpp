#pragma once

/// All that an outsider may set and read, by name: the car's fields, the settings of a run, its
/// inputs and its outputs. The one list behind the C interface and the co-simulation units.
///
/// Names are those of the field table ("two_speed.screw_arm") and of its pairs ("two_speed.gap",
/// which stands for both shoes), "run.start_speed" and the like for the settings of a run,
/// "throttle", "brake", "grade" for the inputs, and those of `outputs()`.

#include <optional>
#include <span>
#include <string_view>

#include "layshaft/car/fields.hpp"
#include "layshaft/run/simulation.hpp"

namespace layshaft {

enum class Role {
  parameter,  ///< Settled before the start.
  input,      ///< May be set at any time.
  output,     ///< Read only.
};

enum class ValueKind {
  number,
  count,   ///< A whole number.
  choice,  ///< One of `choices`, given by its position.
  yes_no,  ///< 0 or 1.
};

struct Variable {
  std::string_view name;
  std::string_view unit;  ///< SI unit; "1" for a ratio, "turn" for turns of a screw.
  Role role;
  ValueKind kind;
  double fallback;  ///< Of the demo car and of a run that is not told otherwise; 0 for outputs.
  double minimum;   ///< Inclusive; minus infinity for outputs that are numbers.
  double maximum;   ///< Inclusive.
  std::string_view meaning;
  std::span<const std::string_view> choices;
};

/// All of them; the position in the list is the variable's number.
[[nodiscard]] std::span<const Variable> variables();

/// Number of the variable of that name.
[[nodiscard]] std::optional<std::size_t> find_variable(std::string_view name);

/// Reads and sets a parameter or input by its number. Reading throws std::invalid_argument for a
/// pair whose two values differ, setting for an output and for a value outside the range.
[[nodiscard]] double get_variable(const SimulationSetup& setup, std::size_t number);
void set_variable(SimulationSetup& setup, std::size_t number, double value);

/// Value of an output by its variable's number.
[[nodiscard]] double get_output(const Simulation& simulation, std::size_t number);

}  // namespace layshaft
