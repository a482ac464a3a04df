#pragma once

/// What cars of other numbers would have shown of what was seen.

#include <span>
#include <vector>

#include "layshaft/fit/observation.hpp"
#include "layshaft/run/sweep.hpp"

namespace layshaft {

/// What the car would have shown at each point, points x observations, row after row; not a number
/// where it does no such thing, is refused, or its run fails. What an observation changed wins over
/// a point. Each point is launched once for each setting and kind of launch that was seen, in lanes
/// and on `threads` threads (0 for as many as the machine has cores; with 1 and no `progress` none
/// is started). Throws as `validate`, and where `progress` stops it returns what is there.
[[nodiscard]] std::vector<double> predict(const Car& car, std::span<const Observation> observations,
                                          std::span<const Point> points, unsigned threads = 0,
                                          const Progress& progress = {});

}  // namespace layshaft
