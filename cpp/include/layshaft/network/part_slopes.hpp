#pragma once

/// The exact Jacobian of a list of parts: each part on dual numbers, its slopes carried on by the
/// chain rule that the compiler has worked out (`part_program.hpp`). For `assemble.hpp` alone.

#include <array>
#include <cstddef>

#include "layshaft/network/part_flow.hpp"
#include "layshaft/network/part_program.hpp"
#include "layshaft/network/plant.hpp"
#include "layshaft/number/columns.hpp"
#include "layshaft/number/dual.hpp"

namespace layshaft::parts {

template <class List>
class PartSlopes {
  using Flow = PartFlow<List>;
  using Net = typename Flow::Net;
  using Have = typename Flow::Have;
  template <class Real>
  using Made = typename Flow::template Made<Real>;
  template <class Real>
  using LawsOf = typename Flow::template LawsOf<Real>;
  template <class Real>
  using ActivesOf = typename Flow::template ActivesOf<Real>;
  static constexpr Sizes kSizes = Net::kSizes;
  static constexpr int kNodes = kSizes.nodes;
  static constexpr int kStates = kSizes.states;
  static constexpr int kCouplings = kSizes.couplings;
  static constexpr Program<List, Program<List, 0>{}.count> kProgram{};

 public:
  /// Which entries may differ from zero, and an order of elimination.
  [[nodiscard]] static constexpr auto pattern() { return kProgram.pattern; }

  /// Sets the filled entries of the Jacobian of all rates, and their slopes in time.
  template <class Coefficient, class Frozen, class Real, class State, class Jacobian, class Slope>
  static void linearise(const LawsOf<Coefficient>& laws, const ActivesOf<Coefficient>& actives,
                        const Frozen& frozen, const Real& time, const State& state,
                        Jacobian& jacobian, Slope& time_slope) {
    std::array<Real, kProgram.slots> own;
    const Slopes<Real, Jacobian, Slope> slopes{own, jacobian, time_slope};
    Made<Real> made;
    Flow::rest_free_nodes(made);
    const auto take = [&]<int P>(const auto& solved) __attribute__((always_inline)) {
      const auto results =
          Flow::template run<P>(laws, actives, variables<P>(time, state, made, solved));
      Flow::template give_all<P>(values_of<Real>(results), made);
      if constexpr (Have::of_reads[P].size > 0) {
        each_line<kProgram.of_parts[P]>([&]<int L>() __attribute__((always_inline)) {
          constexpr Line kLine = kProgram.lines[L];
          slopes.template add<L>(results[kLine.i].slopes[kLine.j]);
        });
      }
    };
    Flow::template each_part<false>(
        [&]<int P>() __attribute__((always_inline)) { take.template operator()<P>(Unsolved{}); });
    each_line<kProgram.of_network>([&]<int L>() __attribute__((always_inline)) {
      slopes.template add<L>(factor<L, Real>(frozen));
    });
    Column<Real, kCouplings> sliding;
    Column<Real, kNodes> force;
    Flow::push(frozen, made, sliding, force);
    const auto accelerations = times<kNodes, kNodes, Real>(frozen.accelerate, force);
    const Solved solved{sliding, accelerations};
    Flow::template each_part<true>(
        [&]<int P>() __attribute__((always_inline)) { take.template operator()<P>(solved); });
    for (int row = 0; row < kStates; ++row) {
      if (!kProgram.reaches(row, kStates)) time_slope(row) = Real(0.0);
    }
  }

 private:
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

  template <Range Lines, class Do>
  [[gnu::always_inline]] static void each_line(const Do& act) {
    each_index<static_cast<int>(Lines.size)>([&]<int L>() __attribute__((always_inline)) {
      act.template operator()<static_cast<int>(Lines.begin) + L>();
    });
  }

  // The inputs as variables of dual numbers; plain where there is none.
  template <int P, class Real, class State, class Known>
  [[nodiscard, gnu::always_inline]] static auto variables(const Real& time, const State& state,
                                                          const Made<Real>& made,
                                                          const Known& known) {
    const auto in = Flow::template inputs<P>(time, state, made, known);
    constexpr std::size_t kReads = Have::of_reads[P].size;
    if constexpr (kReads == 0) {
      return in;
    } else {
      return Dual<Real, kReads>::variables(in);
    }
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
};

}  // namespace layshaft::parts
