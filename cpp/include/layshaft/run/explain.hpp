#pragma once

/// Why a launch or a lap stopped early, in words.

#include <string>

#include "layshaft/network/integration.hpp"

namespace layshaft {

/// One sentence on why a run stopped early and what to try; empty for a finished one.
[[nodiscard]] std::string explain(const Ending& ending);

}  // namespace layshaft
