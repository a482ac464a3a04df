#pragma once

/// A network of rotating and moving bodies joined by couplings with a torque limit.
///
///     M dw/dt = applied - B' lambda,   slip = A w,   low <= lambda <= high
///
/// w are the speeds of the nodes, M their inertias (diagonal). A row of A gives a coupling's slip,
/// the row of B how its torque acts on the nodes. Without loss B = A. With a loss the receiving
/// side gets less than the giving side pays, so B depends on which way the work goes: `forward` for
/// lambda >= 0, `backward` for lambda <= 0 - and the other way round while the whole train turns
/// backwards, which the `travel` row tells.
///
/// Between switch instants the modes are frozen; the speeds then obey a smooth equation whose
/// matrices are constant and worked out once (`Frozen`).

#include <Eigen/Core>
#include <array>
#include <type_traits>

#include "layshaft/network/modes.hpp"
#include "layshaft/number/columns.hpp"

namespace layshaft {

template <class Real, int Size>
using Vector = Eigen::Matrix<Real, Size, 1>;

/// A column of any number type: Eigen's for those that it knows.
template <class Real, int Size>
using ColumnOf =
    std::conditional_t<std::is_same_v<Real, double>, Vector<Real, Size>, Column<Real, Size>>;

template <int Nodes, int Couplings>
struct Network {
  static constexpr int kNodes = Nodes;
  static constexpr int kCouplings = Couplings;

  Vector<double, Nodes> inertia;                     ///< Diagonal of M [kg*m^2] or [kg], > 0.
  Eigen::Matrix<double, Couplings, Nodes> slip;      ///< A.
  Eigen::Matrix<double, Couplings, Nodes> forward;   ///< B for torques >= 0.
  Eigen::Matrix<double, Couplings, Nodes> backward;  ///< B for torques <= 0.
  int travel = -1;  ///< The row to ground, without loss, whose slip is < 0 while the train turns
                    ///< backwards; -1 where it never does.

  /// Whether the loss of a coupling depends on the direction of its torque.
  [[nodiscard]] bool has_loss(int coupling) const {
    return slip.row(coupling) != forward.row(coupling) ||
           slip.row(coupling) != backward.row(coupling);
  }
};

/// The same numbers as an Eigen vector, and back.
template <int Size>
[[nodiscard]] Vector<double, Size> to_vector(const Column<double, Size>& column) {
  return Vector<double, Size>(column.entries.data());
}
template <int Size>
[[nodiscard]] Column<double, Size> to_column(const Vector<double, Size>& vector) {
  Column<double, Size> column;
  for (int i = 0; i < Size; ++i) column(i) = vector(i);
  return column;
}

/// Applied torques and the limits of the sliding couplings at one instant.
template <class Real, int Nodes, int Couplings>
struct Loads {
  ColumnOf<Real, Nodes> applied;
  ColumnOf<Real, Couplings> low;   ///< Torque while slip < 0, <= 0.
  ColumnOf<Real, Couplings> high;  ///< Torque while slip > 0, >= 0.
};

/// What a coupling can hold at rest before it breaks away; at least its sliding limits.
template <int Couplings, class Real = double>
struct HoldLimits {
  ColumnOf<Real, Couplings> low;
  ColumnOf<Real, Couplings> high;
};

/// The equation of motion while the modes are frozen, as numbers only (no branch on a mode):
///     lambda = low_weight * low + high_weight * high + hold * f,   dw/dt = accelerate * f,
///     f = applied - push' (low_weight * low + high_weight * high)
template <class Real, int Nodes, int Couplings>
struct Frozen {
  Vector<Real, Couplings> low_weight;
  Vector<Real, Couplings> high_weight;
  Eigen::Matrix<Real, Couplings, Nodes> push;
  Eigen::Matrix<Real, Nodes, Nodes> accelerate;
  Eigen::Matrix<Real, Couplings, Nodes> hold;
};

}  // namespace layshaft
