#pragma once

/// The scalar results of a lap: the only list of them. What a launch has too has its name.

#include <span>
#include <string_view>

#include "layshaft/run/lap.hpp"

namespace layshaft {

struct LapScalar {
  std::string_view name;
  std::string_view unit;  ///< SI unit; "1" for a ratio or a count.
  std::string_view meaning;
  double (*get)(const LapResult&);
};

/// All scalars, in the order in which they are shown.
[[nodiscard]] std::span<const LapScalar> lap_scalars();

}  // namespace layshaft
