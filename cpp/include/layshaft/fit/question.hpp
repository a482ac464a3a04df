#pragma once

/// What a fit is asked, as text: for callers that have no lists to hand over.

#include <string_view>
#include <vector>

#include "layshaft/fit/observation.hpp"
#include "layshaft/fit/unknown.hpp"

namespace layshaft {

struct Question {
  std::vector<Unknown> unknowns;
  std::vector<Observation> seen;
};

/// Reads lines of two kinds: `unknown PATH DOUBT`, and `seen MEASURE VALUE ERROR` with a path and
/// its value for each setting that was another than the car's, all parted by blanks and in SI
/// units. What was seen is of a launch from rest to 60 m. Throws std::invalid_argument for a line
/// of another kind, and as `unknown_of`.
[[nodiscard]] Question read_question(const Car& car, std::string_view text);

}  // namespace layshaft
