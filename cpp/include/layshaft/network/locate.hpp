#pragma once

/// Where a guard falls through zero inside a stretch at whose end it is below.

#include "layshaft/number/root.hpp"

namespace layshaft {

/// Time just past the root of `value(time)`, so that the mode has ended there; `at_begin` > 0 >
/// `at_end` are its values at the ends of the stretch.
template <class Value>
[[nodiscard]] double locate_fall(const Value& value, double begin, double at_begin, double end,
                                 double at_end) {
  return past_root(value, begin, end, at_begin, at_end, 52);
}

/// The same for a guard that stands on its root at `begin`: it may rise past `noise` and fall again
/// before the end, so it is looked at ever nearer to `begin`. Where it never rises it has fallen at
/// once.
template <class Value>
[[nodiscard]] double locate_fall_after_rise(const Value& value, double begin, double end,
                                            double at_end, double noise) {
  constexpr int kNearerLooks = 16;  // The last lies at a 2e-10th of the stretch.
  double width = end - begin;
  for (int k = 0; k < kNearerLooks; ++k) {
    width *= 0.25;
    const double time = begin + width;
    const double at_time = value(time);
    if (at_time > noise) return locate_fall(value, time, at_time, end, at_end);
    if (at_time >= 0.0) continue;
    end = time;
    at_end = at_time;
  }
  return begin;
}

}  // namespace layshaft
