#pragma once

/// The scalar results of a run: the only list of them, as the field table is for parameters.

#include <span>
#include <string_view>

#include "layshaft/run/launch.hpp"

namespace layshaft {

struct Scalar {
  std::string_view name;
  std::string_view unit;  ///< SI unit; "1" for a ratio or a count.
  std::string_view meaning;
  double (*get)(const LaunchResult&);
};

/// All scalars, in the order in which they are shown.
[[nodiscard]] std::span<const Scalar> scalars();

}  // namespace layshaft
