#pragma once

/// Text with a unit to SI numbers, for programs that have no other way: `"4.6 mm"` is 0.0046 m.
///
/// The spellings are the usual ones of each quantity, a list and no algebra of units. In Python any
/// unit that fits is taken.

#include <string>
#include <string_view>

namespace layshaft {

/// Reads a number, alone or followed by a unit of the quantity whose SI unit is given; "1" is a
/// ratio. Throws std::invalid_argument for anything else; the message says what it must be.
[[nodiscard]] double to_si(std::string_view text, std::string_view si_unit);

/// What was written, for a message, cut where it is longer than anybody reads.
[[nodiscard]] std::string shortened(std::string_view text);

}  // namespace layshaft
