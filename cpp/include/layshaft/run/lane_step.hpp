#pragma once

/// One step of several launches side by side: Rodas5P, the looks at the guards and the accounts.
///
/// Every lane has its own car, time, step size and modes. What happens in a step - a guard has
/// fallen, a corner, a mark or the end is reached - is only noticed here; the plain code of the
/// integrator then does the rest for that lane alone. Included by the sources that compile it for
/// one instruction set each, and by nothing else.

#include "layshaft/network/dip.hpp"
#include "layshaft/network/guards.hpp"
#include "layshaft/network/lane_loads.hpp"
#include "layshaft/network/plant.hpp"
#include "layshaft/network/quadrature.hpp"
#include "layshaft/number/lanes.hpp"
#include "layshaft/run/lane_block.hpp"

namespace layshaft {

namespace lane_step {

template <class Real>
using LaneState = Column<Real, car_state::count>;

template <class Real>
using LaneLoads = parts::AssemblyLoads<CarList, Real>;

template <class Real>
struct LanePushed {
  Column<Real, coupling::count> sliding;
  Column<Real, node::count> force;

  LanePushed(const LaneModes<Real>& modes, const LaneLoads<Real>& loads) {
    CarParts::push(modes.frozen, loads, sliding, force);
  }
};

/// The frozen equations of all lanes.
template <class Real>
struct LaneSystem {
  const LaneBlock<Real>& block;

