#pragma once

/// What can be read of a run at one instant: the only list of it, as the field table is for
/// parameters. Samples in Python, the C interface and the co-simulation units show these names.
///
/// The list follows from the parts (`part.hpp`): of a node its speed, of a coupling its torque (or
/// force), slip and mode, of every other state its value (a rise over the air as a temperature),
/// the signals, the positions of switches that are shown, and the accounts. Values are doubles in
/// SI units; a mode or a position is a whole number whose names are in `choices`.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "layshaft/network/modes.hpp"
#include "layshaft/network/part_plan.hpp"

namespace layshaft {

/// What an output is read from.
enum class From : std::uint8_t {
  state,
  rise,  ///< A state that is a rise over the air.
  torque,
  slip,
  mode,
  signal,
  position,
  account,
  other,  ///< What its own reader knows beside the parts.
};

/// One row of the list.
struct Output {
  std::string name;
  std::string unit;  ///< SI unit; "1" for a ratio, a mode or a position.
  std::string meaning;
  std::span<const std::string_view> choices;  ///< Names of a mode or position, else empty.
  From from;
  int index;  ///< Place among the states, couplings, signals, switches or accounts.
};

/// All outputs of a launch; the position in the list is the output's number.
[[nodiscard]] std::span<const Output> outputs();

/// All outputs of a lap.
[[nodiscard]] std::span<const Output> lap_outputs();

/// Number of the output of a launch of that name.
[[nodiscard]] std::optional<std::size_t> find_output(std::string_view name);

/// Names of the modes, in the order of `CouplingMode`.
inline constexpr std::array<std::string_view, 5> kModeNames{
    to_string(CouplingMode::open), to_string(CouplingMode::stuck),
    to_string(CouplingMode::stuck_back), to_string(CouplingMode::slip_positive),
    to_string(CouplingMode::slip_negative)};

/// The outputs of a list of parts. Of two of one name the first counts: they are the same quantity.
template <class Parts>
[[nodiscard]] std::vector<Output> outputs_of() {
  std::vector<Output> list;
  const auto add = [&list](std::string name, std::string_view unit, std::string meaning,
                           std::span<const std::string_view> choices, From from, std::size_t at) {
    for (const Output& other : list) {
      if (other.name == name) return;
    }
    list.push_back({std::move(name), std::string(unit), std::move(meaning), choices, from,
                    static_cast<int>(at)});
  };
  const auto shown = [](const auto& row) {
    return std::string(row.shown.empty() ? row.name : row.shown);
  };
  const auto& states = Parts::kStateRows;
  const auto& couplings = Parts::kCouplingRows;
  for (std::size_t i = 0; i < Parts::kNodes; ++i) {
    add(std::string(states[i].name) + "_speed", states[i].unit, std::string(states[i].meaning), {},
        From::state, i);
  }
  for (std::size_t i = 0; i < couplings.size(); ++i) {
    const std::string name(couplings[i].name);
    const std::string meaning(couplings[i].meaning);
    const std::string_view speed =
        states[static_cast<std::size_t>(Parts::nodes_of(static_cast<int>(i))[0])].unit;
    const bool turns = speed == "rad/s";
    add(name + (turns ? "_torque" : "_force"), turns ? "N*m" : "N",
        meaning + (turns ? ": torque" : ": force"), {}, From::torque, i);
    add(name + "_slip", speed, meaning + ": slip", {}, From::slip, i);
    add(name + "_mode", "1", meaning + ": what it does", kModeNames, From::mode, i);
  }
  for (std::size_t i = Parts::kNodes; i < states.size(); ++i) {
    add(shown(states[i]), states[i].unit, std::string(states[i].meaning), {},
        states[i].unit == "K" ? From::rise : From::state, i);
  }
  for (std::size_t i = 0; i < Parts::kSignalRows.size(); ++i) {
    const auto& row = Parts::kSignalRows[i];
    if (!Parts::is_late_signal(static_cast<int>(i))) {
      add(shown(row), row.unit, std::string(row.meaning), {}, From::signal, i);
    }
  }
  for (std::size_t i = 0; i < Parts::kSwitchRows.size(); ++i) {
    const auto& row = Parts::kSwitchRows[i];
    if (!row.shown.empty()) {
      add(shown(row), row.unit, std::string(row.meaning) + ": position", row.positions,
          From::position, i);
    }
  }
  for (std::size_t i = 0; i < Parts::kAccountRows.size(); ++i) {
    const auto& row = Parts::kAccountRows[i];
    add(shown(row), row.unit, std::string(row.meaning), {}, From::account, i);
  }
  return list;
}

}  // namespace layshaft
