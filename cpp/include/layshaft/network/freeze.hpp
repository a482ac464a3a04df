#pragma once

/// From a set of modes to the frozen equation of motion, and the speeds put exactly on the slips
/// that are stuck.

#include "layshaft/network/complementarity.hpp"
#include "layshaft/network/modes.hpp"
#include "layshaft/network/network.hpp"

namespace layshaft {

/// Couplings that are stuck, in order.
template <int Couplings>
struct StuckRows {
  std::array<int, static_cast<std::size_t>(Couplings)> rows{};
  int count = 0;
};

template <std::size_t Couplings>
[[nodiscard]] auto stuck_rows(const std::array<CouplingMode, Couplings>& modes) {
  StuckRows<static_cast<int>(Couplings)> stuck;
  for (std::size_t i = 0; i < Couplings; ++i) {
    if (is_stuck(modes[i])) {
      stuck.rows[static_cast<std::size_t>(stuck.count++)] = static_cast<int>(i);
    }
  }
  return stuck;
}

/// The row of B that goes with a coupling's mode and with the way the train turns. At rest the mode
/// of the travel row says about to turn which way: `stuck` forwards, `stuck_back` backwards.
template <int Nodes, int Couplings>
[[nodiscard]] auto push_row(
    const Network<Nodes, Couplings>& network, int coupling,
    const std::array<CouplingMode, static_cast<std::size_t>(Couplings)>& modes) {
  const auto is_back = [&modes](int row) {
    const CouplingMode mode = modes[static_cast<std::size_t>(row)];
    return mode == CouplingMode::slip_negative || mode == CouplingMode::stuck_back;
  };
  const bool turns_back = network.travel >= 0 && is_back(network.travel);
  return is_back(coupling) != turns_back ? network.backward.row(coupling)
                                         : network.forward.row(coupling);
}

/// Solves response * x = right for the stuck rows; rows that depend on each other share the torque
/// evenly.
[[nodiscard]] SmallMatrix solve_response(const SmallMatrix& response, const SmallMatrix& right);

/// Works out the matrices of `Frozen` for these modes.
template <int Nodes, int Couplings>
[[nodiscard]] Frozen<double, Nodes, Couplings> freeze(
    const Network<Nodes, Couplings>& network,
    const std::array<CouplingMode, static_cast<std::size_t>(Couplings)>& modes) {
  Frozen<double, Nodes, Couplings> frozen;
  frozen.low_weight.setZero();
  frozen.high_weight.setZero();
  frozen.push.setZero();
  frozen.hold.setZero();
  const Vector<double, Nodes> inverse_inertia = network.inertia.cwiseInverse();
  frozen.accelerate = inverse_inertia.asDiagonal();
  for (int i = 0; i < Couplings; ++i) {
    const CouplingMode mode = modes[static_cast<std::size_t>(i)];
    if (mode == CouplingMode::slip_positive) frozen.high_weight(i) = 1.0;
    if (mode == CouplingMode::slip_negative) frozen.low_weight(i) = 1.0;
    if (mode == CouplingMode::slip_positive || mode == CouplingMode::slip_negative) {
      frozen.push.row(i) = push_row(network, i, modes);
    }
  }
  const auto stuck = stuck_rows(modes);
  if (stuck.count == 0) return frozen;
  SmallMatrix slip(stuck.count, Nodes);
  SmallMatrix push(stuck.count, Nodes);
  for (int i = 0; i < stuck.count; ++i) {
    const int row = stuck.rows[static_cast<std::size_t>(i)];
    slip.row(i) = network.slip.row(row).cwiseProduct(inverse_inertia.transpose());
    push.row(i) = push_row(network, row, modes);
  }
  const SmallMatrix hold = solve_response(slip.lazyProduct(push.transpose()), slip);
  for (int i = 0; i < stuck.count; ++i) {
    frozen.hold.row(stuck.rows[static_cast<std::size_t>(i)]) = hold.row(i);
  }
  const Eigen::Matrix<double, Nodes, Nodes> reaction = push.transpose().lazyProduct(hold);
  frozen.accelerate -= inverse_inertia.asDiagonal() * reaction;
  return frozen;
}

/// Removes the slip of the stuck rows by the smallest momentum exchange through them (the
/// couplings' own impulses, so momentum is kept); used at a switch to put the speeds on the root
/// exactly.
template <int Nodes, int Couplings>
[[nodiscard]] Vector<double, Nodes> without_stuck_slip(
    const Network<Nodes, Couplings>& network,
    const std::array<CouplingMode, static_cast<std::size_t>(Couplings)>& modes,
    const Vector<double, Nodes>& speeds) {
  const auto stuck = stuck_rows(modes);
  if (stuck.count == 0) return speeds;
  const Vector<double, Nodes> inverse_inertia = network.inertia.cwiseInverse();
  SmallMatrix slip(stuck.count, Nodes);
  for (int i = 0; i < stuck.count; ++i) {
    slip.row(i) = network.slip.row(stuck.rows[static_cast<std::size_t>(i)]);
  }
  const SmallMatrix scaled = slip * inverse_inertia.asDiagonal();
  const SmallMatrix impulse =
      solve_response(scaled.lazyProduct(slip.transpose()), slip.lazyProduct(speeds));
  return speeds - scaled.transpose().lazyProduct(impulse);
}

}  // namespace layshaft
