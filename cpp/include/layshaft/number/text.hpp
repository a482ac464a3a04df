#pragma once

/// Numbers as they stand in messages.
///
/// What the C library writes has the decimal mark of the program's locale; here it is a point
/// wherever the library runs. Streams would do the same and weigh more than all messages.

#include <array>
#include <cstdio>
#include <string>

#include "layshaft/number/real.hpp"

namespace layshaft {

/// The text with a point for whatever stands between the digits of a number.
[[nodiscard]] inline std::string with_point(std::string text) {
  const std::size_t mark = text.find_first_not_of("0123456789+-einfa");
  if (mark == std::string::npos) return text;
  const std::size_t end = text.find_first_of("0123456789", mark);
  return text.replace(mark, end - mark, ".");
}

/// A number in at most so many digits that count.
[[nodiscard]] inline std::string in_digits(double value, int digits = 6) {
  std::array<char, 64> text;
  std::snprintf(text.data(), text.size(), "%.*g", digits, value);
  return with_point(text.data());
}

/// A number with so many digits behind the point.
[[nodiscard]] inline std::string with_decimals(double value, int decimals) {
  std::array<char, 400> text;  // the largest number has 309 digits before it
  std::snprintf(text.data(), text.size(), "%.*f", decimals, value);
  return with_point(text.data());
}

/// A speed [rad/s] in whole revolutions a minute: `42017 rpm`.
[[nodiscard]] inline std::string in_rpm(double speed) {
  return with_decimals(speed * 30.0 / kPi, 0) + " rpm";
}

}  // namespace layshaft
