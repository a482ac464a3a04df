#pragma once

/// The integrator of a car that is read while it runs: makes steps on demand, keeps the last one
/// for reading inside it, and can be brought back to where it stood before that step.

#include <limits>
#include <vector>

#include "layshaft/run/launch_recorder.hpp"

namespace layshaft {

/// Where an integrator stands between two steps: what cannot be worked out from the car anew.
struct Standing {
  using State = StateOf<Drivetrain>;
  double time = 0.0;       ///< [s]
  State state;             ///< As the guards saw it.
  State step_state;        ///< As the stepper goes on from; differs by round-off.
  double next_step = 0.0;  ///< [s]
  ModesOf<Drivetrain> modes;
  GuardSet<Drivetrain> guards;
  std::array<bool, static_cast<std::size_t>(GuardSet<Drivetrain>::kCount)> armed{};
  AccountsOf<Drivetrain> accounts{};
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
  void resume(const Standing& standing, std::vector<Change> changes);

  /// One step; false where the run cannot go on.
  bool advance();

  /// Before the last step, or now where none was made since the start.
  [[nodiscard]] const Standing& before() const { return before_; }
  [[nodiscard]] bool has_step() const { return has_step_; }
  [[nodiscard]] SegmentView last_step() const;

  [[nodiscard]] bool alive() const { return alive_; }
  [[nodiscard]] double time() const { return time_; }  ///< Up to which the steps go [s].
  [[nodiscard]] const Ending& ending() const { return ending_; }
  [[nodiscard]] const std::vector<Change>& changes() const { return changes_; }
  /// Changes before the last step.
  [[nodiscard]] std::size_t changes_before() const { return changes_before_; }

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

  [[nodiscard]] Standing standing() const;
  void keep(const SegmentView& segment);

  Standing before_;
  std::size_t changes_before_ = 0;
  bool has_step_ = false;
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
