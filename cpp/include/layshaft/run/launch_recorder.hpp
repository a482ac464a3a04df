#pragma once

/// Watches a launch while it is integrated: marks, shift, peaks and samples. Nothing it does
/// changes the steps of the integrator.

#include <limits>

#include "layshaft/run/launch.hpp"

namespace layshaft {

class LaunchRecorder {
 public:
  using SegmentView = Integrator<Drivetrain, Rosenbrock>::SegmentView;
  using State = StateOf<Drivetrain>;

  /// Takes down into `result`, which it prepares; both must outlive the run.
  LaunchRecorder(const LaunchOptions& options, double air_temperature, LaunchResult& result);

  /// Called for each stretch of the run; returns where the run shall stop in it, or infinity.
  double operator()(const SegmentView& segment);

 private:
  void note_modes(const SegmentView& segment);
  void note_contact(const SegmentView& segment, const State& state);
  void note_lock(const SegmentView& segment, const State& state);
  void note_peaks(const State& state);
  void pass_marks(const SegmentView& segment, double until, const State& state, double distance);
  void take_samples(const SegmentView& segment, double until);

  const LaunchOptions& options_;
  double air_temperature_;
  LaunchResult& result_;
  ModesOf<Drivetrain> modes_{};
  bool begun_ = false;
  Shift shift_{};
  double shoe_loss_at_start_ = 0.0;
  std::size_t next_distance_ = 0;
  std::size_t next_speed_ = 0;
  std::size_t next_sample_ = 0;
};

}  // namespace layshaft
