#pragma once

/// What the integrator asks of a system: a network, auxiliary states, and switches of its own.
///
/// The state vector holds the node speeds first, then the auxiliary states. A *switch* is a whole
/// number that selects one of several smooth forms of the plant's laws (a shoe in or out, a stretch
/// of the throttle history). It stays frozen during a step; its guard is positive while it holds
/// and falls through zero where it ends. Guards are dimensionless, of order one.

#include <concepts>

#include "layshaft/network/modes.hpp"
#include "layshaft/network/network.hpp"

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

/// The plant's functions, all const and without memory:
///   network()                          masses and rows
///   state_scale()                      typical size of each state, for the error norm
///   torque_scale(), slip_scale()       typical size of each coupling's torque and slip
///   activate(switches)                 the frozen switches as numbers (`Active`)
///   loads(active, t, y)                applied torques and sliding limits, for any number type
///   hold_limits(active, t, y)          limits at rest
///   auxiliary_rates(active, t, y, loads, torques, accelerations, out)   for any number type
///   switch_guard(k, switches, t, y)    see above
///   next_switch(k, switches, t, y)     position after the guard fell
///   is_open(coupling, switches)        both limits are zero in this position
///   corner_time(switches)              next corner in time of the inputs, or infinity
///   pass_corner(switches)              the switches after that corner
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
    plant.hold_limits(plant.activate(switches), t, y)
  } -> std::convertible_to<HoldLimits<P::kCouplings>>;
  { plant.switch_guard(k, switches, t, y) } -> std::convertible_to<double>;
  { plant.next_switch(k, switches, t, y) } -> std::convertible_to<int>;
  { plant.is_open(k, switches) } -> std::convertible_to<bool>;
  { plant.corner_time(switches) } -> std::convertible_to<double>;
  { plant.pass_corner(switches) } -> std::convertible_to<decltype(ModesOf<P>::switches)>;
};

/// State derivatives and coupling torques at one instant of a frozen plant.
template <class P, class Real>
struct Motion {
  StateOf<P, Real> rates;
  Vector<Real, P::kCouplings> torques;
};

template <class P, class Active, class Real>
[[nodiscard]] Motion<P, Real> motion(const P& plant, const Active& active,
                                     const FrozenOf<P>& frozen, const Real& time,
                                     const StateOf<P, Real>& state) {
  const auto loads = plant.loads(active, time, state);
  Vector<Real, P::kCouplings> sliding;
  for (int i = 0; i < P::kCouplings; ++i) {
    sliding(i) = frozen.low_weight(i) * loads.low(i) + frozen.high_weight(i) * loads.high(i);
  }
  Motion<P, Real> result;
  Vector<Real, P::kNodes> force = loads.applied;
  for (int i = 0; i < P::kCouplings; ++i) {
    for (int j = 0; j < P::kNodes; ++j) force(j) -= frozen.push(i, j) * sliding(i);
  }
  Vector<Real, P::kNodes> acceleration;
  for (int i = 0; i < P::kNodes; ++i) {
    Real sum = frozen.accelerate(i, 0) * force(0);
    for (int j = 1; j < P::kNodes; ++j) sum += frozen.accelerate(i, j) * force(j);
    acceleration(i) = sum;
    result.rates(i) = sum;
  }
  for (int i = 0; i < P::kCouplings; ++i) {
    Real sum = sliding(i);
    for (int j = 0; j < P::kNodes; ++j) sum += frozen.hold(i, j) * force(j);
    result.torques(i) = sum;
  }
  plant.auxiliary_rates(active, time, state, loads, result.torques, acceleration, result.rates);
  return result;
}

}  // namespace layshaft
