#pragma once

/// One wording for every refused value: `ShoeSet.drum_radius = -0.02 must be > 0`.
///
/// Each check is written as "not (good)", so that NaN is refused as well.

#include <stdexcept>
#include <string>
#include <string_view>

#include "layshaft/number/text.hpp"

namespace layshaft {

[[noreturn]] inline void refuse(std::string_view owner, std::string_view field, double value,
                                std::string_view bound) {
  std::string text(owner);
  text.append(".").append(field).append(" = ").append(in_digits(value, 9));
  throw std::invalid_argument(text.append(" must be ").append(bound));
}

/// Throws std::invalid_argument unless `good`; the message names owner, field, value and bound.
inline void require(bool good, std::string_view owner, std::string_view field, double value,
                    std::string_view bound) {
  if (!good) refuse(owner, field, value, bound);
}

/// The part of a message that needs no C++: `drum_radius = -0.02 must be > 0`.
[[nodiscard]] inline const char* without_owner(const char* message) {
  const std::string_view text = message;
  const std::size_t end = text.find_first_of(". ");
  const bool is_owner = end != std::string_view::npos && text[end] == '.' && text.front() >= 'A' &&
                        text.front() <= 'Z';
  return is_owner ? message + end + 1 : message;
}

}  // namespace layshaft
