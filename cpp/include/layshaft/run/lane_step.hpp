#pragma once

/// One step of several launches side by side: Rodas5P, the looks at the guards and the accounts.
///
/// Every lane has its own car, time, step size and modes. What happens in a step - a guard has
/// fallen, a kink, a mark or the end is reached - is only noticed here; the plain code of the
/// integrator then does the rest for that lane alone. Included by the sources that compile it for
/// one instruction set each, and by nothing else.

#include "layshaft/network/carried_error.hpp"
#include "layshaft/network/dip.hpp"
#include "layshaft/network/plant.hpp"
#include "layshaft/network/quadrature.hpp"
#include "layshaft/number/lanes.hpp"
#include "layshaft/run/lane_block.hpp"

namespace layshaft {

namespace lane_step {

template <class Real>
using LaneState = Column<Real, car_state::count>;

/// The cars of all lanes as one plant.
template <class Real>
struct LanePlant {
  static constexpr int kNodes = node::count;
  static constexpr int kCouplings = coupling::count;
  using Active = parts::Actives<CarList, Real>;
  using Loads = parts::AssemblyLoads<CarList, Real>;

  const CarLaws<Real>& laws;

  template <class State>
  [[nodiscard]] Loads loads(const Active& active, const Real& time, const State& state) const {
    return CarParts::loads(laws, active, time, state);
  }
  template <class State>
  [[nodiscard]] HoldLimits<kCouplings, Real> hold_limits(const Active& active, const Loads& sliding,
                                                         const Real& time,
                                                         const State& state) const {
    HoldLimits<kCouplings, Real> hold{sliding.low, sliding.high};
    CarParts::raise_to_hold_limits(laws, active, time, state, sliding, hold);
    return hold;
  }
  template <class State, class Sliding, class Accelerations, class Rates>
  void auxiliary_rates(const Active& active, const Real& time, const State& state, Loads& loads,
                       const Sliding& sliding, const Accelerations& accelerations,
                       Rates& rates) const {
    CarParts::auxiliary_rates(laws, active, time, state, loads, sliding, accelerations, rates);
  }
  template <class Frozen, class Sliding, class Force>
  static void push(const Frozen& frozen, const Loads& loads, Sliding& sliding, Force& force) {
    CarParts::push(frozen, loads, sliding, force);
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
void look_at(const LaneBlock<Real>& block, const Real& time, const LaneState<Real>& state,
             LaneLook<Real>& look) {
  const LaneCar<Real>& car = block.car;
  const LaneModes<Real>& modes = block.modes;
  const LanePlant<Real> plant{car.laws};
  const auto view = view_of(plant, modes.active, modes.frozen, time, state);
  look.account_rates = CarParts::account_rates(car.laws, time, state, view.loads, view.torques);
  const auto hold = plant.hold_limits(modes.active, view.loads, time, state);
  const Real noise = slip_noise(car.tolerance);
  CarParts::for_each_coupling([&]<int I>() {
    constexpr std::size_t kFirst = 2 * I;
    constexpr std::size_t kSecond = kFirst + 1;
    const auto slip =
        CarParts::slip<I>([&](int k) -> const Real& { return car.slip(I, k); }, state);
    const auto forwards = modes.frozen.high_weight(I) > 0.5;
    look.guards[kFirst] =
        first_guard(modes.kinds[kFirst], forwards, slip, view.torques(I), hold.high(I));
    look.guards[kSecond] = second_guard(modes.kinds[kSecond], view.torques(I), hold.low(I));
    for (const std::size_t g : {kFirst, kSecond}) {
      look.noise[g] = scaled_noise(modes.kinds[g], noise, car.slip_scale(I), car.torque_scale(I));
    }
  });
  constexpr auto kSwitches = static_cast<std::size_t>(2 * coupling::count);
  const auto guards = CarParts::guards(car.laws, modes.active, time, state, view.loads);
  for (std::size_t k = 0; k < guards.size(); ++k) look.guards[kSwitches + k] = guards[k];
  for (std::size_t k = kSwitches; k < kCarGuards; ++k) {
    look.noise[k] = Real(kGuardNoise);
  }
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
      const auto armed = end.armed[g] > 0.5;
      end.eventful = end.eventful | !(look.guards[g] >= least_guard(armed, look.noise[g]));
      end.armed[g] = select(is_armed(armed, look.guards[g], look.noise[g]), Real(1.0), Real(0.0));
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
  const LanePlant<Real> plant{block.car.laws};
  const auto rates = [&](const LaneState<Real>& state, LaneState<Real>& result, const Real& time) {
    fill_rates(plant, block.modes.active, block.modes.frozen, time, state, result);
  };
  fill_stages<kRodas5P, car_state::count>(rates, factors, motion.state, motion.time, motion.step,
                                          time_slope, stages, block.made.new_state);
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
      bounded_step(next, motion.step, motion.attempts > 0.5, block.car.longest_step);

  const Real reached = motion.time + motion.step;
  const Real limit = min(min(reached, block.modes.kink_time), block.car.end_time);
  LaneEnd<Real> end;
  look_along(block, limit, end);
  end.eventful =
      end.eventful | (limit < reached) | (block.modes.kink_time <= reached) |
      (block.car.end_time <= reached) |
      (end.accounts[account::distance] >= block.modes.next_distance) |
      (end.seen(node::car) >= block.modes.next_speed) |
      (end.seen(node::crank) >= block.modes.next_crank) |
      (block.modes.turns_from *
           end_slope<kRodas5P>(node::crank, motion.state, block.made.new_state, block.made.dense) <
       0.0);
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
       motion.car_way_error + way_of_error<Real>(reached - motion.time, motion.error(node::car),
                                                 block.made.error(node::car)));
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
  raise_peaks(
      motion.peaks, peaks_at(end.seen, block.car.air_temperature),
      [&quiet](Real& peak, const Real& value) { peak = select(quiet, max(peak, value), peak); });
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
