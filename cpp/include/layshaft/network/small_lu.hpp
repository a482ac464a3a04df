#pragma once

/// LU factors, with row exchange, of the few rows that a network may have stuck at once.
///
/// In plain loops on the stack: for up to a dozen rows a general library's blocking costs several
/// times the arithmetic. Source: Golub and Van Loan, Matrix Computations, 4th ed., 3.4.

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

namespace layshaft {

inline constexpr int kMostCouplings = 12;

/// A pivot this much smaller than the largest means rows that depend on each other.
inline constexpr double kDependentRows = 1e-12;

using SmallVector = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, kMostCouplings, 1>;
using SmallMatrix =
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, kMostCouplings, kMostCouplings>;

class SmallLu {
 public:
  /// Factors of a square matrix of 1 to `kMostCouplings` rows.
  explicit SmallLu(const SmallMatrix& matrix)
      : factors_(matrix), size_(static_cast<int>(matrix.rows())) {
    for (int k = 0; k < size_; ++k) {
      exchange_[at(k)] = largest_below(k);
      swap_rows(k, exchange_[at(k)]);
      const double pivot = factors_(k, k);
      for (int i = k + 1; i < size_; ++i) {
        const double share = factors_(i, k) /= pivot;
        for (int j = k + 1; j < size_; ++j) factors_(i, j) -= share * factors_(k, j);
      }
    }
  }

  /// Whether rows depend on each other; NaN counts as dependent. `solve` is then of no use.
  [[nodiscard]] bool has_dependent_rows() const {
    double least = std::numeric_limits<double>::infinity();
    double most = 0.0;
    for (int i = 0; i < size_; ++i) {
      const double pivot = std::abs(factors_(i, i));
      if (!(pivot >= 0.0)) return true;
      least = std::min(least, pivot);
      most = std::max(most, pivot);
    }
    return !(least > kDependentRows * most);
  }

  [[nodiscard]] SmallVector solve(SmallVector right) const {
    for (int k = 0; k < size_; ++k) std::swap(right(k), right(exchange_[at(k)]));
    for (int k = 0; k < size_; ++k) {
      for (int i = k + 1; i < size_; ++i) right(i) -= factors_(i, k) * right(k);
    }
    for (int k = size_ - 1; k >= 0; --k) {
      right(k) /= factors_(k, k);
      for (int i = 0; i < k; ++i) right(i) -= factors_(i, k) * right(k);
    }
    return right;
  }

 private:
  [[nodiscard]] static std::size_t at(int index) { return static_cast<std::size_t>(index); }

  [[nodiscard]] int largest_below(int k) const {
    int largest = k;
    for (int i = k + 1; i < size_; ++i) {
      if (std::abs(factors_(i, k)) > std::abs(factors_(largest, k))) largest = i;
    }
    return largest;
  }

  void swap_rows(int a, int b) {
    if (a == b) return;
    for (int j = 0; j < size_; ++j) std::swap(factors_(a, j), factors_(b, j));
  }

  SmallMatrix factors_;
  int size_;
  std::array<int, kMostCouplings> exchange_{};
};

}  // namespace layshaft
