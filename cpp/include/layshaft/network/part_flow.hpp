#pragma once

/// How values go through a list of parts: what each reads, and where that goes which it gives. For
/// `assemble.hpp` alone.

#include <array>
#include <cstddef>
#include <tuple>
#include <utility>

#include "layshaft/network/network.hpp"
#include "layshaft/network/part_laws.hpp"
#include "layshaft/network/part_names.hpp"

namespace layshaft::parts {

/// Loads of the network, with what the parts worked out on the way.
template <class List, class Real>
struct AssemblyLoads : Loads<Real, Wiring<List>::kSizes.nodes, Wiring<List>::kSizes.couplings> {
  static constexpr Sizes kSizes = Wiring<List>::kSizes;
  std::array<Real, static_cast<std::size_t>(kSizes.signals)> signals;
  /// Rates of the states after the speeds, so far as no part needs an acceleration for them.
  std::array<Real, static_cast<std::size_t>(kSizes.states - kSizes.nodes)> rates;
};

/// What is known before the network is solved: nothing of it.
struct Unsolved {};

/// What is known once the network is solved; accounts take the torques of all couplings for both.
template <class Torques, class Accelerations>
struct Solved {
  const Torques& torques;
  const Accelerations& accelerations;
};
template <class Torques, class Accelerations>
Solved(const Torques&, const Accelerations&) -> Solved<Torques, Accelerations>;

template <class List>
struct PartFlow {
  using Net = Wiring<List>;
  using Have = typename Net::Have;
  template <int P>
  using PartOf = std::tuple_element_t<static_cast<std::size_t>(P), typename List::parts>;
  template <class Real>
  using Made = AssemblyLoads<List, Real>;
  template <class Real>
  using LawsOf = Laws<List, Real>;
  template <class Real>
  using ActivesOf = Actives<List, Real>;
  static constexpr Sizes kSizes = Net::kSizes;

  template <class Values>
  [[nodiscard]] static consteval std::size_t size_of(const Values&) {
    return std::tuple_size_v<Values>;
  }

  template <bool Late, class Do>
  [[gnu::always_inline]] static void each_part(const Do& act) {
    each_index<Have::kParts>([&]<int P>() __attribute__((always_inline)) {
      if constexpr (Net::late[P] == Late && Have::of_gives[P].size > 0) {
        act.template operator()<P>();
      }
    });
  }

  template <Range Ports>
  [[nodiscard]] static consteval bool sees_states_only() {
    for (std::size_t i = Ports.begin; i < Ports.begin + Ports.size; ++i) {
      if (Net::watches[i] > kSizes.time()) return false;
    }
    return true;
  }

  template <int P, class Real>
  [[nodiscard, gnu::always_inline]] static const auto& law_of(const LawsOf<Real>& laws) {
    return laws.template of<PartOf<P>>();
  }
  template <int P, class Real>
  [[nodiscard, gnu::always_inline]] static const auto& active_of(const ActivesOf<Real>& actives) {
    return actives.template of<PartOf<P>>();
  }

  template <int Quantity, class Real, class State, class Known>
  [[nodiscard, gnu::always_inline]] static Real value(const Real& time, const State& state,
                                                      const Made<Real>& made, const Known& known) {
    if constexpr (Quantity < kSizes.time()) {
      return state(Quantity);
    } else if constexpr (Quantity == kSizes.time()) {
      return time;
    } else if constexpr (kSizes.is_signal(Quantity)) {
      return made.signals[Quantity - kSizes.signal(0)];
    } else if constexpr (kSizes.is_own_rate(Quantity)) {
      return made.rates[Quantity - kSizes.rate(kSizes.nodes)];
    } else if constexpr (Quantity >= kSizes.high(0)) {
      return made.high(Quantity - kSizes.high(0));
    } else if constexpr (Quantity >= kSizes.low(0)) {
      return made.low(Quantity - kSizes.low(0));
    } else if constexpr (Quantity >= kSizes.force(0)) {
      return made.applied(Quantity - kSizes.force(0));
    } else if constexpr (kSizes.is_rate(Quantity)) {
      return known.accelerations(Quantity - kSizes.rate(0));
    } else {
      return known.torques(Quantity - kSizes.sliding(0));
    }
  }

