#pragma once

/// The functions of `integrator.hpp`.

#include <algorithm>
#include <cmath>

#include "layshaft/network/fall_search.hpp"
#include "layshaft/network/integrator.hpp"
#include "layshaft/network/resolve.hpp"

namespace layshaft {

template <Plant P, template <class> class StepperOf>
Integrator<P, StepperOf>::Integrator(const P& plant, const IntegrationOptions& options)
    : plant_(plant), options_(options), stepper_(options.tolerance, plant.state_scale()) {}

template <Plant P, template <class> class StepperOf>
void Integrator<P, StepperOf>::start(double begin, const State& state, const Modes& modes) {
  set_out({.time = begin, .state = state, .modes = modes, .instant = begin});
  while (plant_.kink_time(at_.modes.switches) <= begin) {
    at_.modes.switches = plant_.pass_kink(at_.modes.switches);
  }
  // The first modes are no change.
  alive_ = enter_modes(Fired{}, Cause::followed, options_.first_step);
  changes_.clear();
  first_modes_ = at_.modes;
}

template <Plant P, template <class> class StepperOf>
void Integrator<P, StepperOf>::set_out(const Standing<P>& at) {
  at_ = at;
  if constexpr (kCarriesErrors<Stepper>) stepper_.carry(at_.error.state);
  changes_.clear();
}

template <Plant P, template <class> class StepperOf>
void Integrator<P, StepperOf>::restart(const Standing<P>& at, double step) {
  set_out(at);
  alive_ = enter_modes(Fired{}, Cause::kink, step);
}

template <Plant P, template <class> class StepperOf>
void Integrator<P, StepperOf>::resume(const Standing<P>& at, double step) {
  set_out(at);
  alive_ = begin_stretch(step);
}

template <Plant P, template <class> class StepperOf>
void Integrator<P, StepperOf>::advance(double end, const Recorder& recorder) {
  alive_ = make_step() && take_step(end, recorder);
}

template <Plant P, template <class> class StepperOf>
void Integrator<P, StepperOf>::take(double end, const Recorder& recorder) {
  alive_ = take_step(end, recorder);
}

template <Plant P, template <class> class StepperOf>
void Integrator<P, StepperOf>::put(const Standing<P>& at, const ArmedGuards<P>& armed) {
  at_ = at;
  watched_.armed = armed;
  watched_.begin(stretch_->look(plant_, at_.modes, at_.time, at_.state));
}

template <Plant P, template <class> class StepperOf>
Integration<P> Integrator<P, StepperOf>::outcome() const {
  const Ending ending = alive_ ? Ending{Status::finished, at_.time, -1, at_.steps} : ending_;
  return {ending, at_.state, at_.accounts, first_modes_, at_.modes, changes_, at_.error};
}

template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::fail(Status status, int part) {
  ending_ = {status, at_.time, part, at_.steps};
  return false;
}

template <Plant P, template <class> class StepperOf>
int Integrator<P, StepperOf>::part_of(const Fired& fired) {
  return fired.kind == GuardKind::plant_switch ? P::kCouplings + fired.index : fired.index;
}

template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::make_step() {
  if (at_.steps >= options_.most_steps) return fail(Status::step_budget, -1);
  try {
    stepper_.do_step(stretch_->system(plant_));
  } catch (const StepVanished&) {
    return fail(Status::step_vanished, -1);
  }
  return true;
}

// The first guard that falls in the step made, up to `limit`; none where the step is to be made
// again, unless it is the last try.
template <Plant P, template <class> class StepperOf>
std::optional<Fall> Integrator<P, StepperOf>::look_into_step(double limit, bool last) {
  FallSearch<P, Stepper> search(plant_, *stretch_, stepper_, at_, slip_noise(options_.tolerance),
                                watched_);
  const Fall fall = search.first_fall(limit);
  if (!last && fall.guard >= 0 && is_unborn(fall.guard)) return std::nullopt;
  at_.error.edges += search.near_misses();
  return fall;
}

// A slip that has not risen yet: that it fell may be the error of a step too long for what has only
// just begun.
template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::is_unborn(int guard) const {
  const auto g = static_cast<std::size_t>(guard);
  return stretch_->guards().kinds[g] == GuardKind::slip && !watched_.armed[g];
}

// The last step again, a quarter as long.
template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::make_shorter_step() {
  const double made = stepper_.current_time() - stepper_.previous_time();
  stepper_.initialize(at_.state, at_.time, std::max(0.25 * made, kInstant));
  if constexpr (kCarriesErrors<Stepper>) stepper_.carry(at_.error.state);
  return make_step();
}

template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::take_step(double end, const Recorder& recorder) {
  std::optional<Fall> seen;
  double kink = 0.0;
  double reached = 0.0;
  double limit = 0.0;
  for (int shorter = 0; !seen; ++shorter) {
    if (shorter > 0 && !make_shorter_step()) return false;
    ++at_.steps;
    reached = stepper_.current_time();
    if (!(reached > stepper_.previous_time())) return fail(Status::step_vanished, -1);
    if (const int bad = first_non_finite(reached); bad >= 0) return fail(Status::non_finite, bad);
    kink = plant_.kink_time(at_.modes.switches);
    limit = std::min({reached, kink, end});
    seen = look_into_step(limit, shorter == kMostShorter);
  }
  const Fall fall = *seen;
  const double until = fall.guard >= 0 ? fall.time : limit;
  if constexpr (kCarriesErrors<Stepper>) {
    at_.error.advance(until - at_.time, stepper_.carried_error());
  }
  const SegmentView segment = segment_to(until);
  const AccountsOf<P> before = at_.accounts;
  const double stop = recorder(segment);
  if (stop <= until) return stop_at(segment, stop);
  if (until > at_.instant + kInstant) at_.same_instant = 0;
  const double next_step = step_after(reached - stepper_.previous_time());
  at_.accounts = segment.accounts_at_end;
  stepper_.calc_state(until, at_.state);
  at_.time = until;
  if (!is_sound(before)) return false;
  if (fall.guard >= 0) return switch_at(fall.guard, next_step);
  if (until == kink) {
    at_.modes.switches = plant_.pass_kink(at_.modes.switches);
    return enter_modes(Fired{}, Cause::kink, next_step);
  }
  if (until == end) {
    ending_ = {Status::finished, at_.time, -1, at_.steps};
    return false;
  }
  watched_.account_rates[0] = watched_.account_rates[kLobattoPoints - 1];
  return true;
}

// Guards were looked at where the accounts' integrands are wanted.
template <Plant P, template <class> class StepperOf>
auto Integrator<P, StepperOf>::segment_to(double until) const -> SegmentView {
  SegmentView segment{plant_,
                      stepper_,
                      stretch_->active(),
                      stretch_->frozen(),
                      at_.modes,
                      at_.accounts,
                      watched_.account_rates.front(),
                      {},
                      at_.time,
                      until,
                      &at_.error};
  segment.accounts_at_end = add_integrals(at_.accounts, until - at_.time, watched_.account_rates);
  return segment;
}

// Two modes that hold side by side to within the noise of their guards take turns while a step
// looks far ahead; so further switches at one instant are stepped from ever more closely.
template <Plant P, template <class> class StepperOf>
double Integrator<P, StepperOf>::step_after(double made) const {
  const double proposed = stepper_.current_time_step();
  return std::max(at_.same_instant > 2 ? std::min(proposed, 0.25 * made) : proposed, kInstant);
}

template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::stop_at(const SegmentView& segment, double time) {
  const AccountsOf<P> before = at_.accounts;
  at_.accounts = segment.accounts(time);
  stepper_.calc_state(time, at_.state);
  at_.time = time;
  if (is_sound(before)) ending_ = {Status::finished, at_.time, -1, at_.steps};
  return false;
}

// Asks the plant what it finds of where the run stands, after a step from accounts `before`.
template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::is_sound(const AccountsOf<P>& before) {
  Verdict found;
  if constexpr (requires { plant_.verdict(at_.time, at_.state); }) {
    found = plant_.verdict(at_.time, at_.state);
  }
  if constexpr (requires { plant_.account_verdict(at_.time, before, at_.accounts, at_.time); }) {
    if (found.status == Status::finished) {
      found = plant_.account_verdict(at_.time, before, at_.accounts, options_.tolerance);
    }
  }
  return found.status == Status::finished || fail(found.status, found.part);
}

// Of the dense output, so that rates that are not finite are found as well.
template <Plant P, template <class> class StepperOf>
int Integrator<P, StepperOf>::first_non_finite(double time) const {
  State state;
  stepper_.calc_state(time, state);
  for (int i = 0; i < static_cast<int>(State::RowsAtCompileTime); ++i) {
    if (!std::isfinite(state(i))) return i;
  }
  return -1;
}

// Switches, and carries the error over.
template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::switch_at(int guard, double next_step) {
  const Fired fired = stretch_->guards().fired(guard);
  if constexpr (!kCarriesErrors<Stepper>) {
    return switch_modes(fired, next_step);
  } else {
    CarriedError<P>& error = at_.error;
    const State before = rates();
    const auto value = [&](double time, const State& state) {
      return stretch_->guard(plant_, at_.modes, guard, time, state);
    };
    const GuardMotion motion =
        guard_motion(value, at_.time, at_.state, before, curve_of(before), error.state);
    if (may_be_edge<P>(stretch_->guards(), guard) && only_just_falls(motion)) ++error.edges;
    if (!switch_modes(fired, next_step)) return false;
    error.switch_time = switch_delay(motion);
    error.state += error.switch_time * (before - rates());
    error.state.template head<P::kNodes>() =
        without_stuck_slip(plant_.network(), at_.modes.couplings,
                           Vector<double, P::kNodes>(error.state.template head<P::kNodes>()));
    stepper_.carry(error.state);
    return true;
  }
}

// Second derivative of the state.
template <Plant P, template <class> class StepperOf>
auto Integrator<P, StepperOf>::curve_of(const State& rates) const -> State {
  typename Stepper::Jacobian jacobian;
  State time_slope;
  stretch_->system(plant_).linearise(at_.state, at_.time, jacobian, time_slope);
  return jacobian * rates + time_slope;
}

template <Plant P, template <class> class StepperOf>
auto Integrator<P, StepperOf>::rates() const -> State {
  State rates;
  stretch_->system(plant_)(at_.state, rates, at_.time);
  return rates;
}

template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::switch_modes(const Fired& fired, double next_step) {
  if (at_.same_instant == 0) at_.instant = at_.time;
  if (++at_.same_instant > kMostAtOneInstant) return fail(Status::chatter, part_of(fired));
  Cause cause = Cause::switched;
  if (fired.kind == GuardKind::slip) cause = Cause::slip_vanished;
  if (fired.kind == GuardKind::reversal) cause = Cause::torque_reversed;
  if (fired.kind == GuardKind::high_limit || fired.kind == GuardKind::low_limit) {
    cause = Cause::limit_reached;
  }
  if (fired.kind == GuardKind::plant_switch) pass_switches(fired.index);
  return enter_modes(fired, cause, next_step);
}

// Moves the switch that fell, and with it each that fell at the same instant: once the first has
// moved, another may stand on its root and turn back from it.
template <Plant P, template <class> class StepperOf>
void Integrator<P, StepperOf>::pass_switches(int fallen) {
  std::array<bool, static_cast<std::size_t>(P::kSwitches)> moves{};
  for (int k = 0; k < P::kSwitches; ++k) {
    const int guard = 2 * P::kCouplings + k;
    moves[static_cast<std::size_t>(k)] =
        k == fallen || (watched_.armed[static_cast<std::size_t>(guard)] &&
                        !(stretch_->guard(plant_, at_.modes, guard, at_.time, at_.state) > 0.0));
  }
  for (int k = 0; k < P::kSwitches; ++k) {
    if (!moves[static_cast<std::size_t>(k)]) continue;
    auto& position = at_.modes.switches[static_cast<std::size_t>(k)];
    const auto next =
        static_cast<std::int16_t>(plant_.next_switch(k, at_.modes.switches, at_.time, at_.state));
    changes_.push_back({at_.time, Change::Part::plant_switch, k, position, next, Cause::switched});
    position = next;
  }
}

// Resolves the modes where the run stands, logs what changed and restarts the stepper on the root.
template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::enter_modes(const Fired& fired, Cause cause, double next_step) {
  const auto resolved = ModeResolver<P>(plant_).resolve(at_.time, at_.state, at_.modes, fired);
  if (!resolved.found) return fail(Status::no_modes, part_of(fired));
  for (int i = 0; i < P::kCouplings; ++i) {
    const CouplingMode from = at_.modes.couplings[static_cast<std::size_t>(i)];
    const CouplingMode to = resolved.modes.couplings[static_cast<std::size_t>(i)];
    if (from == to) continue;
    const bool own = fired.kind != GuardKind::plant_switch && fired.index == i;
    const Cause why = own || fired.kind == GuardKind::none ? cause : Cause::followed;
    changes_.push_back(
        {at_.time, Change::Part::coupling, i, static_cast<int>(from), static_cast<int>(to), why});
  }
  at_.modes = resolved.modes;
  at_.state.template head<P::kNodes>() =
      without_stuck_slip(plant_.network(), at_.modes.couplings,
                         Vector<double, P::kNodes>(at_.state.template head<P::kNodes>()));
  return begin_stretch(next_step);
}

// Sets out where the run stands in the modes that hold there; all else follows from these.
template <Plant P, template <class> class StepperOf>
bool Integrator<P, StepperOf>::begin_stretch(double next_step) {
  ++stretches_;
  first_step_ = next_step;
  stretch_.emplace(plant_, at_.modes, at_.time, at_.state);
  watched_.begin(stretch_->begin());
  for (std::size_t g = 0; g < watched_.armed.size(); ++g) {
    watched_.armed[g] =
        is_armed(false, watched_.last[g],
                 guard_noise(stretch_->guards().kinds[g], slip_noise(options_.tolerance)));
  }
  stepper_.initialize(at_.state, at_.time, start_step(next_step));
  return true;
}

// Where the stepper can tell how long a step the new modes allow, at most that.
template <Plant P, template <class> class StepperOf>
double Integrator<P, StepperOf>::start_step(double proposed) {
  const auto system = stretch_->system(plant_);
  if constexpr (requires { stepper_.start_step(system, at_.state, at_.time, proposed); }) {
    return std::max(stepper_.start_step(system, at_.state, at_.time, proposed), kInstant);
  } else {
    return proposed;
  }
}

}  // namespace layshaft
