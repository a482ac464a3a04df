#pragma once

/// The exact Jacobian of a car on a track: that of the car on a straight road, and what corners and
/// the driver's foot add to it.

#include "layshaft/car/drivetrain_jacobian.hpp"
#include "layshaft/car/track_law.hpp"
#include "layshaft/car/track_parts.hpp"

namespace layshaft {

// Which states each rate depends on, whatever the modes.
[[nodiscard]] constexpr SparsityPattern<track_state::count> track_jacobian_pattern() {
  using namespace auxiliary;  // NOLINT: the names of the states, in this function only
  constexpr auto kCar = drivetrain_jacobian_pattern();
  SparsityPattern<track_state::count> pattern;
  for (std::size_t i = 0; i < kDrivetrainStates; ++i) {
    for (std::size_t j = 0; j < kDrivetrainStates; ++j) pattern.filled[i][j] = kCar.filled[i][j];
  }
  const auto fill = [&pattern](int row, std::initializer_list<int> columns) {
    for (const int column : columns) {
      pattern.filled[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)] = true;
    }
  };
  constexpr int kDistance = track_state::distance;
  constexpr int kPedal = track_state::pedal;
  for (const int row : {node::crank, node::bell, node::shaft, node::rear, node::front}) {
    fill(row, {kDistance, kPedal});
  }
  fill(node::car, {kDistance});
  fill(state_of(load_transfer), {kDistance});
  fill(kDistance, {node::car});
  for (const int row : {state_of(throttle), kPedal}) {
    fill(row, {node::rear, node::front, node::car, state_of(rear_strain), state_of(front_strain),
               state_of(rear_slip), state_of(load_transfer), kDistance, row});
  }
  // The pedal first, where it brings in least; the distance beside the car.
  pattern.order[0] = static_cast<std::size_t>(kPedal);
  std::size_t next = 1;
  for (const std::size_t state : kCar.order) {
    if (state == static_cast<std::size_t>(node::car)) {
      pattern.order[next++] = static_cast<std::size_t>(kDistance);
    }
    pattern.order[next++] = state;
  }
  return pattern;
}

/// What the foot does now.
struct FootNow {
  bool aims;
  Wish wish;
  double throttle;  ///< Asked for, before it is eased [-].
};

