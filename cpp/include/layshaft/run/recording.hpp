#pragma once

/// What the recorders of launches and laps share.

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "layshaft/car/pitch.hpp"
#include "layshaft/network/integration.hpp"
#include "layshaft/network/plant.hpp"
#include "layshaft/network/rosenbrock.hpp"
#include "layshaft/number/absent.hpp"
#include "layshaft/number/root.hpp"
#include "layshaft/run/peaks.hpp"
#include "layshaft/run/shift_watch.hpp"

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

/// What is taken down alike of every run, whatever road the plant `P` drives on: modes, shifts,
/// peaks, how far the body pitches, and when a sample is due.
template <class P>
class Recording {
 public:
  using SegmentView = Segment<P, Rosenbrock<StateOf<P>>, typename P::Active>;
  using State = StateOf<P>;
  using Modes = ModesOf<P>;

  explicit Recording(double air_temperature) : air_temperature_(air_temperature) {}

  [[nodiscard]] bool begun() const { return begun_; }
  /// Those last taken down.
  [[nodiscard]] const Modes& modes() const { return modes_; }
  [[nodiscard]] bool knows(const Modes& modes) const { return begun_ && modes == modes_; }
  /// Modes in which a stretch begins, and the estimated error of its begin [s].
  void note_modes(const Modes& modes, const Moment& begin, const State& state,
                  const AccountsOf<P>& accounts, double error) {
    shifts_.note_modes(mode_of(modes, coupling::first), mode_of(modes, coupling::second),
                       {begin, state(node::shaft), accounts[account::shoe_loss], std::abs(error)});
    modes_ = modes;
    begun_ = true;
  }
  [[nodiscard]] static CouplingMode mode_of(const Modes& modes, int which) {
    return modes.couplings[static_cast<std::size_t>(which)];
  }

  [[nodiscard]] ShiftWatch& shifts() { return shifts_; }
  [[nodiscard]] const ShiftWatch& shifts() const { return shifts_; }

  void raise_peaks_to(const State& state, PeaksOf<double>& peaks) const {
    raise_peaks(peaks, peaks_at(state, air_temperature_));
  }

  /// Follows the pitch in a stretch up to `until` [s] and notes it in the result; returns when the
  /// car went over [s], or infinity.
  template <class Result>
  [[nodiscard]] double follow_pitch_in(const SegmentView& segment, double until, const CarLaw& law,
                                       Result& result) {
    const PitchAfter after = follow_pitch(law, pitch_, segment.begin, until,
                                          [&](double time) { return segment.state(time); });
    pitch_ = after.pitch;
    result.peaks.pitch = std::max(result.peaks.pitch, std::abs(pitch_.angle));
    result.lifted_time += after.lifted;
    return after.over;
  }
  /// Whether an axle is off the ground.
  [[nodiscard]] bool is_lifted() const { return pitch_ != Pitch{}; }

  /// Calls `take(at)` wherever a sample is due up to `until`: at whole multiples of the spacing, so
  /// that it does not depend on the steps. With a spacing of 0 none is.
  template <class Take>
  void take_samples(double spacing, double until, const Take& take) {
    if (!(spacing > 0.0)) return;
    for (double at = spacing * static_cast<double>(next_sample_); at <= until;
         at = spacing * static_cast<double>(++next_sample_)) {
      take(at);
    }
  }

 private:
  double air_temperature_;
  Modes modes_{};
  bool begun_ = false;
  ShiftWatch shifts_{};
  Pitch pitch_{};
  std::size_t next_sample_ = 0;
};

}  // namespace layshaft
