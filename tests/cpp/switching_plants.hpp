#pragma once

/// Small plants with exact answers, for the tests of the network.

#include <functional>
#include <limits>

#include "layshaft/network/dormand_prince.hpp"
#include "layshaft/network/integrate.hpp"
#include "layshaft/network/plant.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft::testing {

/// What a plant needs where it has no auxiliary states, switches or kinks of its own.
template <int Nodes, int Couplings, int Auxiliaries = 0, int Switches = 0, int Accounts = 0>
struct BarePlant {
  static constexpr int kNodes = Nodes;
  static constexpr int kCouplings = Couplings;
  static constexpr int kAuxiliaries = Auxiliaries;
  static constexpr int kAccounts = Accounts;
  static constexpr int kSwitches = Switches;
  using State = Vector<double, Nodes + Auxiliaries>;
  using Positions = std::array<std::int16_t, static_cast<std::size_t>(Switches)>;
  using BareLoads = Loads<double, Nodes, Couplings>;

  Network<Nodes, Couplings> network_data;

  [[nodiscard]] const Network<Nodes, Couplings>& network() const { return network_data; }
  [[nodiscard]] State state_scale() const { return State::Ones(); }
  [[nodiscard]] Vector<double, Couplings> torque_scale() const {
    return Vector<double, Couplings>::Ones();
  }
  [[nodiscard]] Vector<double, Couplings> slip_scale() const {
    return Vector<double, Couplings>::Ones();
  }
  [[nodiscard]] Positions activate(const Positions& switches) const { return switches; }
  void auxiliary_rates(const Positions&, double, const State&, const BareLoads&,
                       const Vector<double, Couplings>&, const Vector<double, Nodes>&,
                       State&) const {}
  [[nodiscard]] std::array<double, static_cast<std::size_t>(Accounts)> account_rates(
      const Positions&, double, const State&, const BareLoads&,
      const Vector<double, Couplings>&) const {
    return {};
  }
  [[nodiscard]] double switch_guard(int, const Positions&, double, const State&) const {
    return 1.0;
  }
  [[nodiscard]] int next_switch(int k, const Positions& switches, double, const State&) const {
    return switches[static_cast<std::size_t>(k)];
  }
  [[nodiscard]] bool is_open(int, const Positions&) const { return false; }
  [[nodiscard]] double kink_time(const Positions&) const {
    return std::numeric_limits<double>::infinity();
  }
  [[nodiscard]] Positions pass_kink(const Positions& switches) const { return switches; }
};

/// Sets a network without losses from its inertias and slip rows.
template <int Nodes, int Couplings>
[[nodiscard]] Network<Nodes, Couplings> lossless(
    const Vector<double, Nodes>& inertia, const Eigen::Matrix<double, Couplings, Nodes>& slip) {
  return {inertia, slip, slip, slip};
}

/// O1: four inertias in a row, joined by three friction clutches that slide at 10 f and break away
/// at 11 f [N*m]; 10 sin(10 pi t) drives the first. f1 = cos(0.4 pi t), open below 0; f2 = 1 from
/// 0.4 s on; f3 = 1 from 0.9 s on.
struct ClutchChain : BarePlant<4, 3, 0, 2> {
  enum Switch { clutch_1_engaged, passed };