namespace track_jacobian {

// The states that the forces of a corner depend on, in the order of the duals' slopes.
inline constexpr std::array<int, 7> kCornerStates{static_cast<int>(node::rear),
                                                  static_cast<int>(node::front),
                                                  static_cast<int>(node::car),
                                                  state_of(auxiliary::rear_strain),
                                                  state_of(auxiliary::front_strain),
                                                  state_of(auxiliary::load_transfer),
                                                  static_cast<int>(track_state::distance)};

using CornerDual = Dual<double, kCornerStates.size()>;

template <class State>
[[nodiscard]] CornerForces<CornerDual> corner_slopes(const DrivetrainLaw<double>& law,
                                                     const TrackPiece& piece, double piece_begin,
                                                     const State& state) {
  const auto dual_state = [&state](int which) {
    CornerDual value(state(which));
    for (std::size_t k = 0; k < kCornerStates.size(); ++k) {
      if (kCornerStates[k] == which) value.slopes[k] = 1.0;
    }
    return value;
  };
  const auto axles = axle_forces<CornerDual>(law, dual_state);
  const CornerDual curvature =
      piece_curvature(piece, CornerDual(dual_state(track_state::distance) - piece_begin));
  return corner_forces<CornerDual>(law, axles.rear_force, axles.front_force, axles.rear_load,
                                   axles.front_load, dual_state(node::car), curvature);
}

// Forces that a corner takes from the tyres, added to the rows of the axles and of the car.
template <class Frozen, class State, class Jacobian>
void add_corner(const DrivetrainLaw<double>& law, const Frozen& frozen,
                const CornerForces<CornerDual>& corner, const State& state, Jacobian& jacobian) {
  constexpr int kTransfer = state_of(auxiliary::load_transfer);
  using Dual1 = Dual<double, 1>;
  const Dual1 rear = tyre_radius(law.rear_tyre, Dual1::variable(state(node::rear), 0));
  const Dual1 front = tyre_radius(law.front_tyre, Dual1::variable(state(node::front), 0));
  const double car = frozen.accelerate(node::car, node::car);
  for (std::size_t k = 0; k < kCornerStates.size(); ++k) {
    const int column = kCornerStates[k];
    const double by_rear = rear.value * corner.rear_taken.slopes[k];
    const double by_front = front.value * corner.front_taken.slopes[k];
    for (int i = 0; i < node::car; ++i) {
      jacobian(i, column) +=
          frozen.accelerate(i, node::rear) * by_rear + frozen.accelerate(i, node::front) * by_front;
    }
    const double of_car =
        -car * (corner.rear_taken.slopes[k] + corner.front_taken.slopes[k] + corner.drag.slopes[k]);
    jacobian(node::car, column) += of_car;
    jacobian(kTransfer, column) += law.lever * law.mass * law.load_transfer_rate * of_car;
  }
  for (int i = 0; i < node::car; ++i) {
    jacobian(i, node::rear) +=
        frozen.accelerate(i, node::rear) * corner.rear_taken.value * rear.slopes[0];
    jacobian(i, node::front) +=
        frozen.accelerate(i, node::front) * corner.front_taken.value * front.slopes[0];
  }
}

// Rows of the two pedals; the row of the throttle has what easing does to it already.
template <class State, class Jacobian>
void add_foot(const DrivetrainLaw<double>& law, const FootLaw& foot, const FootNow& now,
              const State& state, Jacobian& jacobian) {
  using Dual1 = Dual<double, 1>;
  constexpr int kPedal = track_state::pedal;
  constexpr int kSlip = state_of(auxiliary::rear_slip);
  const double rate = law.response_rate;
  jacobian(kPedal, kPedal) = -rate;
  if (!now.aims) return;
  const double slip_rate = axle_forces<double>(law, state).rear_slip_rate;
  const auto eased = eased_opening(law, Dual<double, 2>::variable(state(kSlip), 0),
                                   Dual<double, 2>::variable(slip_rate, 1));
  const Dual1 wish = Dual1::variable(now.wish.value, 0);
  const double throttle = rate * eased.value * foot.full_throttle * throttle_asked(wish).slopes[0];
  const Dual1 brake = foot.pedal_at_grip * brake_asked(wish);
  const auto add_wish = [&](int column, double slope) {
    jacobian(state_of(auxiliary::throttle), column) += throttle * slope;
    jacobian(kPedal, column) += rate * eased.value * brake.slopes[0] * slope;
  };
  for (const int column : kCornerStates) {
    add_wish(column, now.wish.by_acceleration * jacobian(node::car, column));
  }
  add_wish(node::car, now.wish.by_speed);
  add_wish(track_state::distance, now.wish.by_distance);
  const double by_rate = rate * brake.value * eased.slopes[1];
  jacobian(kPedal, kSlip) += rate * brake.value * eased.slopes[0];
  for (const int column : {static_cast<int>(node::rear), static_cast<int>(node::car), kSlip}) {
    jacobian(kPedal, column) += by_rate * jacobian(kSlip, column);
  }
}

}  // namespace track_jacobian

/// Adds to the Jacobian of the car on a straight road, whose pedals stand as the foot has them.
template <class Frozen, class State, class Jacobian>
void add_track(const DrivetrainLaw<double>& law, const FootLaw& foot, const FootNow& now,
               const TrackPiece& piece, double piece_begin, const Frozen& frozen,
               const State& state, Jacobian& jacobian) {
  using namespace track_jacobian;  // NOLINT: the parts of this very function
  add_corner(law, frozen, corner_slopes(law, piece, piece_begin, state), state, jacobian);
  const double side = frozen.high_weight(coupling::brake) - frozen.low_weight(coupling::brake);
  const double brake = -frozen.push(coupling::brake, node::shaft) * side * law.brake_torque;
  for (int i = 0; i < node::car; ++i) {
    jacobian(i, track_state::pedal) = frozen.accelerate(i, node::shaft) * brake;
  }
  jacobian(track_state::distance, node::car) = 1.0;
  add_foot(law, foot, now, state, jacobian);
}

}  // namespace layshaft