  template <Range Ports, const auto& Quantities, class Real, class State, class Known>
  [[nodiscard, gnu::always_inline]] static auto read(const Real& time, const State& state,
                                                     const Made<Real>& made, const Known& known) {
    return [&]<std::size_t... I>(std::index_sequence<I...>) __attribute__((always_inline)) {
      return std::array<Real, Ports.size>{
          value<Quantities[Ports.begin + I]>(time, state, made, known)...};
    }(std::make_index_sequence<Ports.size>{});
  }

  template <int P, class Real, class State, class Known>
  [[nodiscard, gnu::always_inline]] static auto inputs(const Real& time, const State& state,
                                                       const Made<Real>& made, const Known& known) {
    return read<Have::of_reads[P], Net::reads>(time, state, made, known);
  }

  template <int P, class Coefficient, class X, std::size_t Reads>
  [[nodiscard, gnu::always_inline]] static auto run(const LawsOf<Coefficient>& laws,
                                                    const ActivesOf<Coefficient>& actives,
                                                    const std::array<X, Reads>& in) {
    const auto given = PartOf<P>::run(law_of<P>(laws), active_of<P>(actives), in);
    static_assert(size_of(given) == Have::of_gives[P].size,
                  "`run` gives one value for each of `gives`");
    return given;
  }

  template <int P, class Real, std::size_t Size>
  [[gnu::always_inline]] static void give_all(const std::array<Real, Size>& given,
                                              Made<Real>& made) {
    each_index<static_cast<int>(Size)>([&]<int G>() __attribute__((always_inline)) {
      give<Have::of_gives[P].begin + G>(given[G], made);
    });
  }

  // The first giver of a sum sets it, so that nothing has to be zeroed before.
  template <std::size_t Given, class Real>
  [[gnu::always_inline]] static void give(const Real& value, Made<Real>& made) {
    constexpr int kQuantity = Net::gives[Given];
    const auto add = [&value](Real& sum) __attribute__((always_inline)) {
      if constexpr (part_plan::gives_first<List>(Given))
        sum = value;
      else
        sum += value;
    };
    if constexpr (kSizes.is_signal(kQuantity)) {
      made.signals[kQuantity - kSizes.signal(0)] = value;
    } else if constexpr (kSizes.is_rate(kQuantity)) {
      add(made.rates[kQuantity - kSizes.rate(kSizes.nodes)]);
    } else if constexpr (kQuantity < kSizes.low(0)) {
      add(made.applied(kQuantity - kSizes.force(0)));
    } else {
      set_limit<kQuantity>(value, made);
    }
  }

  template <int Quantity, class Real, class Limits>
  [[gnu::always_inline]] static void set_limit(const Real& value, Limits& limits) {
    if constexpr (Quantity >= kSizes.capacity(0)) {
      limits.low(Quantity - kSizes.capacity(0)) = -value;
      limits.high(Quantity - kSizes.capacity(0)) = value;
    } else if constexpr (Quantity >= kSizes.high(0)) {
      limits.high(Quantity - kSizes.high(0)) = value;
    } else {
      limits.low(Quantity - kSizes.low(0)) = value;
    }
  }

  // Nodes on which no part gives a force.
  template <class Real>
  [[gnu::always_inline]] static void rest_free_nodes(Made<Real>& made) {
    each_index<kSizes.nodes>([&]<int J>() __attribute__((always_inline)) {
      if constexpr (part_plan::times_given<List>(kSizes.force(J)) == 0) {
        made.applied(J) = Real(0.0);
      }
    });
  }

  /// Torques of the sliding couplings, and the forces on the nodes with them.
  template <class Frozen, class Loads, class Sliding, class Force>
  static void push(const Frozen& frozen, const Loads& loads, Sliding& sliding, Force& force) {
    for (int j = 0; j < kSizes.nodes; ++j) force(j) = loads.applied(j);
    each_index<kSizes.couplings>([&]<int C>() __attribute__((always_inline)) {
      sliding(C) = frozen.low_weight(C) * loads.low(C) + frozen.high_weight(C) * loads.high(C);
      each_index<kMostJoined>([&]<int K>() __attribute__((always_inline)) {
        constexpr int kNode = Net::joined_nodes[C][K];
        if constexpr (kNode != kNone) force(kNode) -= frozen.push(C, kNode) * sliding(C);
      });
    });
  }
};

}  // namespace layshaft::parts
