#pragma once

/// Watches a lap while it is integrated: sectors, shifts, peaks and samples, and through
/// `LapCorners` the corners. Nothing it does changes the steps of the integrator.

#include "layshaft/car/pitch.hpp"
#include "layshaft/network/rosenbrock.hpp"
#include "layshaft/run/lap.hpp"
#include "layshaft/run/lap_corners.hpp"

namespace layshaft {

class LapRecorder {
 public:
  using SegmentView = Segment<TrackCar, Rosenbrock<StateOf<TrackCar>>, TrackCar::Active>;
  using State = StateOf<TrackCar>;

  /// Records into `result`, which it prepares; all must outlive the lap.
  LapRecorder(const TrackCar& plant, const LapOptions& options, double air_temperature,
              LapResult& result);

  /// Called for each stretch of the lap; returns where it shall stop in it, or infinity.
  double operator()(const SegmentView& segment);

 private:
  void note_modes(const SegmentView& segment, const State& state);
  void note_event(LapEvent::Kind kind, double time, const State& state);
  void note_lock(double time, const State& state);
  void note_state(const SegmentView& segment, const State& state);
  void pass_sectors(const SegmentView& segment, double until, double distance);
  void take_samples(const SegmentView& segment, double until, double distance);
  void close_shift();

  const TrackCar& plant_;
  const LapOptions& options_;
  double air_temperature_;
  Approaches approaches_;
  double furthest_ = 0.0;    // [m]
  double come_on_to_ = 0.0;  // The last place that counts as coming on [m],
  double come_on_at_ = 0.0;  // and when that was [s].
  LapResult& result_;
  ModesOf<TrackCar> modes_{};
  bool begun_ = false;
  LapCorners corners_;
  // The first lock-up of the drum in a shift that began before the line.
  double late_lock_ = std::numeric_limits<double>::quiet_NaN();   // [s]
  double late_crank_ = std::numeric_limits<double>::quiet_NaN();  // Engine speed then [rad/s].
  std::size_t next_sample_ = 0;
  Pitch pitch_{};
  std::vector<double> ends_;  // Of the sectors, with the line.
};

/// Share of an axle's grip used sideways [-], the larger of both axles.
[[nodiscard]] double grip_taken(const CarLaw& law, double curvature,
                                const StateOf<TrackCar>& state);

}  // namespace layshaft
