#pragma once

/// The scalar results of a run: the only list of them, as the field table is for parameters.

#include <span>

#include "layshaft/run/launch.hpp"
#include "layshaft/run/scalar.hpp"

namespace layshaft {

using Scalar = ScalarOf<LaunchResult>;

/// All scalars, in the order in which they are shown.
[[nodiscard]] std::span<const Scalar> scalars();

}  // namespace layshaft
