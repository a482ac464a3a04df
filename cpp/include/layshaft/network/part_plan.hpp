#pragma once

/// What the compiler works out from a list of parts: which quantities there are, and which part
/// runs before and which after the network is solved.
///
/// Quantities are numbered through: states (speeds of the nodes first), the time, signals, sliding
/// torques, rates of the states (accelerations of the nodes first), forces on the nodes, lower
/// limits, upper limits, capacities.

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <tuple>
#include <utility>

#include "layshaft/network/part.hpp"

namespace layshaft::parts {

inline constexpr int kNone = -1;

/// Place of a name in a list, or `kNone`.
template <class Rows>
[[nodiscard]] constexpr int place_of(const Rows& rows, std::string_view name) {
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (rows[i].name == name) return static_cast<int>(i);
  }
  return kNone;
}

/// One array of several, end to end.
template <class Entry, std::size_t... Size>
[[nodiscard]] constexpr auto joined(const std::array<Entry, Size>&... lists) {
  std::array<Entry, (Size + ... + 0)> all{};
  [[maybe_unused]] std::size_t count = 0;
  [[maybe_unused]] const auto add = [&](const auto& list) {
    for (const Entry& entry : list) all[count++] = entry;
  };
  (add(lists), ...);
  return all;
}

/// A span of ports of one part in a list of all ports.
struct Range {
  std::size_t begin = 0;
  std::size_t size = 0;
};

template <class... List>
[[nodiscard]] constexpr std::array<Range, sizeof...(List)> ranges(const List&... lists) {
  std::array<Range, sizeof...(List)> all{};
  std::size_t part = 0;
  std::size_t begin = 0;
  const auto add = [&](std::size_t size) {
    all[part++] = {begin, size};
    begin += size;
  };
  (add(lists.size()), ...);
  return all;
}

/// The lists of all parts, end to end. Data only: functions are templates over the list's name, so
/// that neither symbols nor messages carry the whole pack.
template <class Tuple>
struct Catalogue;
template <class... Each>
struct Catalogue<std::tuple<Each...>> {
  static constexpr int kParts = static_cast<int>(sizeof...(Each));
  static constexpr auto nodes = joined<Row>(Each::nodes...);
  static constexpr auto states =
      joined<Row>(joined<Row>(Each::nodes...), joined<Row>(Each::states...));
  static constexpr auto signals = joined<Row>(Each::signals...);
  static constexpr auto couplings = joined<CouplingRow>(Each::couplings...);
  static constexpr auto accounts = joined<AccountRow>(Each::accounts...);
  static constexpr auto switches = joined<Row>(Each::switches...);
  static constexpr auto reads = joined<Port>(Each::reads...);
  static constexpr auto gives = joined<Port>(Each::gives...);
  static constexpr auto holds = joined<Port>(Each::holds...);
  static constexpr auto sees = joined<Port>(Each::sees...);
  static constexpr auto books = joined<Port>(Each::books...);
  static constexpr auto watches = joined<Port>(Each::watches...);
  static constexpr auto of_reads = ranges(Each::reads...);
  static constexpr auto of_gives = ranges(Each::gives...);
  static constexpr auto of_holds = ranges(Each::holds...);
  static constexpr auto of_sees = ranges(Each::sees...);
  static constexpr auto of_books = ranges(Each::books...);
  static constexpr auto of_watches = ranges(Each::watches...);
  static constexpr auto of_nodes = ranges(Each::nodes...);
  static constexpr auto of_couplings = ranges(Each::couplings...);
  static constexpr auto of_switches = ranges(Each::switches...);
};

/// Sizes of a list, and where each kind of quantity begins.
struct Sizes {
  int parts, nodes, states, signals, couplings, accounts;

  [[nodiscard]] constexpr int time() const { return states; }
  [[nodiscard]] constexpr int signal(int i) const { return states + 1 + i; }
  [[nodiscard]] constexpr int sliding(int i) const { return signal(signals) + i; }
  [[nodiscard]] constexpr int rate(int i) const { return sliding(couplings) + i; }
  [[nodiscard]] constexpr int force(int i) const { return rate(states) + i; }
  [[nodiscard]] constexpr int low(int i) const { return force(nodes) + i; }
  [[nodiscard]] constexpr int high(int i) const { return low(couplings) + i; }
  [[nodiscard]] constexpr int capacity(int i) const { return high(couplings) + i; }
  [[nodiscard]] constexpr int count() const { return capacity(couplings); }

