#pragma once

/// What the recorders of launches and laps share.

#include <algorithm>
#include <cmath>

#include "layshaft/car/pitch.hpp"
#include "layshaft/number/absent.hpp"
#include "layshaft/number/root.hpp"

namespace layshaft {

/// Time in [begin, end] at which a rising quantity passes `level`.
template <class Quantity>
[[nodiscard]] double time_of_passing(const Quantity& quantity, double level, double begin,
                                     double end) {
  const auto rise = [&](double time) { return quantity(time) - level; };
  const double at_begin = rise(begin);
  const double at_end = rise(end);
  if (at_begin >= 0.0) return begin;
  if (at_end <= 0.0) return end;
  return past_root(rise, begin, end, at_begin, at_end, 50);
}

/// Follows the pitch in a step up to `until` [s] and notes it in the result; returns when the car
/// went over [s], or infinity.
template <class SegmentView, class Result>
[[nodiscard]] double follow_pitch_in(const SegmentView& segment, double until, const CarLaw& law,
                                     Pitch& pitch, Result& result) {
  const PitchAfter after = follow_pitch(law, pitch, segment.begin, until,
                                        [&](double time) { return segment.state(time); });
  pitch = after.pitch;
  result.peaks.pitch = std::max(result.peaks.pitch, std::abs(pitch.angle));
  result.lifted_time += after.lifted;
  return after.over;
}

}  // namespace layshaft
