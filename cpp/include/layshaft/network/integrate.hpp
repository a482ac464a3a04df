#pragma once

/// Integration of a plant in time with every mode change located on the stepper's dense output.
///
/// Between switch instants the modes are frozen and the plant is a smooth equation. After each step
/// the guards are looked at, at points inside it and at its end; where one has fallen, the first
/// root is located by bracketing (TOMS 748), the run is cut there, the modes are resolved anew and
/// the stepper restarts on the root. A run that cannot go on ends with a status and keeps what it
/// has.

#include <algorithm>
#include <cmath>
#include <vector>

#include "layshaft/network/dip.hpp"
#include "layshaft/network/guards.hpp"
#include "layshaft/network/integration.hpp"
#include "layshaft/network/locate.hpp"
#include "layshaft/network/resolve.hpp"
#include "layshaft/network/rosenbrock.hpp"

namespace layshaft {

/// Integrates from (begin, state) to `end`.
///
/// `recorder(segment)` is called for every stretch between steps and switch instants, in order, and
/// returns the time at which the run shall stop inside it, or infinity.
template <Plant P, template <class> class StepperOf>
class Integrator {
 public:
  using State = StateOf<P>;
  using Modes = ModesOf<P>;
  using Active = decltype(std::declval<const P&>().activate(Modes{}.switches));
  using Accounts = AccountsOf<P>;
  using Stepper = StepperOf<State>;
  using SegmentView = Segment<P, Stepper, Active>;

  Integrator(const P& plant, const IntegrationOptions& options)
      : plant_(plant),
        options_(options),
        resolver_(plant),
        stepper_(options.tolerance, plant.state_scale()) {}

  template <class Recorder>
  [[nodiscard]] Integration<P> run(double begin, const State& state, const Modes& start, double end,
                                   Recorder&& recorder) {
    start_run(begin, state, start);
    while (alive_ && time_ < end) alive_ = make_step() && take_step(end, recorder);
    return outcome();
  }

 protected:
  // The run in parts, for those who make the steps of many runs at once: start_run, then for each
  // step one made by the stepper and taken by take_step until that returns false, then outcome.
  void start_run(double begin, const State& state, const Modes& start) {
    time_ = begin;
    state_ = state;
    modes_ = start;
    accounts_ = {};
    carry_on({});
    steps_ = 0;
    same_instant_ = 0;
    instant_ = begin;
    while (plant_.corner_time(modes_.switches) <= begin) {
      modes_.switches = plant_.pass_corner(modes_.switches);
    }
    // The first modes are no change: they are found as if the run had always been in them.
    alive_ = enter_modes(Fired{}, Cause::followed, options_.first_step);
    changes_.clear();
    first_modes_ = modes_;
  }

  [[nodiscard]] Integration<P> outcome() const {
    const Ending ending = alive_ ? Ending{Status::finished, time_, -1, steps_} : ending_;
    return {ending, state_, accounts_, first_modes_, modes_, changes_, carried_};
  }

  static constexpr bool kCarriesErrors =
      requires(const Stepper& stepper) { stepper.carried_error(); };
  using Armed = std::array<bool, static_cast<std::size_t>(GuardSet<P>::kCount)>;

  static constexpr double kInstant = 1e-9;  // Switches this close [s] count as at one instant.
  static constexpr int kMostAtOneInstant = 24 + 4 * (P::kCouplings + P::kSwitches);

  struct Fall {
    int guard = -1;
    double time = 0.0;
  };

  [[nodiscard]] bool fail(Status status, int part) {
    ending_ = {status, time_, part, steps_};
    return false;
  }

  [[nodiscard]] static int part_of(const Fired& fired) {
    return fired.kind == GuardKind::plant_switch ? P::kCouplings + fired.index : fired.index;
  }

  [[nodiscard]] bool make_step() {
    if (steps_ >= options_.most_steps) return fail(Status::step_budget, -1);
    const FrozenSystem<P, Active> system(plant_, active_, frozen_);
    try {
      stepper_.do_step(system);
    } catch (const StepVanished&) {
      return fail(Status::step_vanished, -1);
    }
    return true;
  }

