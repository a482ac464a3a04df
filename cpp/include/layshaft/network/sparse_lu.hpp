#pragma once

/// LU factors of a small matrix whose zeros are known when the program is compiled.
///
/// The elimination is carried out once on the pattern by the compiler, fill-in included; what is
/// left at run time is a straight line of multiplications without an index, a loop or a branch. No
/// pivoting: meant for I/(gamma h) - J, whose diagonal dominates for small steps; a bad pivot shows
/// as a large step error. Source: direct elimination in a given order, e.g. Golub and Van Loan,
/// Matrix Computations, 4th ed., 3.2.

#include <array>
#include <cstddef>
#include <utility>

namespace layshaft {

/// Which entries of a square matrix may differ from zero, and in which order rows are eliminated.
template <std::size_t Size>
struct SparsityPattern {
  std::array<std::array<bool, Size>, Size> filled{};
  std::array<std::size_t, Size> order{};

  [[nodiscard]] static constexpr SparsityPattern dense() {
    SparsityPattern pattern;
    for (std::size_t i = 0; i < Size; ++i) {
      pattern.order[i] = i;
      for (std::size_t j = 0; j < Size; ++j) pattern.filled[i][j] = true;
    }
    return pattern;
  }
};

namespace sparse_lu {

// One line of the elimination. Entries are numbered row * Size + column in the order of
// elimination.
struct Operation {
  enum class Kind { invert, scale, subtract } kind;
  std::size_t target;
  std::size_t left;
  std::size_t right;
};

template <std::size_t Size, std::size_t Most>
struct Program {
  std::array<Operation, Most> operations{};
  std::size_t count = 0;
  std::array<std::array<bool, Size>, Size> filled{};

  constexpr void add(typename Operation::Kind kind, std::size_t target, std::size_t left,
                     std::size_t right) {
    operations[count++] = {kind, target, left, right};
  }
};

template <std::size_t Size>
[[nodiscard]] constexpr bool is_permutation(const std::array<std::size_t, Size>& order) {
  std::array<bool, Size> met{};
  for (const std::size_t i : order) {
    if (i >= Size || met[i]) return false;
    met[i] = true;
  }
  return true;
}

template <std::size_t Size>
[[nodiscard]] constexpr auto eliminate(const SparsityPattern<Size>& pattern) {
  // Thrown while compiling: an unknown left out would be eliminated as another one's twin.
  if (!is_permutation(pattern.order)) throw "the order of elimination is no permutation";
  Program<Size, Size * Size * Size> program;
  for (std::size_t i = 0; i < Size; ++i) {
    for (std::size_t j = 0; j < Size; ++j) {
      program.filled[i][j] = i == j || pattern.filled[pattern.order[i]][pattern.order[j]];
    }
  }
  for (std::size_t k = 0; k < Size; ++k) {
    program.add(Operation::Kind::invert, k * Size + k, 0, 0);
    for (std::size_t i = k + 1; i < Size; ++i) {
      if (!program.filled[i][k]) continue;
      program.add(Operation::Kind::scale, i * Size + k, k * Size + k, 0);
      for (std::size_t j = k + 1; j < Size; ++j) {
        if (!program.filled[k][j]) continue;
        program.filled[i][j] = true;
        program.add(Operation::Kind::subtract, i * Size + j, i * Size + k, k * Size + j);
      }
    }
  }
  return program;
}

}  // namespace sparse_lu

/// Every entry of a matrix of this size is filled.
template <std::size_t Size>
struct Dense {
  [[nodiscard]] static constexpr auto jacobian_pattern() { return SparsityPattern<Size>::dense(); }
};

/// Factors of shift * I - matrix, whose pattern is `Of::jacobian_pattern()`: given by the name of a
/// type, since one with all its entries is too long for the tools. `Real` is double or lanes of it.
template <class Real, class Of>
class SparseLu {
  static constexpr auto kPattern = Of::jacobian_pattern();
  static constexpr std::size_t kSize = kPattern.order.size();

 public:
  using Vector = std::array<Real, kSize>;

  /// `matrix(i, j)` is called for the filled entries only.
  template <class Matrix>
  void factorise(const Matrix& matrix, const Real& shift) {
    load(matrix, shift, std::make_index_sequence<kSize * kSize>{});
    run(std::make_index_sequence<kProgram.count>{});
  }

  /// Solves in place; `right[i]` is the i-th unknown in the matrix's own order.
  template <class Right>
  void solve(Right& right) const {
    Vector x;
    for (std::size_t i = 0; i < kSize; ++i) x[i] = right[static_cast<int>(kPattern.order[i])];
    forward(x, std::make_index_sequence<kSize * kSize>{});
    backward(x, std::make_index_sequence<kSize * kSize>{});
    for (std::size_t i = 0; i < kSize; ++i) right[static_cast<int>(kPattern.order[i])] = x[i];
  }

 private:
  static constexpr auto kProgram = sparse_lu::eliminate(kPattern);

  template <class Matrix, std::size_t... Entry>
  void load(const Matrix& matrix, const Real& shift, std::index_sequence<Entry...>) {
    (load_one<Entry / kSize, Entry % kSize>(matrix, shift), ...);
  }

  template <std::size_t Row, std::size_t Column, class Matrix>
  void load_one(const Matrix& matrix, const Real& shift) {
    constexpr std::size_t kRow = kPattern.order[Row];
    constexpr std::size_t kColumn = kPattern.order[Column];
    if constexpr (!kProgram.filled[Row][Column]) return;
    Real& entry = entries_[Row * kSize + Column];
    if constexpr (kPattern.filled[kRow][kColumn]) {
      entry = -matrix(static_cast<int>(kRow), static_cast<int>(kColumn));
    } else {
      entry = Real(0.0);
    }
    if constexpr (Row == Column) entry += shift;
  }

  template <std::size_t... Number>
  void run(std::index_sequence<Number...>) {
    (run_one<Number>(), ...);
  }

  template <std::size_t Number>
  void run_one() {
    using Kind = sparse_lu::Operation::Kind;
    constexpr sparse_lu::Operation kOperation = kProgram.operations[Number];
    Real& target = entries_[kOperation.target];
    if constexpr (kOperation.kind == Kind::invert) target = Real(1.0) / target;
    if constexpr (kOperation.kind == Kind::scale) target *= entries_[kOperation.left];
    if constexpr (kOperation.kind == Kind::subtract) {
      target -= entries_[kOperation.left] * entries_[kOperation.right];
    }
  }

  template <std::size_t... Entry>
  void forward(Vector& x, std::index_sequence<Entry...>) const {
    (forward_one<Entry / kSize, Entry % kSize>(x), ...);
  }

  template <std::size_t Row, std::size_t Column>
  void forward_one(Vector& x) const {
    if constexpr (Column < Row && kProgram.filled[Row][Column]) {
      x[Row] -= entries_[Row * kSize + Column] * x[Column];
    }
  }

  template <std::size_t... Entry>
  void backward(Vector& x, std::index_sequence<Entry...>) const {
    (backward_one<kSize - 1 - Entry / kSize, kSize - 1 - Entry % kSize>(x), ...);
  }

  // Columns come from the last; the diagonal, which closes the row, is met after those behind it.
  template <std::size_t Row, std::size_t Column>
  void backward_one(Vector& x) const {
    if constexpr (Column > Row && kProgram.filled[Row][Column]) {
      x[Row] -= entries_[Row * kSize + Column] * x[Column];
    }
    if constexpr (Column == Row) x[Row] *= entries_[Row * kSize + Row];
  }

  std::array<Real, kSize * kSize> entries_;
};

}  // namespace layshaft
