#pragma once

/// What no run of a car can pass, whatever the car: one that does has left physics, and ends.
///
/// Sign: a *room* is positive while all is well; NaN counts as none.
/// Law: the engine turns its crank no faster than its torque lasts, and no way backwards; gears and
/// belts pass that speed on; the car starts no faster than the most a run accepts and gains at most
/// gravity * time beyond, the wheels with it; no rim bears more than `kMostRimSpeed`. A part gets
/// no colder than the air and no hotter than any solid bears. The engine does no more work than its
/// most power * time. What is lost is lost: no account of a loss falls.
/// Source: first principles. Each bound is generous: it tells apart what runs away, not what is
/// odd.

#include <array>
#include <cmath>
#include <span>

#include "layshaft/car/car_list.hpp"
#include "layshaft/network/ending.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {

/// Most speed at which any run may begin [m/s].
inline constexpr double kMostStartSpeed = 100.0;

/// Of anything that turns: a hoop under density * speed^2, and the strongest wound of carbon fibre,
/// 2 GPa at 1800 kg/m^3 (from memory), tears here [m/s].
inline constexpr double kMostRimSpeed = 1050.0;

/// Of shaft, bell and crank at least; no gear, drum or crank web here is smaller [m].
inline constexpr double kLeastRim = 0.01;

/// Share by which speeds may pass their bound: growth of tyres, a swing of clutch and shafts [-].
inline constexpr double kSpeedSpare = 0.05;

/// How far the crank may swing back when it stalls, as a share of idle [-].
inline constexpr double kMostSwingBack = 0.05;

/// Above the air, no solid is left here: tungsten boils at 5830 K [K].
inline constexpr double kMostRise = 6000.0;

/// Below the air: the error of a step [K].
inline constexpr double kMostCold = 1.0;

/// What an account may fall in a step by round-off alone [J]: a slip stands up to 1e-9 of its scale
/// on the wrong side of its root, 1e-6 rad/s under 50 N*m for a tenth of a second. Beside it counts
/// the error of a step, relative to all energy moved in it.
inline constexpr double kAccountNoise = 1e-5;

/// Bounds of one car; only `Real` members.
template <class Real>
struct PlausibleLaw {
  std::array<Real, node::count> most_speed;  ///< At the start, either way [rad/s], car [m/s].
  Real most_back;                            ///< Of the crank, backwards [rad/s].
  Real gain;                                 ///< Growth of the speeds by gravity, a share [1/s].
  Real most_power;                           ///< Of the engine [W].
};

template <class Parts = CarNames>
[[nodiscard]] constexpr bool is_loss(int which) {
  return Parts::kAccountRows[static_cast<std::size_t>(which)].flow == parts::Flow::loss;
}

/// Room of a speed at a time [s].
template <class Coefficient, class Real, class State>
[[nodiscard]] Real speed_room(const PlausibleLaw<Coefficient>& law, int which, const Real& time,
                              const State& state) {
  const Real most = law.most_speed[static_cast<std::size_t>(which)] * (Real(1.0) + law.gain * time);
  const Real speed = state(which);
  const Real room = most - abs(speed);
  return which == node::crank ? min(room, Real(speed + law.most_back)) : room;
}

/// Room of a temperature's rise over the air [K].
template <class Real, class State>
[[nodiscard]] Real rise_room(int which, const State& state) {
  const Real rise = state(which);
  return min(Real(kMostRise - rise), Real(rise + kMostCold));
}

/// Room of the engine's work until a time [J].
template <class Coefficient, class Real, class Accounts>
[[nodiscard]] Real work_room(const PlausibleLaw<Coefficient>& law, const Real& time,
                             const Accounts& accounts) {
  constexpr double kOneStroke = 1.0;  // [J]; a run that has just begun has done no work
  return law.most_power * time + kOneStroke - accounts[account::engine_work];
}

/// What a loss may fall in a step [J]; `error` is that of a step [-].
template <class Parts, class Real, class Accounts>
[[nodiscard]] Real loss_noise(const Accounts& before, const Accounts& after, const Real& error) {
  Real moved(0.0);
  for (std::size_t i = 0; i < Parts::kAccounts; ++i) {
    if (Parts::kAccountRows[i].flow != parts::Flow::none) moved += abs(Real(after[i] - before[i]));
  }
  return error * moved + kAccountNoise;
}

/// Whether all rooms of a state are open, for one number or for lanes.
template <class Parts, class Coefficient, class Real, class State>
[[nodiscard]] auto is_possible(const PlausibleLaw<Coefficient>& law, const Real& time,
                               const State& state) {
  auto possible = speed_room(law, node::crank, time, state) > 0.0;
  for (int i = 0; i < Parts::kNodes; ++i) {
    if (i != node::crank) possible = possible & (speed_room(law, i, time, state) > 0.0);
  }
  for (int i = Parts::kNodes; i < Parts::kStates; ++i) {
    if (is_rise<Parts>(i)) possible = possible & (rise_room<Real>(i, state) > 0.0);
  }
  return possible;
}

/// Whether a step may have done this to the accounts.
template <class Parts, class Coefficient, class Real, class Accounts>
[[nodiscard]] auto is_possible(const PlausibleLaw<Coefficient>& law, const Real& time,
                               const Accounts& before, const Accounts& after, const Real& error) {
  const Real noise = loss_noise<Parts, Real>(before, after, error);
  auto possible = work_room(law, time, after) > 0.0;
  for (std::size_t i = 0; i < Parts::kAccounts; ++i) {
    if (is_loss<Parts>(static_cast<int>(i))) {
      possible = possible & (Real(after[i] - before[i]) + noise > 0.0);
    }
  }
  return possible;
}

/// What is impossible of a step's accounts; an account counts on from the last state of the car.
template <class Parts>
[[nodiscard]] Verdict verdict_on_accounts(const PlausibleLaw<double>& law, double time,
                                          std::span<const double> before,
                                          std::span<const double> after, double error) {
  if (is_possible<Parts>(law, time, before, after, error)) return {};
  // Before the noise, which is no number with any of them.
  for (int i = 0; i < Parts::kAccounts; ++i) {
    if (!std::isfinite(after[static_cast<std::size_t>(i)])) {
      return {Status::implausible, car_state::count + i};
    }
  }
  const double noise = loss_noise<Parts, double>(before, after, error);
  for (int i = 0; i < Parts::kAccounts; ++i) {
    const auto k = static_cast<std::size_t>(i);
    if (is_loss<Parts>(i) && !(after[k] - before[k] + noise > 0.0)) {
      return {Status::implausible, car_state::count + i};
    }
  }
  return {Status::implausible, car_state::count + account::engine_work};
}

}  // namespace layshaft
