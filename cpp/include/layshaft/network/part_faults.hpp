#pragma once

/// What does not fit together in a list of parts, found while compiling: names that no part brings
/// in, ports in the wrong list, values read before they are known. `Assembly` turns each into a
/// message.

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <string_view>

#include "layshaft/network/part_plan.hpp"

namespace layshaft::parts {

namespace part_plan {

/// What is wrong with a list, as far as it can be said without the part's name.
enum class Fault : std::uint8_t {
  none,
  name_twice,       ///< Two parts bring in the same name.
  wrong_kind,       ///< A port of a kind that its list does not take.
  unknown_node,     ///< A coupling joins a node that no part brings in.
  read_too_early,   ///< A signal or rate is read before it is given.
  rate_in_parts,    ///< A rate is read to which several parts add.
  signal_not_once,  ///< A signal is given by no part, or by two.
  state_without_rate,
  limits_not_once,  ///< A coupling's limits are given by no part, or twice.
  seen_too_late,    ///< Limits, accounts or guards see what is known only later.
  force_too_late,   ///< A part that runs after the network is solved gives a force or a limit.
};

template <class Rows>
[[nodiscard]] constexpr bool has_name_twice(const Rows& rows) {
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (place_of(rows, rows[i].name) != static_cast<int>(i)) return true;
  }
  return false;
}

/// A name of a part that no part brings in.
struct Unknown {
  int part = kNone;
  std::string_view name{};
};

template <class List>
[[nodiscard]] constexpr Unknown first_unknown() {
  using Net = Wiring<List>;
  using Have = typename Net::Have;
  Unknown first;
  const auto look = [&first](const auto& of_parts, const auto& ports, const auto& quantities) {
    for (std::size_t p = 0; p < of_parts.size(); ++p) {
      for (std::size_t i = of_parts[p].begin; i < of_parts[p].begin + of_parts[p].size; ++i) {
        if (first.part == kNone && quantities[i] == kNone) {
          first = {static_cast<int>(p), ports[i].name};
        }
      }
    }
  };
  look(Have::of_reads, Have::reads, Net::reads);
  look(Have::of_gives, Have::gives, Net::gives);
  look(Have::of_holds, Have::holds, Net::holds);
  look(Have::of_sees, Have::sees, Net::sees);
  look(Have::of_books, Have::books, Net::books);
  look(Have::of_watches, Have::watches, Net::watches);
  return first;
}

template <std::size_t Size>
[[nodiscard]] constexpr bool are_of(const std::array<Port, Size>& ports,
                                    std::initializer_list<PortKind> kinds) {
  return std::ranges::all_of(
      ports, [&](const Port& port) { return std::ranges::count(kinds, port.kind) > 0; });
}

/// Whether each list has only ports of kinds that it takes.
template <class Have>
[[nodiscard]] constexpr bool has_kinds_in_place() {
  using enum PortKind;
  return are_of(Have::reads, {state, now, signal, sliding, acceleration, rate}) &&
         are_of(Have::gives, {signal, force, rate, low, high, capacity}) &&
         are_of(Have::holds, {low, high, capacity}) &&
         are_of(Have::sees, {state, now, signal, torque, force, rate}) &&
         are_of(Have::books, {account}) &&
         are_of(Have::watches, {state, now, signal, rate, force, low, high});
}

/// Whether a part that runs once the network is solved gives a quantity.
template <class List>
[[nodiscard]] constexpr bool is_given_late(int quantity) {
  using Net = Wiring<List>;
  for (std::size_t p = 0; p < Net::late.size(); ++p) {
    const Range give = Net::Have::of_gives[p];
    for (std::size_t g = give.begin; g < give.begin + give.size; ++g) {
      if (Net::late[p] && Net::gives[g] == quantity) return true;
    }
  }
  return false;
}

/// Limits at rest, accounts and guards are worked out from what the early parts gave.
template <class List>
[[nodiscard]] constexpr bool sees_too_late() {
  using Net = Wiring<List>;
  const auto late = [](int quantity) { return is_given_late<List>(quantity); };
  for (std::size_t p = 0; p < Net::late.size(); ++p) {
    if (Net::late[p] && Net::Have::of_holds[p].size > 0) return true;
  }
  return std::ranges::any_of(Net::sees, late) || std::ranges::any_of(Net::watches, late);
}

template <class List>
[[nodiscard]] constexpr int times_given(int quantity) {
  int count = 0;
  for (const int given : Wiring<List>::gives) count += given == quantity ? 1 : 0;
  return count;
}

/// Whether no port before this one of `gives` adds to the same quantity, in the order in which
/// parts run.
template <class List>
[[nodiscard]] constexpr bool gives_first(std::size_t port) {
  using Net = Wiring<List>;
  const auto part_of = [](std::size_t which) {
    std::size_t part = 0;
    while (which >= Net::Have::of_gives[part].begin + Net::Have::of_gives[part].size) ++part;
    return part;
  };
  const bool is_late = Net::late[part_of(port)];
  for (std::size_t other = 0; other < Net::gives.size(); ++other) {
    if (other == port || Net::gives[other] != Net::gives[port]) continue;
    const bool other_is_late = Net::late[part_of(other)];
    if (other_is_late == is_late ? other < port : is_late) return false;
  }
  return true;
}

template <class List>
[[nodiscard]] constexpr Fault fault_of_order() {
  using Net = Wiring<List>;
  using Have = typename Net::Have;
  constexpr Sizes kSizes = Net::kSizes;
  std::array<bool, static_cast<std::size_t>(kSizes.count())> given{};
  for (std::size_t p = 0; p < Net::late.size(); ++p) {
    const Range read = Have::of_reads[p];
    for (std::size_t r = read.begin; r < read.begin + read.size; ++r) {
      const int quantity = Net::reads[r];
      const bool is_given = kSizes.is_signal(quantity) || kSizes.is_own_rate(quantity);
      if (is_given && !given[static_cast<std::size_t>(quantity)]) return Fault::read_too_early;
      if (kSizes.is_own_rate(quantity) && times_given<List>(quantity) > 1) {
        return Fault::rate_in_parts;
      }
    }
    const Range give = Have::of_gives[p];
    for (std::size_t g = give.begin; g < give.begin + give.size; ++g) {
      const int quantity = Net::gives[g];
      if (Net::late[p] && quantity >= kSizes.force(0)) return Fault::force_too_late;
      given[static_cast<std::size_t>(quantity)] = true;
    }
  }
  return Fault::none;
}

template <class List>
[[nodiscard]] constexpr Fault fault_of() {
  using Net = Wiring<List>;
  using Have = typename Net::Have;
  constexpr Sizes kSizes = Net::kSizes;
  if (has_name_twice(Have::states) || has_name_twice(Have::signals) ||
      has_name_twice(Have::couplings) || has_name_twice(Have::switches) ||
      has_name_twice(Have::accounts)) {
    return Fault::name_twice;
  }
  if (!has_kinds_in_place<Have>()) return Fault::wrong_kind;
  for (std::size_t c = 0; c < Have::couplings.size(); ++c) {
    for (std::size_t k = 0; k < kMostJoined; ++k) {
      const bool named = !Have::couplings[c].joined[k].empty();
      if (named != (Net::joined_nodes[c][k] != kNone) || (k == 0 && !named)) {
        return Fault::unknown_node;
      }
    }
  }
  for (int s = 0; s < kSizes.signals; ++s) {
    if (times_given<List>(kSizes.signal(s)) != 1) return Fault::signal_not_once;
  }
  for (int s = kSizes.nodes; s < kSizes.states; ++s) {
    if (times_given<List>(kSizes.rate(s)) == 0) return Fault::state_without_rate;
  }
  for (int c = 0; c < kSizes.couplings; ++c) {
    const int both = times_given<List>(kSizes.capacity(c));
    const int low = times_given<List>(kSizes.low(c));
    const int high = times_given<List>(kSizes.high(c));
    if (!((both == 1 && low + high == 0) || (both == 0 && low == 1 && high == 1))) {
      return Fault::limits_not_once;
    }
  }
  const Fault fault = fault_of_order<List>();
  return fault == Fault::none && sees_too_late<List>() ? Fault::seen_too_late : fault;
}

}  // namespace part_plan

}  // namespace layshaft::parts
