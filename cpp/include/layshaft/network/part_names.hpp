#pragma once

/// What a list of parts brings in: how many of what, and the place of each name.
///
///     struct Winch { using parts = std::tuple<Motor, Drum, Load>; };
///     constexpr int drum = parts::PartNames<Winch>::state("drum");
///
/// A list that does not fit together is one message of the compiler here.

#include <array>
#include <cstddef>
#include <string_view>
#include <tuple>
#include <utility>

#include "layshaft/network/part_faults.hpp"
#include "layshaft/network/part_plan.hpp"

namespace layshaft::parts {

namespace part_plan {

/// A name as a template's argument, for messages.
struct Text {
  char letters[48]{};
  constexpr explicit Text(std::string_view name) {
    for (std::size_t i = 0; i < name.size() && i + 1 < sizeof(letters); ++i) letters[i] = name[i];
  }
};

/// Instantiated for a name that is not known only.
template <class Part, Text Name>
struct Named {
  static_assert(sizeof(Part) == 0,
                "a part reads or gives a name that no part of the list brings in");
};

}  // namespace part_plan

/// Where the nodes, couplings and switches of a part stand in the lists of all.
struct PartPlaces {
  Range nodes, couplings, switches;
};

/// Calls `act.operator()<number>()` for each number below `Count`.
template <int Count, class Do>
[[gnu::always_inline]] inline void each_index(const Do& act) {
  [&]<int... I>(std::integer_sequence<int, I...>) __attribute__((always_inline)) {
    (act.template operator()<I>(), ...);
  }(std::make_integer_sequence<int, Count>{});
}

template <class List>
class PartNames {
  using Net = Wiring<List>;
  using Have = typename Net::Have;
  template <int P>
  using PartOf = std::tuple_element_t<static_cast<std::size_t>(P), typename List::parts>;
  static constexpr Sizes kSizes = Net::kSizes;

  // Every name is known, or the message shows the part and the name.
  static constexpr part_plan::Unknown kUnknown = part_plan::first_unknown<List>();
  static constexpr bool kKnowsNames = [] {
    if constexpr (kUnknown.part == kNone)
      return true;
    else
      return sizeof(part_plan::Named<PartOf<kUnknown.part>, part_plan::Text(kUnknown.name)>) > 0;
  }();
  using Fault = part_plan::Fault;
  static constexpr Fault kFault = kKnowsNames ? part_plan::fault_of<List>() : Fault::none;
  static_assert(kFault != Fault::name_twice, "two parts bring in the same name");
  static_assert(kFault != Fault::wrong_kind, "a port stands in a list that does not take its kind");
  static_assert(kFault != Fault::unknown_node, "a coupling joins a node that no part brings in");
  static_assert(kFault != Fault::read_too_early, "a signal or rate is read before it is given");
  static_assert(kFault != Fault::rate_in_parts, "a rate is read to which several parts add");
  static_assert(kFault != Fault::signal_not_once, "a signal is given by no part, or by two");
  static_assert(kFault != Fault::state_without_rate, "a state has no part that gives its rate");
  static_assert(kFault != Fault::limits_not_once, "a coupling's limits are not given, or twice");
  static_assert(kFault != Fault::seen_too_late,
                "limits at rest, accounts or guards see what is known once the network is solved");
  static_assert(kFault != Fault::force_too_late,
                "a part that reads an acceleration or a sliding torque gives a force or a limit");

 public:
  static constexpr int kNodes = kSizes.nodes;
  static constexpr int kStates = kSizes.states;
  static constexpr int kSignals = kSizes.signals;
  static constexpr int kCouplings = kSizes.couplings;
  static constexpr int kAccounts = kSizes.accounts;
  static constexpr int kSwitches = static_cast<int>(Have::switches.size());

  static constexpr const auto& kStateRows = Have::states;
  static constexpr const auto& kSignalRows = Have::signals;
  static constexpr const auto& kCouplingRows = Have::couplings;
  static constexpr const auto& kAccountRows = Have::accounts;
  static constexpr const auto& kSwitchRows = Have::switches;

  /// Whether a signal is known only once the network is solved.
  [[nodiscard]] static constexpr bool is_late_signal(int which) {
    return part_plan::is_given_late<List>(kSizes.signal(which));
  }

  /// Place of a name; one that no part brings in does not compile.
  [[nodiscard]] static consteval int state(std::string_view name) {
    return known(place_of(Have::states, name));
  }
  [[nodiscard]] static consteval int signal(std::string_view name) {
    return known(place_of(Have::signals, name));
  }
  [[nodiscard]] static consteval int coupling(std::string_view name) {
    return known(place_of(Have::couplings, name));
  }
  [[nodiscard]] static consteval int account(std::string_view name) {
    return known(place_of(Have::accounts, name));
  }
  [[nodiscard]] static consteval int plant_switch(std::string_view name) {
    return known(place_of(Have::switches, name));
  }

  /// Nodes that a coupling joins; `kNone` where there are fewer.
  [[nodiscard]] static constexpr std::array<int, kMostJoined> nodes_of(int coupling) {
    return Net::joined_nodes[static_cast<std::size_t>(coupling)];
  }

  /// Calls `act.operator()<coupling>()` for each coupling.
  template <class Do>
  [[gnu::always_inline]] static void for_each_coupling(const Do& act) {
    each_index<kCouplings>(act);
  }

  /// Calls `act.operator()<Part, places>()` for each part.
  template <class Do>
  static void for_each_part(const Do& act) {
    each_index<Have::kParts>([&]<int P>() {
      act.template operator()<PartOf<P>, PartPlaces{Have::of_nodes[P], Have::of_couplings[P],
                                                    Have::of_switches[P]}>();
    });
  }

 private:
  [[nodiscard]] static consteval int known(int place) {
    if (place == kNone) throw "no part of the list brings this name in";
    return place;
  }
};

}  // namespace layshaft::parts
