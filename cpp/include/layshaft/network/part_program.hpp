#pragma once

/// The chain rule of a list of parts as a straight line of multiplications over the slopes of its
/// quantities, and hence which entries of the Jacobian may differ from zero: forward accumulation.
/// Source: A. Griewank and A. Walther, Evaluating Derivatives, 2nd ed., ch. 3 (from memory).

#include <array>
#include <cstddef>
#include <cstdint>

#include "layshaft/network/elimination_order.hpp"
#include "layshaft/network/part_plan.hpp"

namespace layshaft::parts {

/// One line of the chain rule: slope of `target` += factor * slope of `source`.
struct Line {
  enum class Factor : std::uint8_t {
    of_part,     ///< Slope of the part's value i in its input j.
    low,         ///< Weight of the lower limit of coupling i.
    high,        ///< Weight of its upper limit.
    side,        ///< Weight of its upper less that of its lower limit, for a capacity.
    push,        ///< What coupling i takes from node j.
    accelerate,  ///< Acceleration of node i per force on node j.
  } factor;
  int target;   ///< A slot, or an entry of the Jacobian (see `entry`).
  int source;   ///< Likewise; `kNone` for slope 1.
  int i, j;     ///< Of the factor.
  bool begins;  ///< Sets the target; else adds to it.
};

/// Entries of the Jacobian are numbered below `kNone`; column `columns - 1` is the slope in time.
[[nodiscard]] constexpr int entry(int row, int column, int columns) {
  return -2 - (row * columns + column);
}

/// The chain rule of a list as lines, part by part; of those, the first `Most` are kept.
template <class List, std::size_t Most>
class Program {
  using Net = Wiring<List>;
  using Have = typename Net::Have;
  static constexpr Sizes kSizes = Net::kSizes;
  static constexpr int kColumns = kSizes.states + 1;

 public:
  std::array<Line, Most> lines{};
  std::array<Range, Net::late.size()> of_parts{};
  Range of_network{};
  std::size_t count = 0;
  int slots = 0;  ///< Slopes that are not entries of the Jacobian.
  SparsityPattern<static_cast<std::size_t>(kSizes.states)> pattern{};

  constexpr Program() {
    for (auto& of_quantity : slot_) of_quantity.fill(kNone);
    for (std::size_t p = 0; p < Net::late.size(); ++p) {
      if (!Net::late[p]) carry_part(p);
    }
    of_network.begin = count;
    carry_network();
    of_network.size = count - of_network.begin;
    for (std::size_t p = 0; p < Net::late.size(); ++p) {
      if (Net::late[p]) carry_part(p);
    }
    for (int row = 0; row < kSizes.states; ++row) {
      for (int column = 0; column < kSizes.states; ++column) {
        pattern.filled[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)] =
            reaches(row, column);
      }
    }
    pattern.order = elimination_order(pattern);
  }

  /// Whether a row of the Jacobian was reached in a column; the last column is the slope in time.
  [[nodiscard]] constexpr bool reaches(int row, int column) const {
    return slot_of(kSizes.rate(row), column) != kNone;
  }

 private:
  using SlotRow = std::array<int, static_cast<std::size_t>(kColumns)>;
  std::array<SlotRow, static_cast<std::size_t>(kSizes.count())> slot_{};

  [[nodiscard]] constexpr int slot_of(int quantity, int column) const {
    return slot_[static_cast<std::size_t>(quantity)][static_cast<std::size_t>(column)];
  }

  // The slopes of `target` take those of `source`, times a factor, in every column.
  constexpr void carry(Line::Factor factor, int target, int source, int i, int j) {
    const bool variable = source <= kSizes.time();  // A state or the time: slope 1 in its column.
    for (int column = 0; column < kColumns; ++column) {
      const int from = slot_of(source, column);
      if (variable ? source != column : from == kNone) continue;
      int& to = slot_[static_cast<std::size_t>(target)][static_cast<std::size_t>(column)];
      const bool begins = to == kNone;
      if (begins) {
        to = kSizes.is_rate(target) ? entry(target - kSizes.rate(0), column, kColumns) : slots++;
      }
      if (count < Most) lines[count] = {factor, to, variable ? kNone : from, i, j, begins};
      ++count;
    }
  }

  [[nodiscard]] static constexpr bool is_needed(int quantity) {
    if (!kSizes.is_signal(quantity)) return true;
    for (const int read : Net::reads) {
      if (read == quantity) return true;
    }
    return false;
  }

  constexpr void carry_part(std::size_t part) {
    of_parts[part].begin = count;
    const Range read = Have::of_reads[part];
    const Range give = Have::of_gives[part];
    for (std::size_t g = 0; g < give.size; ++g) {
      // A signal that is only shown needs no slopes.
      if (!is_needed(Net::gives[give.begin + g])) continue;
      for (std::size_t r = 0; r < read.size; ++r) {
        carry(Line::Factor::of_part, Net::gives[give.begin + g], Net::reads[read.begin + r],
              static_cast<int>(g), static_cast<int>(r));
      }
    }
    of_parts[part].size = count - of_parts[part].begin;
  }

  constexpr void carry_network() {
    for (int c = 0; c < kSizes.couplings; ++c) {
      carry(Line::Factor::side, kSizes.sliding(c), kSizes.capacity(c), c, 0);
      carry(Line::Factor::low, kSizes.sliding(c), kSizes.low(c), c, 0);
      carry(Line::Factor::high, kSizes.sliding(c), kSizes.high(c), c, 0);
      for (const int node : Net::joined_nodes[static_cast<std::size_t>(c)]) {
        if (node != kNone) {
          carry(Line::Factor::push, kSizes.force(node), kSizes.sliding(c), c, node);
        }
      }
    }
    const auto meets = nodes_that_meet();
    for (int i = 0; i < kSizes.nodes; ++i) {
      for (int j = 0; j < kSizes.nodes; ++j) {
        if (meets[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)]) {
          carry(Line::Factor::accelerate, kSizes.rate(i), kSizes.force(j), i, j);
        }
      }
    }
  }

  // Which nodes a chain of couplings joins: a force on one may speed the other up.
  [[nodiscard]] static constexpr auto nodes_that_meet() {
    constexpr auto kNodes = static_cast<std::size_t>(kSizes.nodes);
    std::array<std::array<bool, kNodes>, kNodes> meets{};
    for (std::size_t i = 0; i < kNodes; ++i) meets[i][i] = true;
    for (const auto& row : Net::joined_nodes) {
      for (const int a : row) {
        for (const int b : row) {
          if (a != kNone && b != kNone) {
            meets[static_cast<std::size_t>(a)][static_cast<std::size_t>(b)] = true;
          }
        }
      }
    }
    for (std::size_t k = 0; k < kNodes; ++k) {
      for (std::size_t i = 0; i < kNodes; ++i) {
        for (std::size_t j = 0; j < kNodes; ++j) {
          meets[i][j] = meets[i][j] || (meets[i][k] && meets[k][j]);
        }
      }
    }
    return meets;
  }
};

}  // namespace layshaft::parts
