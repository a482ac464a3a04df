#pragma once

/// Why a launch or a lap stopped early, in words.

#include <string>

#include "layshaft/network/ending.hpp"

namespace layshaft {

/// One sentence on why a launch stopped early and what to try; empty for a finished one.
[[nodiscard]] std::string explain(const Ending& ending);

/// The same of a lap, whose list of parts is another.
[[nodiscard]] std::string explain_on_track(const Ending& ending);

}  // namespace layshaft
