#pragma once

/// What a part of a plant is: a law, with the names of what it reads and of what it gives.
///
/// A part is a type without an object. It derives from `Part` and hides those lists that it fills:
/// the nodes, states, signals, couplings and accounts that it brings in, and the ports by which its
/// functions are joined to those of other parts. `Assembly` (assemble.hpp) makes the rest of a list
/// of parts: loads, limits at rest, rates, accounts, and the exact Jacobian with its pattern.
///
///     run(law, active, in)   one value for each port of `gives`, from those of `reads`
///     hold(law, active, in)  limits at rest, one for each port of `holds`, from those of `reads`
///     book(law, in)          one value for each port of `books`, from those of `sees`
///     guard(law, active, in) one for each of `switches`, from `watches`: positive while it holds
///
/// All are static and written once for any number type; `in` is an array. A part that reads a
/// sliding torque or an acceleration runs once the network is solved: this is found, not said.
/// Worked out once, on plain numbers, for what the part brings in itself:
///
///     inertias(law)               of each of `nodes` [kg*m^2] or [kg], > 0
///     rows(law)                   a `JoinedRow` for each of `couplings`
///     activate(law, positions)    the part's `Active` in positions of its `switches`
///     next(switch, positions)     position after its guard fell; 1 less the present one if left
///     is_open(law, coupling, positions)  whether both limits are zero; never if left out
///
/// Sign: as in `network.hpp`; a force or torque is positive where it speeds its node up.

#include <array>
#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <string_view>

namespace layshaft::parts {

/// A quantity that a part brings in.
struct Row {
  std::string_view name{};
  std::string_view unit{};     ///< SI.
  double scale = 1.0;          ///< Typical size, for the error norm.
  std::string_view meaning{};  ///< One line.
  std::string_view shown{};  ///< Name where a run shows it, if that is another. Of a switch: empty
                             ///< where it is not shown.
  std::array<std::string_view, 2> positions{};  ///< Names of the positions of a switch that is.
};

/// Where the energy of an account goes.
enum class Flow : std::uint8_t {
  none,    ///< No energy.
  source,  ///< Work done on the whole.
  loss,    ///< Turned into heat: never falls.
  stored,  ///< May come back.
};

/// An account that a part brings in.
struct AccountRow {
  std::string_view name{};
  std::string_view unit{};  ///< SI.
  Flow flow = Flow::none;
  std::string_view meaning{};  ///< One line.
  std::string_view shown{};    ///< As that of a `Row`.
};

/// A coupling joins at most this many nodes: two wheels, carrier side and one to spare.
inline constexpr int kMostJoined = 4;

/// A coupling that a part brings in. Its slip is a sum over the nodes that it joins.
struct CouplingRow {
  std::string_view name{};
  double torque_scale = 1.0;  ///< Typical size of its torque [N*m] or [N].
  double slip_scale = 1.0;    ///< Typical size of its slip [rad/s] or [m/s].
  std::string_view meaning{};
  std::array<std::string_view, kMostJoined> joined;  ///< Names of its nodes, the rest empty.

  // Each entry is set by hand: g++ 12 takes none that is left out for a constant.
  constexpr CouplingRow() { joined.fill({}); }
  constexpr CouplingRow(std::string_view name_, double torque_scale_, double slip_scale_,
                        std::string_view meaning_, std::initializer_list<std::string_view> nodes)
      : name(name_), torque_scale(torque_scale_), slip_scale(slip_scale_), meaning(meaning_) {
    joined.fill({});
    std::size_t k = 0;
    for (const std::string_view node : nodes) joined.at(k++) = node;
  }
};

/// How a coupling meets its nodes: slip = sum of `slip[k]` times the speed of the k-th. With an
/// efficiency below 1 its first node pays torque / efficiency, or gets torque * efficiency when
/// work comes from the others.
struct JoinedRow {
  std::array<double, kMostJoined> slip{};
  double efficiency = 1.0;  ///< [-], > 0, <= 1.
};

enum class PortKind : std::uint8_t {
  state,         ///< Speed of a node or another state; read.
  now,           ///< The time [s]; read.
  signal,        ///< A value that one part works out for others; given by one, read by any.
  sliding,       ///< Torque of a coupling while it slides, else 0; read.
  acceleration,  ///< Of a node; read.
  torque,        ///< Of a coupling, sliding or stuck; seen by accounts only.
  force,         ///< On a node; given, those of several parts are summed in the order of the list.
                 ///< Accounts and guards see the sum, without the couplings' torques.
  rate,      ///< Of a state that is no node's speed; given, summed likewise. Read by a part that
             ///< comes after its only giver.
  low,       ///< Torque of a coupling while its slip is < 0, <= 0; given, seen by guards.
  high,      ///< Torque of a coupling while its slip is > 0, >= 0; given, seen by guards.
  capacity,  ///< Both limits of a coupling: -x and x; given.
  account,   ///< Integral that nothing depends on; given to accounts, summed likewise.
};

struct Port {
  PortKind kind{};
  std::string_view name{};
};

[[nodiscard]] constexpr Port state(std::string_view name) { return {PortKind::state, name}; }
[[nodiscard]] constexpr Port now() { return {PortKind::now, {}}; }
[[nodiscard]] constexpr Port signal(std::string_view name) { return {PortKind::signal, name}; }
[[nodiscard]] constexpr Port sliding(std::string_view name) { return {PortKind::sliding, name}; }
[[nodiscard]] constexpr Port acceleration(std::string_view name) {
  return {PortKind::acceleration, name};
}
[[nodiscard]] constexpr Port torque(std::string_view name) { return {PortKind::torque, name}; }
[[nodiscard]] constexpr Port force(std::string_view name) { return {PortKind::force, name}; }
[[nodiscard]] constexpr Port rate(std::string_view name) { return {PortKind::rate, name}; }
[[nodiscard]] constexpr Port low(std::string_view name) { return {PortKind::low, name}; }
[[nodiscard]] constexpr Port high(std::string_view name) { return {PortKind::high, name}; }
[[nodiscard]] constexpr Port capacity(std::string_view name) { return {PortKind::capacity, name}; }
[[nodiscard]] constexpr Port adds_to(std::string_view name) { return {PortKind::account, name}; }

/// A list of ports with one more.
template <std::size_t Size>
[[nodiscard]] constexpr std::array<Port, Size + 1> with_last(const std::array<Port, Size>& ports,
                                                             const Port& last) {
  std::array<Port, Size + 1> all{};
  for (std::size_t i = 0; i < Size; ++i) all[i] = ports[i];
  all[Size] = last;
  return all;
}

/// Every list empty: what a part leaves out.
struct Part {
  static constexpr std::array<Row, 0> nodes{};
  static constexpr std::array<Row, 0> states{};
  static constexpr std::array<Row, 0> signals{};
  static constexpr std::array<CouplingRow, 0> couplings{};
  static constexpr std::array<AccountRow, 0> accounts{};
  static constexpr std::array<Row, 0> switches{};
  static constexpr std::array<Port, 0> reads{};
  static constexpr std::array<Port, 0> gives{};
  static constexpr std::array<Port, 0> holds{};
  static constexpr std::array<Port, 0> sees{};
  static constexpr std::array<Port, 0> books{};
  static constexpr std::array<Port, 0> watches{};

  /// Coefficients, worked out once; only `Real` members, so that lanes can be packed.
  template <class Real>
  struct Law {};
  /// The frozen switches as numbers; only `Real` members.
  template <class Real>
  struct Active {};
};

}  // namespace layshaft::parts