  // Takes the stepper's last step, cut at the first switch instant, the next corner, the end, or
  // where the recorder stops.
  template <class Recorder>
  [[nodiscard]] bool take_step(double end, Recorder& recorder) {
    ++steps_;
    const double reached = stepper_.current_time();
    if (!(reached > stepper_.previous_time())) return fail(Status::step_vanished, -1);
    if (const int bad = first_non_finite(reached); bad >= 0) return fail(Status::non_finite, bad);
    const double corner = plant_.corner_time(modes_.switches);
    const double limit = std::min({reached, corner, end});
    const Fall fall = first_fall(limit);
    const double until = fall.guard >= 0 ? fall.time : limit;
    if constexpr (kCarriesErrors) {
      carried_.advance(until - time_, stepper_.carried_error());
    }
    const SegmentView segment = segment_to(until);
    const Accounts before = accounts_;
    const double stop = recorder(segment);
    if (stop <= until) return stop_at(segment, stop);
    if (until > instant_ + kInstant) same_instant_ = 0;
    const double next_step = step_after(reached - stepper_.previous_time());
    accounts_ = segment.accounts_at_end;
    stepper_.calc_state(until, state_);
    time_ = until;
    if (!is_sound(before)) return false;
    if (fall.guard >= 0) return switch_at(fall.guard, next_step);
    if (until == corner) {
      modes_.switches = plant_.pass_corner(modes_.switches);
      return enter_modes(Fired{}, Cause::corner, next_step);
    }
    if (until == end) {
      ending_ = {Status::finished, time_, -1, steps_};
      return false;
    }
    account_rates_[0] = account_rates_[kLobattoPoints - 1];
    return true;
  }

  // Guards were looked at where the accounts' integrands are wanted.
  [[nodiscard]] SegmentView segment_to(double until) const {
    SegmentView segment{plant_,    stepper_, active_, frozen_, modes_,
                        accounts_, {},       time_,   until,   &carried_};
    segment.accounts_at_end = add_integrals(accounts_, until - time_, account_rates_);
    return segment;
  }

  // Two modes that hold side by side to within the noise of their guards take turns while a step
  // looks far ahead; so further switches at one instant are stepped from ever more closely.
  [[nodiscard]] double step_after(double made) const {
    const double proposed = stepper_.current_time_step();
    return std::max(same_instant_ > 2 ? std::min(proposed, 0.25 * made) : proposed, kInstant);
  }

  [[nodiscard]] bool stop_at(const SegmentView& segment, double time) {
    const Accounts before = accounts_;
    const Accounts accounts = segment.accounts(time);
    accounts_ = accounts;
    stepper_.calc_state(time, state_);
    time_ = time;
    if (is_sound(before)) ending_ = {Status::finished, time_, -1, steps_};
    return false;
  }

  // Asks the plant what it finds of where the run stands, after a step from accounts `before`.
  [[nodiscard]] bool is_sound(const Accounts& before) {
    Verdict found;
    if constexpr (requires { plant_.verdict(time_, state_); }) {
      found = plant_.verdict(time_, state_);
    }
    if constexpr (requires { plant_.account_verdict(time_, before, accounts_, time_); }) {
      if (found.status == Status::finished) {
        found = plant_.account_verdict(time_, before, accounts_, options_.tolerance);
      }
    }
    return found.status == Status::finished || fail(found.status, found.part);
  }

  // Of the dense output, so that rates that are not finite are found as well.
  [[nodiscard]] int first_non_finite(double time) {
    State state;
    stepper_.calc_state(time, state);
    for (int i = 0; i < static_cast<int>(State::RowsAtCompileTime); ++i) {
      if (!std::isfinite(state(i))) return i;
    }
    return -1;
  }

  struct Look {
    GuardValues<P> guards;
    Accounts account_rates;
  };

  [[nodiscard]] Look look(double time, const State& state, const View<P>& view) const {
    Look seen{guard_values<P, Active>(plant_, guards_, modes_, active_, view, time, state),
              plant_.account_rates(active_, time, state, view.loads, view.torques)};
    if (turning_guard_ >= 0) {
      seen.guards[static_cast<std::size_t>(turning_guard_)] = value_of(turning_guard_, time, state);
    }
    return seen;
  }

  [[nodiscard]] Look look(double time, const State& state) const {
    return look(time, state, view_of<P, Active>(plant_, active_, frozen_, time, state));
  }