  [[nodiscard]] constexpr bool is_signal(int quantity) const {
    return quantity >= signal(0) && quantity < sliding(0);
  }
  [[nodiscard]] constexpr bool is_rate(int quantity) const {
    return quantity >= rate(0) && quantity < force(0);
  }
  /// Of a state that is no node's speed.
  [[nodiscard]] constexpr bool is_own_rate(int quantity) const {
    return quantity >= rate(nodes) && quantity < force(0);
  }
  /// Known only once the network is solved.
  [[nodiscard]] constexpr bool is_solved(int quantity) const {
    return quantity >= sliding(0) && quantity < rate(nodes);
  }
};

/// How parts meet: the ports of a list with their quantities, and when each part runs.
template <class List>
struct Wiring {
  using Have = Catalogue<typename List::parts>;
  static constexpr Sizes kSizes{Have::kParts,
                                static_cast<int>(Have::nodes.size()),
                                static_cast<int>(Have::states.size()),
                                static_cast<int>(Have::signals.size()),
                                static_cast<int>(Have::couplings.size()),
                                static_cast<int>(Have::accounts.size())};

  /// Number of a port's quantity; `kNone` where no part brings its name in. Torques are numbered as
  /// sliding ones, accounts from 0.
  [[nodiscard]] static constexpr int quantity_of(const Port& port) {
    const auto numbered = [](int place, int first) {
      return place == kNone ? kNone : first + place;
    };
    const int coupling = place_of(Have::couplings, port.name);
    switch (port.kind) {
      case PortKind::state: return place_of(Have::states, port.name);
      case PortKind::now: return kSizes.time();
      case PortKind::signal: return numbered(place_of(Have::signals, port.name), kSizes.signal(0));
      case PortKind::sliding:
      case PortKind::torque: return numbered(coupling, kSizes.sliding(0));
      case PortKind::acceleration:
        return numbered(place_of(Have::nodes, port.name), kSizes.rate(0));
      case PortKind::force: return numbered(place_of(Have::nodes, port.name), kSizes.force(0));
      case PortKind::rate: {
        const int state = place_of(Have::states, port.name);
        return state < kSizes.nodes ? kNone : kSizes.rate(state);
      }
      case PortKind::low: return numbered(coupling, kSizes.low(0));
      case PortKind::high: return numbered(coupling, kSizes.high(0));
      case PortKind::capacity: return numbered(coupling, kSizes.capacity(0));
      case PortKind::account: return place_of(Have::accounts, port.name);
    }
    return kNone;
  }

  template <std::size_t Size>
  [[nodiscard]] static constexpr std::array<int, Size> quantities_of(
      const std::array<Port, Size>& ports) {
    std::array<int, Size> quantities{};
    for (std::size_t i = 0; i < Size; ++i) quantities[i] = quantity_of(ports[i]);
    return quantities;
  }

  static constexpr auto reads = quantities_of(Have::reads);
  static constexpr auto gives = quantities_of(Have::gives);
  static constexpr auto holds = quantities_of(Have::holds);
  static constexpr auto sees = quantities_of(Have::sees);
  static constexpr auto books = quantities_of(Have::books);
  static constexpr auto watches = quantities_of(Have::watches);

  /// Nodes that each coupling joins, `kNone` where there are fewer.
  static constexpr auto joined_nodes = [] {
    std::array<std::array<int, kMostJoined>, Have::couplings.size()> all{};
    for (std::size_t c = 0; c < all.size(); ++c) {
      for (std::size_t k = 0; k < kMostJoined; ++k) {
        const std::string_view name = Have::couplings[c].joined[k];
        all[c][k] = name.empty() ? kNone : place_of(Have::nodes, name);
      }
    }
    return all;
  }();

  /// Parts that run once the network is solved: they read what it gives, or a signal or rate of one
  /// that does.
  static constexpr auto late = [] {
    std::array<bool, static_cast<std::size_t>(Have::kParts)> is_late{};
    std::array<bool, static_cast<std::size_t>(kSizes.count())> late_value{};
    for (std::size_t p = 0; p < is_late.size(); ++p) {
      const Range read = Have::of_reads[p];
      for (std::size_t r = read.begin; r < read.begin + read.size; ++r) {
        if (reads[r] == kNone) continue;
        is_late[p] = is_late[p] || kSizes.is_solved(reads[r]) ||
                     late_value[static_cast<std::size_t>(reads[r])];
      }
      const Range give = Have::of_gives[p];
      for (std::size_t g = give.begin; g < give.begin + give.size; ++g) {
        if (gives[g] != kNone && is_late[p]) late_value[static_cast<std::size_t>(gives[g])] = true;
      }
    }
    return is_late;
  }();
};

}  // namespace layshaft::parts