  ClutchChain() {
    Eigen::Matrix<double, 3, 4> slip;
    slip << 1, -1, 0, 0, 0, 1, -1, 0, 0, 0, 1, -1;
    network_data = lossless<4, 3>(Vector<double, 4>::Ones(), slip);
  }
  [[nodiscard]] static double engaged_share(double time) { return cos(0.4 * kPi * time); }
  [[nodiscard]] static Vector<double, 3> shares(const Positions& switches, double time) {
    return {switches[clutch_1_engaged] == 1 ? engaged_share(time) : 0.0,
            switches[passed] >= 1 ? 1.0 : 0.0, switches[passed] >= 2 ? 1.0 : 0.0};
  }
  [[nodiscard]] BareLoads loads(const Positions& active, double time, const State&) const {
    const Vector<double, 3> torque = 10.0 * shares(active, time);
    return {{10.0 * sin(10.0 * kPi * time), 0.0, 0.0, 0.0}, -torque, torque};
  }
  [[nodiscard]] HoldLimits<3> hold_limits(const Positions& active, const BareLoads&, double time,
                                          const State&) const {
    const Vector<double, 3> torque = 11.0 * shares(active, time);
    return {-torque, torque};
  }
  [[nodiscard]] double switch_guard(int k, const Positions& switches, double time,
                                    const State&) const {
    if (k == passed) return 1.0;
    return switches[clutch_1_engaged] == 1 ? engaged_share(time) : -engaged_share(time);
  }
  [[nodiscard]] int next_switch(int, const Positions& switches, double, const State&) const {
    return 1 - switches[clutch_1_engaged];
  }
  [[nodiscard]] bool is_open(int coupling, const Positions& switches) const {
    if (coupling == 0) return switches[clutch_1_engaged] == 0;
    return switches[passed] < coupling;
  }
  [[nodiscard]] double kink_time(const Positions& switches) const {
    if (switches[passed] == 0) return 0.4;
    return switches[passed] == 1 ? 0.9 : std::numeric_limits<double>::infinity();
  }
  [[nodiscard]] Positions pass_kink(Positions switches) const {
    ++switches[passed];
    return switches;
  }
};

/// A block of mass 1 kg on a spring, rubbing on a belt that moves at `belt_speed`: the block's
/// position is the auxiliary state. Node 0 is the block, its friction holds `at_rest` and slides at
/// `sliding` [N].
struct RubbedBlock : BarePlant<1, 1, 1, 0> {
  double stiffness;
  double belt_speed;
  double at_rest;
  double sliding;

  RubbedBlock(double spring, double belt, double hold, double slide)
      : stiffness(spring), belt_speed(belt), at_rest(hold), sliding(slide) {
    // The node's speed is measured against the belt, so that sticking is zero slip.
    network_data = lossless<1, 1>(Vector<double, 1>(1.0), Eigen::Matrix<double, 1, 1>(1.0));
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State& y) const {
    return {Vector<double, 1>(-stiffness * y(1)), Vector<double, 1>(-sliding),
            Vector<double, 1>(sliding)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>(-at_rest), Vector<double, 1>(at_rest)};
  }
  void auxiliary_rates(const Positions&, double, const State& y, const BareLoads&,
                       const Vector<double, 1>&, const Vector<double, 1>&, State& rates) const {
    rates(1) = y(0) + belt_speed;
  }
};

/// O5: two free inertias and a clutch of constant torque.
struct LockingPair : BarePlant<2, 1, 0, 0> {
  double torque;
  LockingPair(double inertia_1, double inertia_2, double clutch_torque) : torque(clutch_torque) {
    network_data = lossless<2, 1>(Vector<double, 2>(inertia_1, inertia_2),
                                  Eigen::Matrix<double, 1, 2>(1.0, -1.0));
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
    return {Vector<double, 2>::Zero(), Vector<double, 1>(-torque), Vector<double, 1>(torque)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>(-torque), Vector<double, 1>(torque)};
  }
};

/// Two switches whose guards are given functions of their position and of time; nothing moves.
struct Clock : BarePlant<1, 1, 0, 2> {
  using Guard = std::function<double(int position, double time)>;
  std::array<Guard, 2> guards;

