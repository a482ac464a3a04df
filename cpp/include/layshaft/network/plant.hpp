#pragma once

/// What the integrator asks of a system: a network, auxiliary states, and switches of its own.
///
/// The state vector holds the node speeds first, then the auxiliary states that the motion depends
/// on. *Accounts* (distance, work, heat made) are integrals that nothing depends on; they are
/// summed along the stepper's dense output. A *switch* is a whole number that selects one of
/// several smooth forms of the plant's laws (a shoe in or out, a stretch of the throttle history).
/// It stays frozen during a step; its guard is positive while it holds and falls through zero where
/// it ends. Guards are dimensionless, of order one.

#include <array>
#include <concepts>
#include <utility>

#include "layshaft/network/modes.hpp"
#include "layshaft/network/network.hpp"
#include "layshaft/network/sparse_lu.hpp"

namespace layshaft {

template <class P>
inline constexpr int kStatesOf = P::kNodes + P::kAuxiliaries;

template <class P, class Real = double>
using StateOf = Vector<Real, kStatesOf<P>>;

template <class P>
using ModesOf = ModeSet<P::kCouplings, P::kSwitches>;

template <class P, class Real = double>
using LoadsOf = Loads<Real, P::kNodes, P::kCouplings>;

template <class P, class Real = double>
using FrozenOf = Frozen<Real, P::kNodes, P::kCouplings>;

template <class P>
using AccountsOf = std::array<double, static_cast<std::size_t>(P::kAccounts)>;

/// The plant's functions, all const and without memory:
///   network()                          masses and rows
///   state_scale()                      typical size of each state, for the error norm
///   torque_scale(), slip_scale()       typical size of each coupling's torque and slip
///   activate(switches)                 the frozen switches as numbers (`Active`)
///   loads(active, t, y)                applied torques and sliding limits, for any number type
///   hold_limits(active, loads, t, y)   limits at rest
///   auxiliary_rates(active, t, y, loads, sliding, accelerations, out)   for any number type;
///                                      `sliding` are the torques of the couplings that slide, 0
///                                      elsewhere; it may add to the loads
///   account_rates(active, t, y, loads, torques)                         with the torques of all
///   switch_guard(k, switches, t, y)    see above
///   next_switch(k, switches, t, y)     position after the guard fell
///   is_open(coupling, switches)        both limits are zero in this position
///   kink_time(switches)                next kink in time of the inputs, or infinity
///   pass_kink(switches)                the switches after that kink
/// and, where it has them, called after each step, a `Verdict` that ends the run:
///   verdict(t, y)                             where the run stands
///   account_verdict(t, before, after, error)  what the step did to the accounts
template <class P>
concept Plant = requires(const P plant, const decltype(P::kNodes) k, const StateOf<P>& y,
                         const decltype(ModesOf<P>::switches)& switches, double t) {
  { plant.network() } -> std::convertible_to<const Network<P::kNodes, P::kCouplings>&>;
  { plant.state_scale() } -> std::convertible_to<StateOf<P>>;
  { plant.torque_scale() } -> std::convertible_to<Vector<double, P::kCouplings>>;
  { plant.slip_scale() } -> std::convertible_to<Vector<double, P::kCouplings>>;
  plant.activate(switches);
  { plant.loads(plant.activate(switches), t, y) } -> std::convertible_to<LoadsOf<P>>;
  {
    plant.hold_limits(plant.activate(switches), plant.loads(plant.activate(switches), t, y), t, y)
  } -> std::convertible_to<HoldLimits<P::kCouplings>>;
  { plant.switch_guard(k, switches, t, y) } -> std::convertible_to<double>;
  { plant.next_switch(k, switches, t, y) } -> std::convertible_to<int>;
  { plant.is_open(k, switches) } -> std::convertible_to<bool>;
  { plant.kink_time(switches) } -> std::convertible_to<double>;
  { plant.pass_kink(switches) } -> std::convertible_to<decltype(ModesOf<P>::switches)>;
};

/// Factors of I/(gamma h) - J for the implicit steppers: sparse where the plant gives the pattern
/// of its Jacobian, dense elsewhere.
template <class P>
struct FactorsOf {
  static constexpr auto kSize = static_cast<std::size_t>(kStatesOf<P>);
  static constexpr SparsityPattern<kSize> jacobian_pattern() {
    if constexpr (requires { P::jacobian_pattern(); }) {
      return P::jacobian_pattern();
    } else {
      return SparsityPattern<kSize>::dense();
    }
  }
  using Type = SparseLu<double, FactorsOf>;
};

/// Torques of the sliding couplings, and the forces on the nodes with them.
template <class P, class Real>
struct Pushed {
  ColumnOf<Real, P::kCouplings> sliding;
  ColumnOf<Real, P::kNodes> force;
};

/// Works out both. A plant may do it itself, knowing which nodes each coupling joins.
template <class P, class Frozen, class Loads, class Pushed>
void push_nodes(const Frozen& frozen, const Loads& loads, Pushed& pushed) {
  if constexpr (requires { P::push(frozen, loads, pushed.sliding, pushed.force); }) {
    P::push(frozen, loads, pushed.sliding, pushed.force);
    return;
  }
  for (int j = 0; j < P::kNodes; ++j) pushed.force(j) = loads.applied(j);
  for (int i = 0; i < P::kCouplings; ++i) {
    pushed.sliding(i) = frozen.low_weight(i) * loads.low(i) + frozen.high_weight(i) * loads.high(i);
    for (int j = 0; j < P::kNodes; ++j) {
      pushed.force(j) -= frozen.push(i, j) * pushed.sliding(i);
    }
  }
}

/// matrix * right, each sum from the first column on.
template <int Rows, int Columns, class Real, class Matrix, class Right>
[[nodiscard]] ColumnOf<Real, Rows> times(const Matrix& matrix, const Right& right) {
  ColumnOf<Real, Rows> sums;
  for (int i = 0; i < Rows; ++i) sums(i) = matrix(i, 0) * right(0);
  for (int j = 1; j < Columns; ++j) {
    for (int i = 0; i < Rows; ++i) sums(i) += matrix(i, j) * right(j);
  }
  return sums;
}

/// State derivatives of a plant with frozen modes, into `rates(i)`. Written for any number type, so
/// for lanes as well.
template <class P, class Active, class Frozen, class Real, class State, class Rates>
void fill_rates(const P& plant, const Active& active, const Frozen& frozen, const Real& time,
                const State& state, Rates& rates) {
  auto loads = plant.loads(active, time, state);
  Pushed<P, Real> pushed;
  push_nodes<P>(frozen, loads, pushed);
  const auto accelerations = times<P::kNodes, P::kNodes, Real>(frozen.accelerate, pushed.force);
  for (int i = 0; i < P::kNodes; ++i) rates(i) = accelerations(i);
  plant.auxiliary_rates(active, time, state, loads, pushed.sliding, accelerations, rates);
}

/// The same as a value; a plant may have its own (`rates`), compiled once.
template <class P, class Active>
[[nodiscard]] StateOf<P> rates_of(const P& plant, const Active& active, const FrozenOf<P>& frozen,
                                  double time, const StateOf<P>& state) {
  if constexpr (requires { plant.rates(active, frozen, time, state); }) {
    return plant.rates(active, frozen, time, state);
  } else {
    StateOf<P> rates;
    fill_rates(plant, active, frozen, time, state, rates);
    return rates;
  }
}

/// What can be seen of a plant at one instant of frozen modes: loads and all coupling torques.
template <class Loads, class Torques>
struct ViewOf {
  Loads loads;
  Torques torques;
};

template <class P, class Active, class Frozen, class Real, class State>
[[nodiscard]] auto view_of(const P& plant, const Active& active, const Frozen& frozen,
                           const Real& time, const State& state) {
  ViewOf<decltype(plant.loads(active, time, state)), ColumnOf<Real, P::kCouplings>> view{
      plant.loads(active, time, state), {}};
  Pushed<P, Real> pushed;
  push_nodes<P>(frozen, view.loads, pushed);
  const auto held = times<P::kCouplings, P::kNodes, Real>(frozen.hold, pushed.force);
  for (int i = 0; i < P::kCouplings; ++i) view.torques(i) = pushed.sliding(i) + held(i);
  return view;
}

template <class P>
using PlantActive = decltype(std::declval<const P&>().activate(ModesOf<P>{}.switches));

template <class P>
using View = decltype(view_of(std::declval<const P&>(), std::declval<const PlantActive<P>&>(),
                              std::declval<const FrozenOf<P>&>(), 0.0, StateOf<P>{}));

}  // namespace layshaft