  [[nodiscard]] Look look(double time) const {
    State state;
    stepper_.calc_state(time, state);
    return look(time, state);
  }

  struct Looks {
    std::array<double, kLobattoPoints> times;
    std::array<GuardValues<P>, kLobattoPoints> guards;
  };

  // First guard that falls in (time_, limit], with the time just past its root. The stretch up to
  // there is looked at anew, until no guard falls earlier in it: for its accounts anyhow.
  [[nodiscard]] Fall first_fall(double limit) {
    Fall fall = fall_before(limit, Fall{});
    while (fall.guard >= 0 && fall.time > time_) {
      const Fall earlier = fall_before(fall.time, fall);
      if (!(earlier.time < fall.time)) break;
      fall = earlier;
    }
    return fall;
  }

  // The same by one set of looks; `known` is the fall just at the limit, if there is one. Without a
  // fall the guards stand at the limit afterwards.
  [[nodiscard]] Fall fall_before(double limit, const Fall& known) {
    Looks looks;
    looks.times[0] = time_;
    looks.guards[0] = last_;
    Armed armed = armed_;
    for (std::size_t k = 1; k < kLobattoPoints; ++k) {
      const bool last = k + 1 == kLobattoPoints;
      looks.times[k] = last ? limit : time_ + (limit - time_) * kLobattoShares[k];
      const Look seen = look(looks.times[k]);
      looks.guards[k] = seen.guards;
      account_rates_[k] = seen.account_rates;
      if (last && known.guard >= 0) break;
      const Fall first = first_fall_between(looks, k, armed);
      if (first.guard >= 0) return first;
      for (std::size_t g = 0; g < armed.size(); ++g) {
        armed[g] = armed[g] || seen.guards[g] > noise_of(g);
      }
    }
    const Fall first = earlier_dip(looks, armed_, known);
    if (first.guard < 0) {
      last_ = looks.guards.back();
      armed_ = armed;
    }
    return first;
  }

  // `fall`, or the first guard that dips through zero and back before it.
  [[nodiscard]] Fall earlier_dip(const Looks& looks, const Armed& armed, Fall fall) {
    const auto& seen = looks.guards;
    double least = 1.0;
    for (std::size_t g = 0; g < last_.size(); ++g) {
      least = min(least, dip_room(seen[0][g], seen[1][g], seen[2][g], seen[3][g]));
    }
    if (least > 0.0) return fall;
    for (std::size_t g = 0; g < last_.size(); ++g) {
      const auto hull = look_hull(seen[0][g], seen[1][g], seen[2][g], seen[3][g]);
      if (!may_dip(hull)) continue;
      const Fall dip = dip_of(g, looks, armed[g], least_share(hull));
      if (dip.guard >= 0 && (fall.guard < 0 || dip.time < fall.time)) fall = dip;
    }
    return fall;
  }

  // Where a guard falls that dips near a share of the step.
  [[nodiscard]] Fall dip_of(std::size_t guard, const Looks& looks, bool armed, double share) {
    std::array<GuardPoint, kLobattoPoints> points;
    for (std::size_t k = 0; k < kLobattoPoints; ++k) {
      points[k] = {looks.times[k], looks.guards[k][guard]};
      armed = armed || (k > 0 && kLobattoShares[k] < share && points[k].value > noise_of(guard));
    }
    const auto value = [&](double time) { return look_at_one(guard, time); };
    const double guess = time_ + (points.back().time - time_) * share;
    const DipSearch dip = find_dip(value, points, guess, armed ? 0.0 : -noise_of(guard));
    if (dip.turns) note_near_miss(static_cast<int>(guard), dip.lowest);
    if (!dip.falls) return {};
    return {static_cast<int>(guard), fall_time(guard, value, dip.before, dip.lowest)};
  }

  // Counts a guard that turned above zero within the carried error.
  void note_near_miss(int guard, const GuardPoint& lowest) {
    if (!may_be_edge(guard)) return;
    State state;
    stepper_.calc_state(lowest.time, state);
    const double off = value_of(guard, lowest.time, State(state + carried_.state)) - lowest.value;
    if (kEdgeMargin * std::abs(off) > lowest.value) ++carried_.edges;
  }

