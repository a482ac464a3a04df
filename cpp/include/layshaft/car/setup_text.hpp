#pragma once

/// A car as text, for programs that read no TOML: one setting a line, by its full path.
///
///     two_speed.gap = "4.6 mm"    # a number alone is in the field's SI unit
///     first.pinion = 17
///     clutch.design = "axial"
///     engine.torque = [["0 krpm", "0.05 N*m"], ["10 krpm", 0.2], ["40 krpm", 0.3]]
///
/// Every such text is a set-up file in TOML as well. The reverse does not hold: sections, and
/// values over several lines, are not read here.

#include <string>
#include <string_view>

#include "layshaft/car/car.hpp"
#include "layshaft/car/fields.hpp"

namespace layshaft {

/// The demo car with the settings of the text. Of a torque curve of more than 16 points those are
/// kept that describe it best, if none left out is off by more than 1 % of the greatest torque.
/// Throws std::invalid_argument with the line's number
/// for what cannot be read, an unknown path or a value out of range, and for a car whose parts do
/// not go together.
[[nodiscard]] Car car_from_text(std::string_view text);

/// All settings, numbers in SI units; read back it is the same car, bit for bit.
[[nodiscard]] std::string to_text(const Car& car);

/// A value as it stands in such a text, without its quotes: a number with or without unit, or the
/// name of a choice. Throws std::invalid_argument for anything else.
[[nodiscard]] double read_value(std::string_view text, std::string_view si_unit,
                                std::span<const std::string_view> choices);

/// The same for the value of a name, which the message then begins with.
[[nodiscard]] double read_value_of(std::string_view name, std::string_view text,
                                   std::string_view si_unit,
                                   std::span<const std::string_view> choices);

}  // namespace layshaft
