#pragma once

/// The integrator of a car that is read while it runs: makes steps on demand, keeps the last one
/// for reading inside it, and can be brought back to where its modes last began.

#include <optional>
#include <span>
#include <vector>

#include "layshaft/car/car_integrator.hpp"
#include "layshaft/car/pitch.hpp"
#include "layshaft/run/launch_recorder.hpp"

namespace layshaft {

/// Where an integrator set out in the modes that hold in its last step. From there it makes the
/// same steps again.
struct Outset {
  Standing<Drivetrain> at;
  Pitch pitch{};
  double step = 0.0;  ///< Proposed for the first step [s].
};

class StepAhead {
 public:
  using State = StateOf<Drivetrain>;
  using SegmentView = CarIntegrator::SegmentView;

  /// The plant must outlive it; a change of its inputs is followed by `press`.
  StepAhead(const Drivetrain& plant, const IntegrationOptions& options)
      : integrator_(plant, options) {}

  void start(const State& state, const ModesOf<Drivetrain>& modes);
  /// Goes on from what `sample` gave before the plant's inputs were changed; false where it
  /// cannot.
  bool press(const Sample& now);
  /// Back to an outset; the steps from there are made again with `advance`.
  void resume(const Outset& outset);

  /// One step; false where the run cannot go on. The budget of steps is that of each second, or a
  /// run that is stepped for long would use it up.
  bool advance();

  /// Of the last step; of the next where none was made yet.
  [[nodiscard]] const Outset& outset() const { return outset_; }
  /// Steps from there on, the last among them.
  [[nodiscard]] long steps_since() const { return steps_since_; }
  [[nodiscard]] SegmentView last_step() const;

  [[nodiscard]] bool alive() const { return integrator_.alive(); }
  /// Up to which the steps go [s].
  [[nodiscard]] double time() const { return integrator_.at().time; }
  [[nodiscard]] const Ending& ending() const { return ending_; }

  /// Changes that were found and not yet taken, in order.
  [[nodiscard]] std::span<const Change> changes() const { return integrator_.changes(); }
  /// Takes those until `time` and adds them to `log`.
  void take_changes(double time, std::vector<Change>& log);

  /// The car at `time`, inside the last step or at its end, there after the switching.
  [[nodiscard]] Sample sample(double time) const;

 private:
  // All that the last step was made with; the integrator itself may have switched since.
  struct Kept {
    CarIntegrator::Stepper stepper;
    Drivetrain::Active active;
    FrozenOf<Drivetrain> frozen;
    ModesOf<Drivetrain> modes;
    AccountsOf<Drivetrain> accounts_at_begin;
    AccountsOf<Drivetrain> account_rates_at_begin;
    AccountsOf<Drivetrain> accounts_at_end;
    double begin;
    double end;
  };

  void set_out();
  void keep(const SegmentView& segment);
  /// Pitch in the last step.
  [[nodiscard]] PitchAfter pitch_after(const SegmentView& segment, double until) const;

  CarIntegrator integrator_;
  Ending ending_{};
  Outset outset_;
  long stretch_ = 0;  // Of the outset.
  long steps_since_ = 0;
  Pitch pitch_{};           // At the end of the last step,
  Pitch pitch_at_begin_{};  // and at its begin.
  std::optional<Kept> kept_;
};

}  // namespace layshaft
