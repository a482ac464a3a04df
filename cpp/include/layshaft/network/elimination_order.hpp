#pragma once

/// In which order the unknowns of a sparse matrix are eliminated so that little fills in.
///
/// Each time that unknown is taken whose row and column hold the fewest other entries, counted
/// (row - 1)(column - 1), on the pattern as filled in so far; among equals the one that waits for
/// the shortest chain of earlier ones, so that the processor can work on several at a time. Source:
/// H. M. Markowitz, The elimination form of the inverse, Management Science 3 (1957) 255 (from
/// memory), with pivots from the diagonal only.

#include <algorithm>
#include <array>
#include <cstddef>

#include "layshaft/network/sparse_lu.hpp"

namespace layshaft {

namespace elimination_order_detail {

template <std::size_t Size>
struct Remaining {
  std::array<std::array<bool, Size>, Size> filled;
  std::array<bool, Size> gone{};
  std::array<std::size_t, Size> chain{};

  [[nodiscard]] constexpr std::size_t cost(std::size_t pivot) const {
    std::size_t row = 0;
    std::size_t column = 0;
    for (std::size_t k = 0; k < Size; ++k) {
      if (gone[k] || k == pivot) continue;
      row += filled[pivot][k] ? 1U : 0U;
      column += filled[k][pivot] ? 1U : 0U;
    }
    return row * column;
  }

  [[nodiscard]] constexpr std::size_t cheapest() const {
    std::size_t best = Size;
    for (std::size_t k = 0; k < Size; ++k) {
      if (gone[k]) continue;
      const bool better =
          best == Size || cost(k) < cost(best) || (cost(k) == cost(best) && chain[k] < chain[best]);
      if (better) best = k;
    }
    return best;
  }

  constexpr void eliminate(std::size_t pivot) {
    gone[pivot] = true;
    for (std::size_t i = 0; i < Size; ++i) {
      if (gone[i] || !filled[i][pivot]) continue;
      chain[i] = std::max(chain[i], chain[pivot] + 1);
      for (std::size_t j = 0; j < Size; ++j) {
        if (!gone[j] && filled[pivot][j]) filled[i][j] = true;
      }
    }
  }
};

}  // namespace elimination_order_detail

/// A permutation of 0..Size-1; `pattern.order` is not looked at.
template <std::size_t Size>
[[nodiscard]] constexpr std::array<std::size_t, Size> elimination_order(
    const SparsityPattern<Size>& pattern) {
  elimination_order_detail::Remaining<Size> remaining{.filled = pattern.filled};
  std::array<std::size_t, Size> order{};
  for (std::size_t& next : order) {
    next = remaining.cheapest();
    remaining.eliminate(next);
  }
  return order;
}

}  // namespace layshaft