  explicit Clock(
      Guard first, Guard second = [](int, double) { return 1.0; })
      : guards{std::move(first), std::move(second)} {
    network_data = lossless<1, 1>(Vector<double, 1>(1.0), Eigen::Matrix<double, 1, 1>(1.0));
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
    return {Vector<double, 1>::Zero(), Vector<double, 1>::Zero(), Vector<double, 1>::Zero()};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>::Zero(), Vector<double, 1>::Zero()};
  }
  [[nodiscard]] double switch_guard(int k, const Positions& switches, double time,
                                    const State&) const {
    const auto at = static_cast<std::size_t>(k);
    return guards[at](switches[at], time);
  }
  [[nodiscard]] int next_switch(int k, const Positions& switches, double, const State&) const {
    return switches[static_cast<std::size_t>(k)] + 1;
  }
  [[nodiscard]] bool is_open(int, const Positions&) const { return true; }
};

/// A shaft of inertia 1 driving a load of inertia 1 through a one-way bearing, with a given torque
/// over time; `mesh` is the efficiency from shaft to load.
struct OneWayDrive : BarePlant<2, 1, 0, 0> {
  std::function<double(double time)> torque;

  explicit OneWayDrive(std::function<double(double time)> drive, double mesh = 1.0)
      : torque(std::move(drive)) {
    network_data =
        lossless<2, 1>(Vector<double, 2>(1.0, 1.0), Eigen::Matrix<double, 1, 2>(1.0, -1.0));
    network_data.forward(0, 0) = 1.0 / mesh;
    network_data.backward(0, 0) = mesh;
  }
  [[nodiscard]] BareLoads loads(const Positions&, double time, const State&) const {
    return {Vector<double, 2>(torque(time), 0.0), Vector<double, 1>(0.0),
            Vector<double, 1>(kNoLimit)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>(0.0), Vector<double, 1>(kNoLimit)};
  }
};

/// Both gears between a bell and a shaft, as in a shift: first by a one-way bearing, second by a
/// drum that presses from time 0 on with drum_torque + torque_rate * time [N*m at the shaft]. The
/// auxiliary state is the heat of the drum [J].
struct ShiftingShafts : BarePlant<2, 2, 1, 0> {
  double engine_torque;
  double load_torque;
  double drum_torque;
  double torque_rate;

  ShiftingShafts(double first_ratio, double second_ratio, double bell_inertia, double shaft_inertia,
                 double engine, double load, double drum, double rate)
      : engine_torque(engine), load_torque(load), drum_torque(drum), torque_rate(rate) {
    Eigen::Matrix<double, 2, 2> slip;
    slip << 1.0 / first_ratio, -1.0, 1.0 / second_ratio, -1.0;
    network_data = lossless<2, 2>(Vector<double, 2>(bell_inertia, shaft_inertia), slip);
  }
  [[nodiscard]] BareLoads loads(const Positions&, double time, const State&) const {
    const double drum = drum_torque + torque_rate * time;
    return {Vector<double, 2>(engine_torque, -load_torque), Vector<double, 2>(0.0, -drum),
            Vector<double, 2>(kNoLimit, drum)};
  }
  [[nodiscard]] HoldLimits<2> hold_limits(const Positions&, const BareLoads& sliding, double,
                                          const State&) const {
    return {sliding.low, sliding.high};
  }
  void auxiliary_rates(const Positions&, double, const State& y, const BareLoads&,
                       const Vector<double, 2>& torques, const Vector<double, 2>&,
                       State& rates) const {
    const double slip = network_data.slip.row(1).dot(y.head<2>());
    rates(2) = torques(1) * slip;
  }
};

/// Runs without a recorder that stops or looks.
struct NoRecorder {
  template <class SegmentView>
  double operator()(const SegmentView&) const {
    return std::numeric_limits<double>::infinity();
  }
};

/// Runs a plant to `end` from rest of all its switches unless told otherwise.
template <class P>
[[nodiscard]] Integration<P> run_plant(const P& plant, const StateOf<P>& state, double end,
                                       const IntegrationOptions& options,
                                       const ModesOf<P>& start = {}) {
  Integrator<P, DormandPrince> integrator(plant, options);
  return integrator.run(0.0, state, start, end, NoRecorder{});
}

}  // namespace layshaft::testing
