#pragma once

/// Warnings as Python has them.

#include <array>
#include <string>
#include <vector>

#include "layshaft/car/warnings.hpp"

namespace layshaft {

/// Triples (section, code, sentence).
[[nodiscard]] inline std::vector<std::array<std::string, 3>> warning_rows(
    const std::vector<CarWarning>& warnings) {
  std::vector<std::array<std::string, 3>> rows;
  for (const CarWarning& warning : warnings) {
    rows.push_back({warning.part, warning.code, warning.text});
  }
  return rows;
}

}  // namespace layshaft
