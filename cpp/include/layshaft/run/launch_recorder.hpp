#pragma once

/// Watches a launch while it is integrated: marks, shift, peaks and samples. Nothing it does
/// changes the steps of the integrator.

#include <limits>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/run/launch.hpp"
#include "layshaft/run/recording.hpp"

namespace layshaft {

class LaunchRecorder {
 public:
  using SegmentView = Recording<Drivetrain>::SegmentView;
  using State = StateOf<Drivetrain>;

  /// Records into `result`, which it prepares; both must outlive the run.
  LaunchRecorder(const LaunchOptions& options, double air_temperature, LaunchResult& result);

  /// Called for each stretch of the run; returns where the run shall stop in it, or infinity.
  double operator()(const SegmentView& segment);

  /// The parts of a call, for one who knows that nothing else happened in a stretch: modes with
  /// which it began, and the estimated error of its begin [s]; and where a full call is needed
  /// next: at this distance [m], speed of the car [m/s] or of the crank [rad/s], or once the
  /// crank's acceleration is not of this sign (never for 0).
  void note_modes(const ModesOf<Drivetrain>& modes, double begin, const State& state,
                  const AccountsOf<Drivetrain>& accounts, double begin_error);
  /// Whether the modes were taken down.
  [[nodiscard]] bool knows(const ModesOf<Drivetrain>& modes) const { return seen_.knows(modes); }
  /// At once while an axle is off the ground.
  [[nodiscard]] double next_distance() const;
  [[nodiscard]] double next_speed() const;
  [[nodiscard]] double next_crank() const { return seen_.shifts().next_crank(); }
  [[nodiscard]] double turns_from() const { return seen_.shifts().turns_from(); }

 private:
  void keep_shift();
  void pass_marks(const SegmentView& segment, double until, const State& state, double distance);

  const LaunchOptions& options_;
  LaunchResult& result_;
  Recording<Drivetrain> seen_;
  std::size_t next_distance_ = 0;
  std::size_t next_speed_ = 0;
};

/// Time [s] at which the car passes `distance` [m] in a stretch, at most its end.
[[nodiscard]] double time_at_distance(const LaunchRecorder::SegmentView& segment, double distance);

/// What a sample holds: of a stretch, or of an instant seen otherwise.
[[nodiscard]] Sample make_sample(const LaunchRecorder::SegmentView& segment, double time);
[[nodiscard]] Sample make_sample(const Drivetrain& plant, const View<Drivetrain>& view, double time,
                                 const StateOf<Drivetrain>& state,
                                 const AccountsOf<Drivetrain>& accounts,
                                 const ModesOf<Drivetrain>& modes);

}  // namespace layshaft
