#pragma once

/// A plant's equations from a list of parts: loads, limits at rest, rates, accounts, and the exact
/// Jacobian, for any number type.
///
///     struct Winch { using parts = std::tuple<Motor, Drum, Load>; };
///     using WinchParts = parts::Assembly<Winch>;
///     constexpr int drum = WinchParts::state("drum");
///
/// Forces on a node are summed in the order of the list, so the order decides the last bits.
/// Nothing allocates, nothing is virtual, and every index is a constant.

#include <array>
#include <cstddef>
#include <string_view>
#include <tuple>
#include <type_traits>
#include <utility>

#include "layshaft/network/network.hpp"
#include "layshaft/network/part_faults.hpp"
#include "layshaft/network/part_plan.hpp"
#include "layshaft/network/plant.hpp"
#include "layshaft/number/columns.hpp"
#include "layshaft/number/dual.hpp"

namespace layshaft::parts {

// One base for each part, so that two parts may share a type of law; of no size where the part has
// no numbers.
template <class Part, class Real, class Law = typename Part::template Law<Real>>
struct LawOf {
  Law law;
};
template <class Part, class Real, class Law>
  requires std::is_empty_v<Law>
struct LawOf<Part, Real, Law> {
  static constexpr Law law{};
};
template <class Part, class Real, class Active = typename Part::template Active<Real>>
struct ActiveOf {
  Active active;
};
template <class Part, class Real, class Active>
  requires std::is_empty_v<Active>
struct ActiveOf<Part, Real, Active> {
  static constexpr Active active{};
};

namespace assemble {

template <class Tuple, class Real>
struct LawPack;
template <class... Each, class Real>
struct LawPack<std::tuple<Each...>, Real> : LawOf<Each, Real>... {};
template <class Tuple, class Real>
struct ActivePack;
template <class... Each, class Real>
struct ActivePack<std::tuple<Each...>, Real> : ActiveOf<Each, Real>... {};

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

}  // namespace assemble

/// Coefficients of all parts of a list; `of<Part>()` is that of one.
template <class List, class Real>
struct Laws : assemble::LawPack<typename List::parts, Real> {
  template <class Part>
  [[nodiscard]] auto& of() {
    return static_cast<LawOf<Part, Real>&>(*this).law;
  }
  template <class Part>
  [[nodiscard]] const auto& of() const {
    return static_cast<const LawOf<Part, Real>&>(*this).law;
  }
};

/// The frozen switches of all parts.
template <class List, class Real>
struct Actives : assemble::ActivePack<typename List::parts, Real> {
  template <class Part>
  [[nodiscard]] auto& of() {
    return static_cast<ActiveOf<Part, Real>&>(*this).active;
  }
  template <class Part>
  [[nodiscard]] const auto& of() const {
    return static_cast<const ActiveOf<Part, Real>&>(*this).active;
  }
};

/// Loads of the network, with what the parts worked out on the way.
template <class List, class Real>
struct AssemblyLoads : Loads<Real, Wiring<List>::kSizes.nodes, Wiring<List>::kSizes.couplings> {
  static constexpr Sizes kSizes = Wiring<List>::kSizes;
  std::array<Real, static_cast<std::size_t>(kSizes.signals)> signals;
  /// Rates of the states after the speeds, so far as no part needs an acceleration for them.
  std::array<Real, static_cast<std::size_t>(kSizes.states - kSizes.nodes)> rates;
};

/// Where the nodes, couplings and switches of a part stand in the lists of all.
struct PartPlaces {
  Range nodes, couplings, switches;
};

template <class List>
class Assembly {
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

