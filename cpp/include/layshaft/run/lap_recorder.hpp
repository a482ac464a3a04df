#pragma once

/// Watches a lap while it is integrated: sectors, shifts, peaks and samples, and through
/// `LapCorners` the corners. Nothing it does changes the steps of the integrator.

#include "layshaft/run/lap.hpp"
#include "layshaft/run/lap_corners.hpp"
#include "layshaft/run/recording.hpp"

namespace layshaft {

class LapRecorder {
 public:
  using SegmentView = Recording<TrackCar>::SegmentView;
  using State = StateOf<TrackCar>;

  /// Records into `result`, which it prepares; all must outlive the lap.
  LapRecorder(const TrackCar& plant, const LapOptions& options, double air_temperature,
              LapResult& result);

  /// Called for each stretch of the lap; returns where it shall stop in it, or infinity.
  double operator()(const SegmentView& segment);
  /// The run is over, wherever it ended.
  void finish();

 private:
  void note_modes(const SegmentView& segment, const State& state);
  LapEvent& note_event(LapEvent::Kind kind, const Moment& at);
  double note_state(const SegmentView& segment, const State& state);
  void pass_sectors(const SegmentView& segment, double until, double distance);
  void take_samples(const SegmentView& segment, double until, double distance);

  const TrackCar& plant_;
  const LapOptions& options_;
  Approaches approaches_;
  double furthest_ = 0.0;    // [m]
  double come_on_to_ = 0.0;  // The last place that counts as coming on [m],
  double come_on_at_ = 0.0;  // and when that was [s].
  LapResult& result_;
  Recording<TrackCar> seen_;
  LapCorners corners_;
  std::vector<double> ends_;  // Of the sectors, with the line.
};

/// Share of an axle's grip used sideways [-], the larger of both axles, on the piece of track that
/// `active` holds.
[[nodiscard]] double grip_taken(const CarLaw& law, const TrackCar::Active& active,
                                const StateOf<TrackCar>& state);

}  // namespace layshaft