  // A slip or a torque that turns at zero is at rest there on either side; a switch of the plant
  // may be another car: a shoe held by a detent is out for good.
  [[nodiscard]] bool may_be_edge(int guard) const {
    return kCarriesErrors && guards_.fired(guard).kind == GuardKind::plant_switch;
  }

  // Between two looks that follow each other, the later with number `after`.
  [[nodiscard]] Fall first_fall_between(const Looks& looks, std::size_t after,
                                        const Armed& armed) const {
    Fall first;
    for (int guard = 0; guard < GuardSet<P>::kCount; ++guard) {
      const auto g = static_cast<std::size_t>(guard);
      const GuardPoint end{looks.times[after], looks.guards[after][g]};
      if (end.value >= (armed[g] ? 0.0 : -noise_of(g))) continue;
      const auto value = [&](double time) { return look_at_one(g, time); };
      const double root =
          fall_time(g, value, {looks.times[after - 1], looks.guards[after - 1][g]}, end);
      if (first.guard < 0 || root < first.time) first = {guard, root};
    }
    return first;
  }

  // Just past the root between two looks, the last of them below zero.
  template <class Value>
  [[nodiscard]] double fall_time(std::size_t guard, const Value& value, const GuardPoint& before,
                                 const GuardPoint& after) const {
    return before.value > 0.0
               ? locate_fall(value, before.time, before.value, after.time, after.value)
               : locate_fall_after_rise(value, before.time, after.time, after.value,
                                        noise_of(guard));
  }

  [[nodiscard]] double noise_of(std::size_t guard) const {
    return guard_noise(guards_.kinds[guard]);
  }

  [[nodiscard]] double look_at_one(std::size_t guard, double time) const {
    State state;
    stepper_.calc_state(time, state);
    return value_of(static_cast<int>(guard), time, state);
  }

  [[nodiscard]] double value_of(int guard, double time, const State& state) const {
    return guard_value<P, Active>(plant_, guards_.fired(guard), modes_, active_,
                                  guard == turning_guard_ ? turned_ : frozen_, time, state);
  }

  // Switches, and carries the error over.
  [[nodiscard]] bool switch_at(int guard, double next_step) {
    const Fired fired = guards_.fired(guard);
    if constexpr (!kCarriesErrors) {
      return switch_modes(fired, next_step);
    } else {
      const State before = rates();
      const auto value = [&](double time, const State& state) {
        return value_of(guard, time, state);
      };
      const GuardMotion motion =
          guard_motion(value, time_, state_, before, curve_of(before), carried_.state);
      if (may_be_edge(guard) && only_just_falls(motion)) ++carried_.edges;
      if (!switch_modes(fired, next_step)) return false;
      CarriedError<P> next = carried_;
      next.switch_time = switch_delay(motion);
      next.state += next.switch_time * (before - rates());
      next.state.template head<P::kNodes>() =
          without_stuck_slip(plant_.network(), modes_.couplings,
                             Vector<double, P::kNodes>(next.state.template head<P::kNodes>()));
      carry_on(next);
      return true;
    }
  }

  void carry_on(const CarriedError<P>& error) {
    carried_ = error;
    if constexpr (kCarriesErrors) stepper_.carry(carried_.state);
  }

  // Second derivative of the state.
  [[nodiscard]] State curve_of(const State& rates) const {
    typename Stepper::Jacobian jacobian;
    State time_slope;
    FrozenSystem<P, Active>(plant_, active_, frozen_)
        .linearise(state_, time_, jacobian, time_slope);
    return jacobian * rates + time_slope;
  }

  [[nodiscard]] State rates() const {
    State rates;
    FrozenSystem<P, Active>(plant_, active_, frozen_)(state_, rates, time_);
    return rates;
  }

