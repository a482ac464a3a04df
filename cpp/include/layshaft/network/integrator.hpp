#pragma once

/// Integration of a plant in time with every mode change located on the stepper's dense output.
///
/// Between switch instants the modes are frozen and the plant is a smooth equation. After each step
/// the guards are looked at, at points inside it and at its end; where one has fallen, the first
/// root is located by bracketing (TOMS 748), the run is cut there, the modes are resolved anew and
/// the stepper restarts on the root. A run that cannot go on ends with a status and keeps what it
/// has.
///
/// The functions stand in `integrate.hpp`; a plant whose integrator is compiled once says so with
/// `extern template` and needs this header alone.

#include <functional>
#include <optional>
#include <vector>

#include "layshaft/network/rosenbrock.hpp"
#include "layshaft/network/stretch.hpp"

namespace layshaft {

/// A run of the plant, which must outlive it.
///
/// A recorder is called for every part of the run between steps and switch instants, in order, and
/// returns the time at which the run shall stop inside it, or infinity.
template <Plant P, template <class> class StepperOf>
class Integrator {
 public:
  using State = StateOf<P>;
  using Modes = ModesOf<P>;
  using Active = PlantActive<P>;
  using Stepper = StepperOf<State>;
  using SegmentView = Segment<P, Stepper, Active>;
  using Recorder = std::function<double(const SegmentView&)>;

  Integrator(const P& plant, const IntegrationOptions& options);

  /// Integrates from (begin, state) to `end`.
  template <class Watcher>
  [[nodiscard]] Integration<P> run(double begin, const State& state, const Modes& modes, double end,
                                   Watcher&& watcher) {
    start(begin, state, modes);
    const Recorder recorder = std::ref(watcher);
    while (alive_ && at_.time < end) advance(end, recorder);
    return outcome();
  }

  /// The run in parts. Sets out; the modes are found as if the run had always been in them.
  void start(double begin, const State& state, const Modes& modes);
  /// Sets out where the plant's inputs have changed, and the modes are to be found anew.
  void restart(const Standing<P>& at, double step);
  /// Sets out where an earlier run did.
  void resume(const Standing<P>& at, double step);
  /// Makes a step and takes it.
  void advance(double end, const Recorder& recorder);
  /// Takes the stepper's last step, which `adopt` put there: cut at the first switch instant, the
  /// next kink, the end, or where the recorder stops.
  void take(double end, const Recorder& recorder);
  /// Stands at another point of the same stretch.
  void put(const Standing<P>& at, const ArmedGuards<P>& armed);
  /// Ends the run where it stands.
  void stop(Status status) { alive_ = fail(status, -1); }
  /// Gives it all its steps again.
  void renew_budget() { at_.steps = 0; }

  /// Whether it can go on.
  [[nodiscard]] bool alive() const { return alive_; }
  [[nodiscard]] const P& plant() const { return plant_; }
  [[nodiscard]] const IntegrationOptions& options() const { return options_; }
  [[nodiscard]] const Standing<P>& at() const { return at_; }
  [[nodiscard]] const Stretch<P>& stretch() const { return *stretch_; }
  [[nodiscard]] const Watched<P>& watched() const { return watched_; }
  [[nodiscard]] Stepper& stepper() { return stepper_; }
  [[nodiscard]] const Stepper& stepper() const { return stepper_; }
  /// Stretches begun, and the step proposed for the first of the last [s].
  [[nodiscard]] long stretches() const { return stretches_; }
  [[nodiscard]] double first_step() const { return first_step_; }
  [[nodiscard]] const Ending& ending() const { return ending_; }
  /// Mode changes so far that were not taken away.
  [[nodiscard]] std::vector<Change>& changes() { return changes_; }
  [[nodiscard]] const std::vector<Change>& changes() const { return changes_; }
  [[nodiscard]] Integration<P> outcome() const;

 private:
  static constexpr double kInstant = 1e-9;  // Switches this close [s] count as at one instant.
  static constexpr int kMostShorter = 4;    // Steps made again, each a quarter as long.
  static constexpr int kMostAtOneInstant = 24 + 4 * (P::kCouplings + P::kSwitches);

  void set_out(const Standing<P>& at);
  [[nodiscard]] bool fail(Status status, int part);
  [[nodiscard]] static int part_of(const Fired& fired);
  [[nodiscard]] bool make_step();
  [[nodiscard]] std::optional<Fall> look_into_step(double limit, bool last);
  [[nodiscard]] bool is_unborn(int guard) const;
  [[nodiscard]] bool make_shorter_step();
  [[nodiscard]] bool take_step(double end, const Recorder& recorder);
  [[nodiscard]] SegmentView segment_to(double until) const;
  [[nodiscard]] double step_after(double made) const;
  [[nodiscard]] bool stop_at(const SegmentView& segment, double time);
  [[nodiscard]] bool is_sound(const AccountsOf<P>& before);
  [[nodiscard]] int first_non_finite(double time) const;
  [[nodiscard]] bool switch_at(int guard, double next_step);
  [[nodiscard]] State curve_of(const State& rates) const;
  [[nodiscard]] State rates() const;
  [[nodiscard]] bool switch_modes(const Fired& fired, double next_step);
  void pass_switches(int fallen);
  [[nodiscard]] bool enter_modes(const Fired& fired, Cause cause, double next_step);
  [[nodiscard]] bool begin_stretch(double next_step);
  [[nodiscard]] double start_step(double proposed);

  const P& plant_;
  IntegrationOptions options_;
  Stepper stepper_;
  Standing<P> at_;
  Modes first_modes_;
  bool alive_ = false;
  std::optional<Stretch<P>> stretch_;
  Watched<P> watched_;
  std::vector<Change> changes_;
  Ending ending_{};
  long stretches_ = 0;
  double first_step_ = 0.0;
};

}  // namespace layshaft
