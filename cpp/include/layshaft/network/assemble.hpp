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

#include "layshaft/network/part_flow.hpp"
#include "layshaft/network/part_names.hpp"
#include "layshaft/network/part_slopes.hpp"

namespace layshaft::parts {

template <class List>
class Assembly : public PartNames<List>, PartFlow<List>, PartSlopes<List> {
  using Flow = PartFlow<List>;
  using Net = typename Flow::Net;
  using Have = typename Flow::Have;
  template <int P>
  using PartOf = typename Flow::template PartOf<P>;
  template <class Real>
  using Made = typename Flow::template Made<Real>;
  template <class Real>
  using LawsOf = typename Flow::template LawsOf<Real>;
  template <class Real>
  using ActivesOf = typename Flow::template ActivesOf<Real>;

 public:
  using PartNames<List>::kNodes;
  using PartNames<List>::kStates;
  using PartNames<List>::kCouplings;
  using PartNames<List>::kAccounts;
  using PartNames<List>::kSwitches;
  using Flow::push;
  using PartSlopes<List>::linearise;

  /// Which entries of the Jacobian may differ from zero, and an order of elimination.
  [[nodiscard]] static constexpr auto jacobian_pattern() { return PartSlopes<List>::pattern(); }

  /// Applied torques, sliding limits, signals and early rates; `state` is anything with `state(i)`.
  template <class Coefficient, class Real, class State>
  [[nodiscard]] static Made<Real> loads(const LawsOf<Coefficient>& laws,
                                        const ActivesOf<Coefficient>& actives, const Real& time,
                                        const State& state) {
    Made<Real> made;
    Flow::rest_free_nodes(made);
    Flow::template each_part<false>([&]<int P>() __attribute__((always_inline)) {
      Flow::template give_all<P>(
          Flow::template run<P>(laws, actives,
                                Flow::template inputs<P>(time, state, made, Unsolved{})),
          made);
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
    Flow::template each_part<true>([&]<int P>() __attribute__((always_inline)) {
      Flow::template give_all<P>(
          Flow::template run<P>(laws, actives, Flow::template inputs<P>(time, state, made, solved)),
          made);
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
        const auto limits =
            PartOf<P>::hold(Flow::template law_of<P>(laws), Flow::template active_of<P>(actives),
                            Flow::template inputs<P>(time, state, early, Unsolved{}));
        static_assert(Flow::size_of(limits) == kHolds.size,
                      "`hold` gives one limit for each of `holds`");
        each_index<kHolds.size>([&]<int H>() __attribute__((always_inline)) {
          Flow::template set_limit<Net::holds[kHolds.begin + H]>(limits[H], hold);
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
            Flow::template law_of<P>(laws),
            Flow::template read<Have::of_sees[P], Net::sees>(time, state, early, solved));
        static_assert(Flow::size_of(booked) == kBooks.size,
                      "`book` gives one value for each of `books`");
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
            Flow::template law_of<P>(laws), Flow::template active_of<P>(actives),
            Flow::template read<Have::of_watches[P], Net::watches>(time, state, early, Unsolved{}));
        static_assert(Flow::size_of(own) == kOwn.size,
                      "`guard` gives one value for each of `switches`");
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
          if constexpr (Flow::template sees_states_only<Have::of_watches[P]>()) {
            return Flow::template read<Have::of_watches[P], Net::watches>(
                time, state, Made<double>{}, Unsolved{});
          } else {
            return Flow::template read<Have::of_watches[P], Net::watches>(
                time, state, loads(laws, actives, time, state), Unsolved{});
          }
        }();
        value = PartOf<P>::guard(Flow::template law_of<P>(laws),
                                 Flow::template active_of<P>(actives), seen)[at - kOwn.begin];
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
};

}  // namespace layshaft::parts
