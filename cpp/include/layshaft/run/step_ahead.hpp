#pragma once

/// The integrator of a car that is read while it runs: makes steps on demand, keeps the last one
/// for reading inside it, and can be brought back to where its modes last began.

#include <limits>
#include <vector>

#include "layshaft/car/pitch.hpp"
#include "layshaft/run/launch_recorder.hpp"

namespace layshaft {

/// Where an integrator set out in the modes that hold in its last step. From there it makes the
/// same steps again.
struct Outset {
  double time = 0.0;  ///< [s]
  StateOf<Drivetrain> state;
  ModesOf<Drivetrain> modes;
  AccountsOf<Drivetrain> accounts{};
  Pitch pitch{};
  double step = 0.0;  ///< Proposed for the first step [s].
  int same_instant = 0;
  double instant = 0.0;  ///< [s]
  long steps = 0;        ///< Since the inputs last changed.
};

class StepAhead : private Integrator<Drivetrain, Rosenbrock> {
 public:
  using Base = Integrator<Drivetrain, Rosenbrock>;
  using State = StateOf<Drivetrain>;
  using SegmentView = Base::SegmentView;

  /// The plant must outlive it; a change of its inputs is followed by `press`.
  StepAhead(const Drivetrain& plant, const IntegrationOptions& options) : Base(plant, options) {}

  void start(const State& state, const ModesOf<Drivetrain>& modes);
  /// Goes on from what `sample` gave before the plant's inputs were changed.
  void press(const Sample& now);
  void resume(const Outset& outset, std::vector<Change> changes);

  /// One step; false where the run cannot go on.
  bool advance();

  /// Of the last step; of the next where none was made yet.
  [[nodiscard]] const Outset& outset() const { return outset_; }
  /// Steps from there on, the last among them, and the changes that were before.
  [[nodiscard]] long steps_since() const { return steps_since_; }
  [[nodiscard]] std::size_t changes_before() const { return changes_before_; }
  [[nodiscard]] SegmentView last_step() const;

  [[nodiscard]] bool alive() const { return alive_; }
  [[nodiscard]] double time() const { return time_; }  ///< Up to which the steps go [s].
  [[nodiscard]] const Ending& ending() const { return ending_; }
  [[nodiscard]] const std::vector<Change>& changes() const { return changes_; }

  /// The car at `time`, inside the last step or at its end, there after the switching.
  [[nodiscard]] Sample sample(double time) const;

 private:
  // All that the last step was made with; the integrator itself may have switched since.
  struct Kept {
    Stepper stepper;
    Active active;
    FrozenOf<Drivetrain> frozen;
    ModesOf<Drivetrain> modes;
    AccountsOf<Drivetrain> accounts_at_begin;
    AccountsOf<Drivetrain> accounts_at_end;
    double begin;
    double end;
  };

  void set_out();
  void keep(const SegmentView& segment);
  /// Pitch in the last step.
  [[nodiscard]] PitchAfter pitch_after(const SegmentView& segment, double until) const;

  Outset outset_;
  long stretch_ = 0;  // Of the outset.
  long steps_since_ = 0;
  std::size_t changes_before_ = 0;
  Pitch pitch_{};           // At the end of the last step,
  Pitch pitch_at_begin_{};  // and at its begin.
  Kept kept_{make_stepper<Stepper>(options_.tolerance, plant_.state_scale()),
             {},
             {},
             {},
             {},
             {},
             0.0,
             0.0};
};

}  // namespace layshaft