  // Every name is known, or the message shows the part and the name.
  static constexpr part_plan::Unknown kUnknown = part_plan::first_unknown<List>();
  static constexpr bool kKnowsNames = [] {
    if constexpr (kUnknown.part == kNone)
      return true;
    else
      return sizeof(assemble::Named<PartOf<kUnknown.part>, assemble::Text(kUnknown.name)>) > 0;
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
  using Pattern = SparsityPattern<static_cast<std::size_t>(kStates)>;

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

  /// Which entries of the Jacobian may differ from zero, and an order of elimination.
  [[nodiscard]] static constexpr Pattern jacobian_pattern() { return kProgram.pattern; }

  /// Nodes that a coupling joins; `kNone` where there are fewer.
  [[nodiscard]] static constexpr std::array<int, kMostJoined> nodes_of(int coupling) {
    return Net::joined_nodes[static_cast<std::size_t>(coupling)];
  }

  /// Applied torques, sliding limits, signals and early rates; `state` is anything with `state(i)`.
  template <class Coefficient, class Real, class State>
  [[nodiscard]] static Made<Real> loads(const LawsOf<Coefficient>& laws,
                                        const ActivesOf<Coefficient>& actives, const Real& time,
                                        const State& state) {
    Made<Real> made;
    rest_free_nodes(made);
    each_part<false>([&]<int P>() __attribute__((always_inline)) {
      give_all<P>(run<P>(laws, actives, inputs<P>(time, state, made, Unsolved{})), made);
    });
    return made;
  }

  /// Rates of the states after the speeds, into `rates(i)`. `sliding` has the torques of the
  /// couplings that slide, 0 elsewhere. What is known only now is added to the loads, `made`.
  template <class Coefficient, class Real, class State, class Sliding, class Accelerations,
            class Rates>
  static void auxiliary_rates(const LawsOf<Coefficient>& laws,
                              const ActivesOf<Coefficient>& actives, const Real& time,
                              const State& state, Made<Real>& made, const Sliding& sliding,
                              const Accelerations& accelerations, Rates& rates) {
    const Solved solved{sliding, accelerations};
    each_part<true>([&]<int P>() __attribute__((always_inline)) {
      give_all<P>(run<P>(laws, actives, inputs<P>(time, state, made, solved)), made);
    });
    for (int i = kNodes; i < kStates; ++i) {
      rates(i) = made.rates[static_cast<std::size_t>(i - kNodes)];
    }
  }

  /// Sets `hold`, which has the sliding limits, to what the couplings can carry at rest.
  template <class Coefficient, class Real, class State, class Hold>
  static void raise_to_hold_limits(const LawsOf<Coefficient>& laws,
                                   const ActivesOf<Coefficient>& actives, const Real& time,
                                   const State& state, const Made<Real>& early, Hold& hold) {
    each_index<Have::kParts>([&]<int P>() __attribute__((always_inline)) {
      constexpr Range kHolds = Have::of_holds[P];
      if constexpr (kHolds.size > 0) {
        const auto limits = PartOf<P>::hold(law_of<P>(laws), active_of<P>(actives),
                                            inputs<P>(time, state, early, Unsolved{}));
        static_assert(size_of(limits) == kHolds.size, "`hold` gives one limit for each of `holds`");
        each_index<kHolds.size>([&]<int H>() __attribute__((always_inline)) {
          set_limit<Net::holds[kHolds.begin + H]>(limits[H], hold);
        });
      }
    });
  }

  /// Rates of the accounts; `torques` has those of all couplings, sliding or stuck.
  template <class Coefficient, class Real, class State, class Torques>
  [[nodiscard]] static std::array<Real, kAccounts> account_rates(const LawsOf<Coefficient>& laws,
                                                                 const Real& time,
                                                                 const State& state,
                                                                 const Made<Real>& early,
                                                                 const Torques& torques) {
    std::array<Real, kAccounts> rates;
    rates.fill(Real(0.0));
    const Solved solved{torques, torques};
    each_index<Have::kParts>([&]<int P>() __attribute__((always_inline)) {
      constexpr Range kBooks = Have::of_books[P];
      if constexpr (kBooks.size > 0) {
        const auto booked = PartOf<P>::book(
            law_of<P>(laws), read<Have::of_sees[P], Net::sees>(time, state, early, solved));
        static_assert(size_of(booked) == kBooks.size, "`book` gives one value for each of `books`");
        for (std::size_t b = 0; b < kBooks.size; ++b) {
          rates[static_cast<std::size_t>(Net::books[kBooks.begin + b])] += booked[b];
        }
      }
    });
    return rates;
  }

  /// Guards of all switches [-]: positive while their positions hold.
  template <class Coefficient, class Real, class State>
  [[nodiscard]] static std::array<Real, kSwitches> guards(const LawsOf<Coefficient>& laws,
                                                          const ActivesOf<Coefficient>& actives,
                                                          const Real& time, const State& state,
                                                          const Made<Real>& early) {
    std::array<Real, kSwitches> values;
    each_index<Have::kParts>([&]<int P>() __attribute__((always_inline)) {
      constexpr Range kOwn = Have::of_switches[P];
      if constexpr (kOwn.size > 0) {
        const auto own = PartOf<P>::guard(
            law_of<P>(laws), active_of<P>(actives),
            read<Have::of_watches[P], Net::watches>(time, state, early, Unsolved{}));
        static_assert(size_of(own) == kOwn.size, "`guard` gives one value for each of `switches`");
        for (std::size_t k = 0; k < kOwn.size; ++k) values[kOwn.begin + k] = own[k];
      }
    });
    return values;
  }

  /// Guard of one switch: without the loads where its part sees states and the time only.
  template <class State>
  [[nodiscard]] static double guard(int which, const LawsOf<double>& laws,
                                    const ActivesOf<double>& actives, double time,
                                    const State& state) {
    double value = 0.0;
    each_index<Have::kParts>([&]<int P>() {
      constexpr Range kOwn = Have::of_switches[P];
      const auto at = static_cast<std::size_t>(which);
      if constexpr (kOwn.size > 0) {
        if (at < kOwn.begin || at >= kOwn.begin + kOwn.size) return;
        const auto seen = [&] {
          if constexpr (sees_states_only<Have::of_watches[P]>()) {
            return read<Have::of_watches[P], Net::watches>(time, state, Made<double>{}, Unsolved{});
          } else {
            return read<Have::of_watches[P], Net::watches>(
                time, state, loads(laws, actives, time, state), Unsolved{});
          }
        }();
        value = PartOf<P>::guard(law_of<P>(laws), active_of<P>(actives), seen)[at - kOwn.begin];
      }
    });
    return value;
  }

  /// Slip of a coupling from the speeds; `row(k)` is its entry at the k-th of the nodes joined.
  template <int C, class Row, class State>
  [[nodiscard, gnu::always_inline]] static auto slip(const Row& row, const State& state) {
    constexpr auto kJoined = Net::joined_nodes[C];
    auto sum = row(0) * state(kJoined[0]);
    each_index<kMostJoined - 1>([&]<int K>() __attribute__((always_inline)) {
      if constexpr (kJoined[K + 1] != kNone) sum += row(K + 1) * state(kJoined[K + 1]);
    });
    return sum;
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

  /// Sets the filled entries of the Jacobian of all rates, and their slopes in time.
  template <class Coefficient, class Frozen, class Real, class State, class Jacobian, class Slope>
  static void linearise(const LawsOf<Coefficient>& laws, const ActivesOf<Coefficient>& actives,
                        const Frozen& frozen, const Real& time, const State& state,
                        Jacobian& jacobian, Slope& time_slope) {
    std::array<Real, kProgram.slots> own;
    const Slopes<Real, Jacobian, Slope> slopes{own, jacobian, time_slope};
    Made<Real> made;
    rest_free_nodes(made);
    const auto take = [&]<int P>(const auto& solved) __attribute__((always_inline)) {
      const auto results = run<P>(laws, actives, variables<P>(time, state, made, solved));
      give_all<P>(values_of<Real>(results), made);
      if constexpr (Have::of_reads[P].size > 0) {
        each_line<kProgram.of_parts[P]>([&]<int L>() __attribute__((always_inline)) {
          constexpr Line kLine = kProgram.lines[L];
          slopes.template add<L>(results[kLine.i].slopes[kLine.j]);
        });
      }
    };
    each_part<false>(
        [&]<int P>() __attribute__((always_inline)) { take.template operator()<P>(Unsolved{}); });
    each_line<kProgram.of_network>([&]<int L>() __attribute__((always_inline)) {
      slopes.template add<L>(factor<L, Real>(frozen));
    });
    Column<Real, kCouplings> sliding;
    Column<Real, kNodes> force;
    push(frozen, made, sliding, force);
    const auto accelerations = times<kNodes, kNodes, Real>(frozen.accelerate, force);
    const Solved solved{sliding, accelerations};
    each_part<true>([&]<int P>()
                        __attribute__((always_inline)) { take.template operator()<P>(solved); });
    for (int row = 0; row < kStates; ++row) {
      if (!kProgram.reaches(row, kStates)) time_slope(row) = Real(0.0);
    }
  }

  /// Torques of the sliding couplings, and the forces on the nodes with them.
  template <class Frozen, class Loads, class Sliding, class Force>
  static void push(const Frozen& frozen, const Loads& loads, Sliding& sliding, Force& force) {
    for (int j = 0; j < kNodes; ++j) force(j) = loads.applied(j);
    each_index<kCouplings>([&]<int C>() __attribute__((always_inline)) {
      sliding(C) = frozen.low_weight(C) * loads.low(C) + frozen.high_weight(C) * loads.high(C);
      each_index<kMostJoined>([&]<int K>() __attribute__((always_inline)) {
        constexpr int kNode = Net::joined_nodes[C][K];
        if constexpr (kNode != kNone) force(kNode) -= frozen.push(C, kNode) * sliding(C);
      });
    });
  }

 private:
  static constexpr Program<List, Program<List, 0>{}.count> kProgram{};

  struct Unsolved {};
  // What is known once the network is solved; accounts take the torques of all couplings for both.
  template <class Torques, class Accelerations>
  struct Solved {
    const Torques& torques;
    const Accelerations& accelerations;
  };
  template <class Torques, class Accelerations>
  Solved(const Torques&, const Accelerations&) -> Solved<Torques, Accelerations>;

  // Where each slope stands: of the car's own, or an entry of the Jacobian or of the time's slopes.
  template <class Real, class Jacobian, class Slope>
  struct Slopes {
    std::array<Real, kProgram.slots>& own;
    Jacobian& jacobian;
    Slope& time_slope;

    template <int Slot>
    [[nodiscard, gnu::always_inline]] auto& at() const {
      constexpr int kEntry = entry(0, 0, 0) - Slot;
      constexpr int kRow = kEntry / (kStates + 1);
      constexpr int kColumn = kEntry % (kStates + 1);
      if constexpr (Slot >= 0) {
        return own[Slot];
      } else if constexpr (kColumn == kStates) {
        return time_slope(kRow);
      } else {
        return jacobian(kRow, kColumn);
      }
    }

    template <int L>
    [[gnu::always_inline]] void add(const Real& factor) const {
      constexpr Line kLine = kProgram.lines[L];
      auto& target = at<kLine.target>();
      if constexpr (kLine.source == kNone) {
        if constexpr (kLine.begins)
          target = factor;
        else
          target += factor;
      } else {
        if constexpr (kLine.begins)
          target = factor * at<kLine.source>();
        else
          target += factor * at<kLine.source>();
      }
    }
  };

  [[nodiscard]] static consteval int known(int place) {
    if (place == kNone) throw "no part of the list brings this name in";
    return place;
  }

  template <class Values>
  [[nodiscard]] static consteval std::size_t size_of(const Values&) {
    return std::tuple_size_v<Values>;
  }

  template <int Count, class Do>
  [[gnu::always_inline]] static void each_index(const Do& act) {
    [&]<int... I>(std::integer_sequence<int, I...>) __attribute__((always_inline)) {
      (act.template operator()<I>(), ...);
    }(std::make_integer_sequence<int, Count>{});
  }
  template <bool Late, class Do>
  [[gnu::always_inline]] static void each_part(const Do& act) {
    each_index<Have::kParts>([&]<int P>() __attribute__((always_inline)) {
      if constexpr (Net::late[P] == Late && Have::of_gives[P].size > 0) {
        act.template operator()<P>();
      }
    });
  }
  template <Range Lines, class Do>
  [[gnu::always_inline]] static void each_line(const Do& act) {
    each_index<static_cast<int>(Lines.size)>([&]<int L>() __attribute__((always_inline)) {
      act.template operator()<static_cast<int>(Lines.begin) + L>();
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
      return made.rates[Quantity - kSizes.rate(kNodes)];
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

  // The inputs as variables of dual numbers; plain where there is none.
  template <int P, class Real, class State, class Known>
  [[nodiscard, gnu::always_inline]] static auto variables(const Real& time, const State& state,
                                                          const Made<Real>& made,
                                                          const Known& known) {
    const auto in = inputs<P>(time, state, made, known);
    constexpr std::size_t kReads = Have::of_reads[P].size;
    if constexpr (kReads == 0) {
      return in;
    } else {
      return Dual<Real, kReads>::variables(in);
    }
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

  template <class Real, class X, std::size_t Size>
  [[nodiscard, gnu::always_inline]] static std::array<Real, Size> values_of(
      const std::array<X, Size>& results) {
    std::array<Real, Size> values;
    for (std::size_t i = 0; i < Size; ++i) {
      if constexpr (requires { results[i].value; })
        values[i] = results[i].value;
      else
        values[i] = results[i];
    }
    return values;
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
      add(made.rates[kQuantity - kSizes.rate(kNodes)]);
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

  template <int L, class Real, class Frozen>
  [[nodiscard, gnu::always_inline]] static Real factor(const Frozen& frozen) {
    using enum Line::Factor;
    constexpr Line kLine = kProgram.lines[L];
    if constexpr (kLine.factor == low) return frozen.low_weight(kLine.i);
    if constexpr (kLine.factor == high) return frozen.high_weight(kLine.i);
    if constexpr (kLine.factor == side) {
      return frozen.high_weight(kLine.i) - frozen.low_weight(kLine.i);
    }
    if constexpr (kLine.factor == Line::Factor::push) return -frozen.push(kLine.i, kLine.j);
    if constexpr (kLine.factor == accelerate) return frozen.accelerate(kLine.i, kLine.j);
  }

  // Nodes on which no part gives a force.
  template <class Real>
  [[gnu::always_inline]] static void rest_free_nodes(Made<Real>& made) {
    each_index<kNodes>([&]<int J>() __attribute__((always_inline)) {
      if constexpr (part_plan::times_given<List>(kSizes.force(J)) == 0) {
        made.applied(J) = Real(0.0);
      }
    });
  }
};

}  // namespace layshaft::parts
