#pragma once

/// Fixed-size column and grid for number types that Eigen does not know, such as lanes.
///
/// Plain aggregates of nothing but their numbers, so that a struct of them can be packed lane by
/// lane.

#include <array>
#include <cstddef>

namespace layshaft {

template <class Real, int Size>
struct Column {
  std::array<Real, static_cast<std::size_t>(Size)> entries;

  [[nodiscard]] Real& operator()(int i) { return entries[static_cast<std::size_t>(i)]; }
  [[nodiscard]] const Real& operator()(int i) const { return entries[static_cast<std::size_t>(i)]; }
  [[nodiscard]] Real& operator[](int i) { return (*this)(i); }
  [[nodiscard]] const Real& operator[](int i) const { return (*this)(i); }
};

template <class Real, int Rows, int Columns>
struct Grid {
  std::array<Real, static_cast<std::size_t>(Rows* Columns)> entries;

  [[nodiscard]] Real& operator()(int i, int j) {
    return entries[static_cast<std::size_t>(i * Columns + j)];
  }
  [[nodiscard]] const Real& operator()(int i, int j) const {
    return entries[static_cast<std::size_t>(i * Columns + j)];
  }
};

}  // namespace layshaft
