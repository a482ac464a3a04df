#pragma once

/// What can be read of a running simulation: the only list of it, as the field table is for
/// parameters.
///
/// The names are those of the samples of a launch in Python (there `throttle_opening` is
/// `throttle`, which is an input here). Values are doubles in SI units; a mode or a position is a
/// whole number whose names are in `choices`.

#include <cstddef>
#include <optional>
#include <span>
#include <string_view>

namespace layshaft {

/// One row of the list.
struct Output {
  std::string_view name;
  std::string_view unit;  ///< SI unit; "1" for a ratio, a mode or a position.
  std::string_view meaning;
  std::span<const std::string_view> choices;  ///< Names of a mode or position, else empty.
};

/// All outputs; the position in the list is the output's number.
[[nodiscard]] std::span<const Output> outputs();

/// Number of the output of that name.
[[nodiscard]] std::optional<std::size_t> find_output(std::string_view name);

}  // namespace layshaft
