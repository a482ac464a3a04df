#pragma once

/// The scalar results of a lap: the only list of them. What a launch has too has its name.

#include <span>

#include "layshaft/run/lap.hpp"
#include "layshaft/run/scalar.hpp"

namespace layshaft {

using LapScalar = ScalarOf<LapResult>;

/// All scalars, in the order in which they are shown.
[[nodiscard]] std::span<const LapScalar> lap_scalars();

}  // namespace layshaft