  void operator()(const LaneState<Real>& state, LaneState<Real>& rates, const Real& time) const {
    const auto& laws = block.car.laws;
    const LaneModes<Real>& modes = block.modes;
    LaneLoads<Real> loads = CarParts::loads(laws, modes.active, time, state);
    const LanePushed<Real> pushed(modes, loads);
    const Column<Real, node::count> accelerations{
        times<node::count, node::count, Real>(modes.frozen.accelerate, pushed.force)};
    for (int i = 0; i < node::count; ++i) rates(i) = accelerations(i);
    CarParts::auxiliary_rates(laws, modes.active, time, state, loads, pushed.sliding, accelerations,
                              rates);
  }
};

/// Guards before they are divided by their positive scale, and how far each may stand below zero
/// until it has risen past that.
template <class Real>
struct LaneLook {
  std::array<Real, kCarGuards> guards;
  std::array<Real, kCarGuards> noise;
  std::array<Real, account::count> account_rates;
};

template <class Real>
[[nodiscard]] auto is_kind(const Real& kind, GuardKind which) {
  return kind == Real(static_cast<double>(which));
}

template <class Real, class Torques, class Hold>
void set_guards(const LaneBlock<Real>& block, const Real& time, const LaneState<Real>& state,
                const LaneLoads<Real>& loads, const Torques& torques, const Hold& hold,
                LaneLook<Real>& look) {
  const LaneCar<Real>& car = block.car;
  const LaneModes<Real>& modes = block.modes;
  for (int i = 0; i < coupling::count; ++i) {
    const auto k = static_cast<std::size_t>(i);
    const auto joined = CarParts::nodes_of(i);
    Real slip = car.slip(i, 0) * state(joined[0]);
    for (std::size_t n = 1; n < joined.size(); ++n) {
      if (joined[n] != parts::kNone) slip += car.slip(i, static_cast<int>(n)) * state(joined[n]);
    }
    const Real sided = select(modes.frozen.high_weight(i) > 0.5, slip, -slip);
    const Real torque = torques(i);
    const Real torque_noise = guard_noise(GuardKind::low_limit) * car.torque_scale(i);
    const Real& one = modes.first_kind[k];
    const Real& two = modes.second_kind[k];
    const auto sliding = is_kind(one, GuardKind::slip);
    look.guards[2 * k] =
        select(sliding, sided,
               select(is_kind(one, GuardKind::high_limit), hold.high(i) - torque,
                      select(is_kind(one, GuardKind::reversal), -torque, Real(1.0))));
    look.noise[2 * k] =
        select(sliding, guard_noise(GuardKind::slip) * car.slip_scale(i), torque_noise);
    look.guards[2 * k + 1] = select(is_kind(two, GuardKind::low_limit), torque - hold.low(i),
                                    select(is_kind(two, GuardKind::reversal), torque, Real(1.0)));
    look.noise[2 * k + 1] = torque_noise;
  }
  constexpr auto kSwitches = static_cast<std::size_t>(2 * coupling::count);
  const auto guards = CarParts::guards(car.laws, modes.active, time, state, loads);
  for (std::size_t k = 0; k < guards.size(); ++k) look.guards[kSwitches + k] = guards[k];
  for (std::size_t k = kSwitches; k < kCarGuards; ++k)
    look.noise[k] = Real(guard_noise(GuardKind::plant_switch));
}

template <class Real>
void look_at(const LaneBlock<Real>& block, const Real& time, const LaneState<Real>& state,
             LaneLook<Real>& look) {
  const auto& laws = block.car.laws;
  const LaneModes<Real>& modes = block.modes;
  const LaneLoads<Real> loads = CarParts::loads(laws, modes.active, time, state);
  const LanePushed<Real> pushed(modes, loads);
  Column<Real, coupling::count> torques{
      times<coupling::count, node::count, Real>(modes.frozen.hold, pushed.force)};
  for (int i = 0; i < coupling::count; ++i) torques(i) = pushed.sliding(i) + torques(i);
  look.account_rates = CarParts::account_rates(laws, time, state, loads, torques);
  LaneLoads<Real> hold = loads;
  CarParts::raise_to_hold_limits(laws, modes.active, time, state, loads, hold);
  set_guards(block, time, state, loads, torques, hold, look);
}

/// Where all lanes stand at the end of a step.
template <class Real>
struct LaneEnd {
  LaneState<Real> seen;
  std::array<Real, account::count> accounts;
  std::array<Real, account::count> account_rates;
  std::array<Real, kCarGuards> armed;
  std::array<Real, kCarGuards> guards;
  typename Real::Mask eventful;
};

/// Lanes in which a guard may have dipped between two looks.
template <class Real>
[[nodiscard]] typename Real::Mask may_have_dipped(
    const std::array<std::array<Real, kCarGuards>, kLobattoPoints>& guards) {
  typename Real::Mask dipped{};
  for (std::size_t g = 0; g < kCarGuards; ++g) {
    dipped = dipped | may_dip(look_hull(guards[0][g], guards[1][g], guards[2][g], guards[3][g]));
  }
  return dipped;
}

/// Looks along the step just made, up to `limit`.
template <class Real>
void look_along(const LaneBlock<Real>& block, const Real& limit, LaneEnd<Real>& end) {
  const LaneMotion<Real>& motion = block.motion;
  const Real length = limit - motion.time;
  end.armed = motion.armed;
  end.accounts = motion.accounts;
  const auto add = [&](std::size_t point, const std::array<Real, account::count>& rates) {
    for (std::size_t i = 0; i < account::count; ++i) {
      end.accounts[i] += length * kLobattoWeights[point] * rates[i];
    }
  };
  add(0, motion.account_rates);
  const LoadingLaw<Real>& loading = block.car.laws.template of<parts::Loading>();
  const auto carries = [&loading](const LaneState<Real>& state) {
    const LoadBalance<Real> balance =
        load_balance<Real, Real>(loading, state(node::car), state(car_state::load_transfer));
    return (balance.front >= 0.0) & (balance.front <= balance.pressed);
  };
  end.eventful = (limit < motion.time) | !carries(motion.state);
  std::array<std::array<Real, kCarGuards>, kLobattoPoints> guards;
  guards[0] = motion.guards;
  for (std::size_t point = 1; point < kLobattoPoints; ++point) {
    const Real now =
        point + 1 == kLobattoPoints ? limit : motion.time + length * kLobattoShares[point];
    const Real share = (now - motion.time) / motion.step;
    fill_inside<kRodas5P, car_state::count>(share, motion.state, block.made.new_state,
                                            block.made.dense, end.seen);
    LaneLook<Real> look;
    look_at(block, now, end.seen, look);
    for (std::size_t g = 0; g < kCarGuards; ++g) {
      const Real& noise = look.noise[g];
      const Real least = select(end.armed[g] > 0.5, Real(0.0), -noise);
      end.eventful = end.eventful | !(look.guards[g] >= least);
      end.armed[g] = select(look.guards[g] > noise, Real(1.0), end.armed[g]);
    }
    end.eventful =
        end.eventful | !carries(end.seen) | !is_pressed<Real, Real>(loading, end.seen(node::car));
    guards[point] = look.guards;
    add(point, look.account_rates);
    end.account_rates = look.account_rates;
  }
  end.guards = guards[kLobattoPoints - 1];
  end.eventful = end.eventful | may_have_dipped(guards);
}

template <class Real>
void raise_peaks(const LaneCar<Real>& car, const LaneState<Real>& state,
                 const typename Real::Mask& quiet, LanePeaks<Real>& peaks) {
  const auto raise = [&quiet](Real& peak, const Real& value) {
    peak = select(quiet, max(peak, value), peak);
  };
  raise(peaks.car_speed, state(node::car));
  raise(peaks.crank_speed, state(node::crank));
  raise(peaks.rear_slip, abs(state(car_state::rear_slip)));
  raise(peaks.front_slip, abs(state(car_state::front_slip)));
  raise(peaks.clutch_temperature, car.air_temperature + state(car_state::clutch_surface));
  raise(peaks.shoe_temperature, car.air_temperature + state(car_state::shoe_surface));
}

/// Tries a step in every lane; fills what was made and returns its error.
template <class Real>
[[nodiscard]] Real try_step(LaneBlock<Real>& block) {
  using Factors = SparseLu<Real, CarParts>;
  const LaneMotion<Real>& motion = block.motion;
  Grid<Real, car_state::count, car_state::count> jacobian;
  LaneState<Real> time_slope;
  CarParts::linearise(block.car.laws, block.modes.active, block.modes.frozen, motion.time,
                      motion.state, jacobian, time_slope);
  Factors factors;
  factors.factorise(jacobian, 1.0 / (kRodas5P.gamma * motion.step));
  StagesOf<kRodas5P, LaneState<Real>> stages;
  fill_stages<kRodas5P, car_state::count>(LaneSystem<Real>{block}, factors, motion.state,
                                          motion.time, motion.step, time_slope, stages,
                                          block.made.new_state);
  fill_dense<kRodas5P, car_state::count>(stages, block.made.dense);
  block.made.error = motion.error;
  carry_error<kRodas5P, car_state::count>(factors, motion.step, stages[kRodas5P.kStages - 1],
                                          block.made.error);
  return error_share<car_state::count>(motion.state, block.made.new_state,
                                       stages[kRodas5P.kStages - 1], block.car.state_scale,
                                       block.car.tolerance);
}

}  // namespace lane_step

/// The whole step; afterwards `made.outcome` tells what became of each lane.
template <class Real>
void step_lanes(LaneBlock<Real>& block) {
  using namespace lane_step;  // NOLINT: the parts of this very function
  LaneMotion<Real>& motion = block.motion;
  const Real error = try_step(block);
  const auto accepted = error <= 1.0;
  const Real growth = possible_growth<kRodas5P>(error);
  const Real next = next_step(motion.step, growth, motion.kept);
  block.made.growth = growth;
  block.made.next_step =
      min(select(motion.attempts > 0.5, min(next, motion.step), next), block.car.longest_step);

  const Real reached = motion.time + motion.step;
  const Real limit = min(min(reached, block.modes.corner_time), block.car.end_time);
  LaneEnd<Real> end;
  look_along(block, limit, end);
  end.eventful = end.eventful | (limit < reached) | (block.modes.corner_time <= reached) |
                 (block.car.end_time <= reached) |
                 (end.accounts[account::distance] >= block.modes.next_distance) |
                 (end.seen(node::car) >= block.modes.next_speed);
  for (int i = 0; i < car_state::count; ++i) {
    end.eventful = end.eventful | !is_finite(block.made.new_state(i));
  }
  const PlausibleLaw<Real>& plausible = block.car.plausible;
  end.eventful =
      end.eventful | !is_possible<CarParts>(plausible, limit, end.seen) |
      !is_possible<CarParts>(plausible, limit, motion.accounts, end.accounts, block.car.tolerance);

  const auto quiet = accepted & !end.eventful;
  const auto move = [&quiet](Real& to, const Real& from) { to = select(quiet, from, to); };
  move(motion.car_way_error,
       motion.car_way_error +
           0.5 * (reached - motion.time) * (motion.error(node::car) + block.made.error(node::car)));
  for (int i = 0; i < car_state::count; ++i) {
    move(motion.state(i), block.made.new_state(i));
    move(motion.seen(i), end.seen(i));
    move(motion.error(i), block.made.error(i));
  }
  for (std::size_t i = 0; i < account::count; ++i) {
    move(motion.accounts[i], end.accounts[i]);
    move(motion.account_rates[i], end.account_rates[i]);
  }
  for (std::size_t g = 0; g < kCarGuards; ++g) {
    move(motion.armed[g], end.armed[g]);
    move(motion.guards[g], end.guards[g]);
  }
  raise_peaks(block.car, end.seen, quiet, motion.peaks);
  move(motion.time, reached);
  move(motion.kept.step, motion.step);
  move(motion.kept.growth, growth);
  const auto outcome = [](LaneOutcome which) { return Real(static_cast<double>(which)); };
  block.made.outcome =
      select(quiet, outcome(LaneOutcome::quiet),
             select(accepted, outcome(LaneOutcome::eventful), outcome(LaneOutcome::failed)));
  motion.attempts = select(accepted, Real(0.0), motion.attempts + 1.0);
  // An eventful lane keeps the step it made, which the plain code needs.
  const Real retry = select(accepted, motion.step, smaller_step<kRodas5P>(motion.step, error));
  motion.step = select(quiet, block.made.next_step, retry);
}

}  // namespace layshaft