  [[nodiscard]] bool switch_modes(const Fired& fired, double next_step) {
    if (same_instant_ == 0) instant_ = time_;
    if (++same_instant_ > kMostAtOneInstant) return fail(Status::chatter, part_of(fired));
    Cause cause = Cause::switched;
    if (fired.kind == GuardKind::slip) cause = Cause::slip_vanished;
    if (fired.kind == GuardKind::reversal) cause = Cause::torque_reversed;
    if (fired.kind == GuardKind::high_limit || fired.kind == GuardKind::low_limit) {
      cause = Cause::limit_reached;
    }
    if (fired.kind == GuardKind::plant_switch) {
      auto& position = modes_.switches[static_cast<std::size_t>(fired.index)];
      const auto next = static_cast<std::int16_t>(
          plant_.next_switch(fired.index, modes_.switches, time_, state_));
      changes_.push_back(
          {time_, Change::Part::plant_switch, fired.index, position, next, Cause::switched});
      position = next;
    }
    return enter_modes(fired, cause, next_step);
  }

  // Resolves the modes at (time_, state_), logs what changed and restarts the stepper on the root.
  [[nodiscard]] bool enter_modes(const Fired& fired, Cause cause, double next_step) {
    const auto resolved = resolver_.resolve(time_, state_, modes_, fired);
    if (!resolved.found) return fail(Status::no_modes, part_of(fired));
    for (int i = 0; i < P::kCouplings; ++i) {
      const CouplingMode from = modes_.couplings[static_cast<std::size_t>(i)];
      const CouplingMode to = resolved.modes.couplings[static_cast<std::size_t>(i)];
      if (from == to) continue;
      const bool own = fired.kind != GuardKind::plant_switch && fired.index == i;
      const Cause why = own || fired.kind == GuardKind::none ? cause : Cause::followed;
      changes_.push_back(
          {time_, Change::Part::coupling, i, static_cast<int>(from), static_cast<int>(to), why});
    }
    modes_ = resolved.modes;
    state_.template head<P::kNodes>() =
        without_stuck_slip(plant_.network(), modes_.couplings,
                           Vector<double, P::kNodes>(state_.template head<P::kNodes>()));
    return begin_stretch(next_step);
  }

  // Sets out from (time_, state_) in the modes that hold there; all else follows from these.
  [[nodiscard]] bool begin_stretch(double next_step) {
    ++stretches_;
    stretch_step_ = next_step;
    active_ = plant_.activate(modes_.switches);
    frozen_ = freeze(plant_.network(), modes_.couplings);
    const View<P> view = view_of<P, Active>(plant_, active_, frozen_, time_, state_);
    guards_ = guards_of(plant_, modes_, plant_.hold_limits(active_, view.loads, time_, state_));
    turning_guard_ = turning_guard(plant_, guards_);
    if (turning_guard_ >= 0) turned_ = freeze(plant_.network(), turned_modes(plant_, modes_));
    const Look now = look(time_, state_, view);
    last_ = now.guards;
    account_rates_[0] = now.account_rates;
    for (std::size_t g = 0; g < last_.size(); ++g) armed_[g] = last_[g] > noise_of(g);
    stepper_.initialize(state_, time_, start_step(next_step));
    return true;
  }

  // Where the stepper can tell how long a step the new modes allow, at most that.
  [[nodiscard]] double start_step(double proposed) const {
    const FrozenSystem<P, Active> system(plant_, active_, frozen_);
    if constexpr (requires { stepper_.start_step(system, state_, time_, proposed); }) {
      return std::max(stepper_.start_step(system, state_, time_, proposed), kInstant);
    } else {
      return proposed;
    }
  }

  const P& plant_;
  IntegrationOptions options_;
  ModeResolver<P> resolver_;
  Stepper stepper_;
  double time_ = 0.0;
  State state_;
  Modes modes_;
  Modes first_modes_;
  bool alive_ = false;
  Active active_{};
  FrozenOf<P> frozen_;
  FrozenOf<P> turned_;  // Of the train about to turn back, where `turning_guard_` is watched.
  GuardSet<P> guards_;
  int turning_guard_ = -1;
  GuardValues<P> last_{};
  Armed armed_{};
  CarriedError<P> carried_;
  Accounts accounts_{};
  std::array<Accounts, kLobattoPoints> account_rates_{};
  std::vector<Change> changes_;
  Ending ending_{};
  long steps_ = 0;
  long stretches_ = 0;         // Begun so far.
  double stretch_step_ = 0.0;  // Proposed for the first step of the last.
  int same_instant_ = 0;
  double instant_ = 0.0;  // Of the first of them.
};

}  // namespace layshaft
