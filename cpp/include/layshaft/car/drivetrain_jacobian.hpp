#pragma once

/// The exact Jacobian of the car's equations, and which of its entries may differ from zero.
///
/// Put together from the derivatives of each law with respect to its own few arguments, which the
/// laws give when they are evaluated on dual numbers. The engine's side and the car are joined by
/// the tyres' forces alone, so no coupling torque reaches from one to the other.

#include <initializer_list>

#include "layshaft/car/drivetrain_law.hpp"
#include "layshaft/network/sparse_lu.hpp"
#include "layshaft/number/dual.hpp"

namespace layshaft {

// Which states each rate depends on, whatever the modes; as `linearise_drivetrain` fills it.
[[nodiscard]] constexpr SparsityPattern<kDrivetrainStates> drivetrain_jacobian_pattern() {
  using namespace auxiliary;  // NOLINT: the names of the states, in this function only
  SparsityPattern<kDrivetrainStates> pattern;
  const auto fill = [&pattern](int row, std::initializer_list<int> columns) {
    for (const int column : columns) {
      pattern.filled[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)] = true;
    }
  };
  constexpr int kRearSlip = state_of(rear_slip);
  constexpr int kFrontSlip = state_of(front_slip);
  constexpr int kTransfer = state_of(load_transfer);
  constexpr int kThrottle = state_of(throttle);
  constexpr int kClutchHeat = state_of(clutch_surface);
  constexpr int kShoeHeat = state_of(shoe_surface);
  for (const int row : {node::crank, node::bell, node::shaft, node::rear, node::front}) {
    fill(row, {node::crank, node::shaft, node::rear, node::front, node::car, kRearSlip, kFrontSlip,
               kTransfer, kThrottle, kClutchHeat, kShoeHeat});
  }
  fill(node::car, {node::rear, node::front, node::car, kRearSlip, kFrontSlip, kTransfer});
  fill(kRearSlip, {node::rear, node::car, kRearSlip, kTransfer});
  fill(kFrontSlip, {node::front, node::car, kFrontSlip, kTransfer});
  fill(kTransfer, {node::rear, node::front, node::car, kRearSlip, kFrontSlip, kTransfer});
  fill(kThrottle, {node::rear, node::car, kRearSlip, kTransfer, kThrottle});
  for (const int row : {kClutchHeat, state_of(clutch_body)}) {
    fill(row, {node::crank, node::bell, kClutchHeat, state_of(clutch_body)});
  }
  for (const int row : {kShoeHeat, state_of(shoe_body)}) {
    fill(row, {node::bell, node::shaft, kShoeHeat, state_of(shoe_body)});
  }
  // Eliminated in this order, little fills in; the axles and the shaft, which the belts join, stay
  // last.
  constexpr std::array kOrder{state_of(clutch_body),
                              state_of(shoe_body),
                              kThrottle,
                              kRearSlip,
                              kFrontSlip,
                              kTransfer,
                              kClutchHeat,
                              kShoeHeat,
                              static_cast<int>(node::bell),
                              static_cast<int>(node::car),
                              static_cast<int>(node::crank),
                              static_cast<int>(node::front),
                              static_cast<int>(node::rear),
                              static_cast<int>(node::shaft)};
  for (std::size_t i = 0; i < kOrder.size(); ++i) {
    pattern.order[i] = static_cast<std::size_t>(kOrder[i]);
  }
  return pattern;
}

namespace drivetrain_jacobian {

// Slopes of one axle: its tyre's force, how fast it is wound up, and its radius.
template <class Real>
struct AxleSlopes {
  Real load_by_speed, load_by_transfer;
  Real force, force_by_slip, force_by_load, force_by_axle, force_by_car;
  Real rate, rate_by_slip, rate_by_load, rate_by_axle, rate_by_car;
  Real radius, radius_by_axle;
};

template <class Coefficient, class Real>
[[nodiscard]] AxleSlopes<Real> axle_slopes(const TyreLaw<Coefficient>& tyre, const Real& load,
                                           const Real& load_by_speed, const Real& load_by_transfer,
                                           const Real& slip, const Real& axle_speed,
                                           const Real& car_speed) {
  using Dual2 = Dual<Real, 2>;
  using Dual4 = Dual<Real, 4>;  // By slip, load, axle and car.
  const auto radius = tyre_radius(tyre, Dual<Real, 1>::variable(axle_speed, 0));
  const Dual2 part = sticking_share(tyre, Dual2::variable(slip, 0), Dual2::variable(load, 1));
  const Dual4 share{part.value, {part.slopes[0], part.slopes[1], Real(0.0), Real(0.0)}};
  Dual4 tread = Dual4::variable(radius.value * axle_speed, 2);
  tread.slopes[2] = radius.value + radius.slopes[0] * axle_speed;
  const Dual4 slip4 = Dual4::variable(slip, 0);
  const Dual4 rate = tyre_slip_rate(tyre, slip4, share, tread, Dual4::variable(car_speed, 3));
  const Dual4 force = tyre_force_now(tyre, slip4, rate, share, Dual4::variable(load, 1));
  return {.load_by_speed = load_by_speed,
          .load_by_transfer = load_by_transfer,
          .force = force.value,
          .force_by_slip = force.slopes[0],
          .force_by_load = force.slopes[1],
          .force_by_axle = force.slopes[2],
          .force_by_car = force.slopes[3],
          .rate = rate.value,
          .rate_by_slip = rate.slopes[0],
          .rate_by_load = rate.slopes[1],
          .rate_by_axle = rate.slopes[2],
          .rate_by_car = rate.slopes[3],
          .radius = radius.value,
          .radius_by_axle = radius.slopes[0]};
}

// A sliding torque with its slopes in a speed and in a temperature.
template <class Real>
struct SlidingSlopes {
  Real torque, by_speed, by_temperature;
};

template <class Coefficient, class Real, class State>
[[nodiscard]] SlidingSlopes<Real> clutch_slopes(const DrivetrainLaw<Coefficient>& law,
                                                const State& state, const Real& side) {
  using Dual2 = Dual<Real, 2>;
  const auto rise = Dual2::variable(state(state_of(auxiliary::clutch_surface)), 1);
  const Dual2 ratio = friction_ratio(law.clutch_heat, Dual2(law.air_temperature + rise));
  const Dual2 excess = clutch_excess(law.clutch, Dual2::variable(state(node::crank), 0));
  const Dual2 torque = (side * law.clutch.gain) * ratio * excess;
  return {torque.value, torque.slopes[0], torque.slopes[1]};
}

template <class Coefficient, class Real, class State>
[[nodiscard]] SlidingSlopes<Real> shoe_slopes(const DrivetrainLaw<Coefficient>& law,
                                              const DrivetrainActive<Coefficient>& active,
                                              const State& state, const Real& side) {
  using Dual2 = Dual<Real, 2>;
  const auto rise = Dual2::variable(state(state_of(auxiliary::shoe_surface)), 1);
  const auto shaft = Dual2::variable(state(node::shaft), 0);
  const Dual2 ratio = friction_ratio(law.shoe_heat, Dual2(law.air_temperature + rise));
  const Dual2 direction(select(side > 0.0, Real(1.0), Real(-1.0)));
  Dual2 torque;
  for (std::size_t k = 0; k < 2; ++k) {
    torque += active.shoe_out[k] * shoe_torque(law.shoes[k], shaft, direction, ratio);
  }
  return {side * torque.value, side * torque.slopes[0], side * torque.slopes[1]};
}

// One friction pair: heat made at the slip between a fast and a slow node, of which one decides the
// torque.
template <class Real>
struct HeatSlip {
  int surface, body;
  int fast, slow;
  Real slip;
  Real fast_share;  ///< Slope of the slip in the fast node's speed; -1 in the slow one's.
  Real torque_by_fast, torque_by_slow;
};

template <class Coefficient, class Real, class Jacobian>
void fill_heat(const HeatLaw<Coefficient>& law, const HeatSlip<Real>& at,
               const SlidingSlopes<Real>& sliding, Jacobian& jacobian) {
  const Real power_by_fast = sliding.torque * at.fast_share + at.torque_by_fast * at.slip;
  const Real power_by_slow = at.torque_by_slow * at.slip - sliding.torque;
  const Real power_by_heat = sliding.by_temperature * at.slip;
  const Real per_surface = law.surface_rise_per_heat;
  const Real per_body = law.body_rise_per_heat;
  const Real on_surface = law.surface_share * per_surface;
  const Real on_body = (1.0 - law.surface_share) * per_body;
  jacobian(at.surface, at.fast) = on_surface * power_by_fast;
  jacobian(at.surface, at.slow) = on_surface * power_by_slow;
  jacobian(at.body, at.fast) = on_body * power_by_fast;
  jacobian(at.body, at.slow) = on_body * power_by_slow;
  jacobian(at.surface, at.surface) =
      on_surface * power_by_heat -
      (law.between_conductance + law.surface_conductance) * per_surface;
  jacobian(at.surface, at.body) = law.between_conductance * per_surface;
  jacobian(at.body, at.surface) = on_body * power_by_heat + law.between_conductance * per_body;
  jacobian(at.body, at.body) = -((law.between_conductance + law.body_conductance) * per_body);
}

template <class Real, class Jacobian>
void fill_slip(const AxleSlopes<Real>& axle, int slip, int axle_node, Jacobian& jacobian) {
  jacobian(slip, slip) = axle.rate_by_slip;
  jacobian(slip, axle_node) = axle.rate_by_axle;
  jacobian(slip, node::car) = axle.rate_by_car + axle.rate_by_load * axle.load_by_speed;
  jacobian(slip, state_of(auxiliary::load_transfer)) = axle.rate_by_load * axle.load_by_transfer;
}

// Column of the engine's side: forces on one or two of its nodes change with one state.
template <class Real, class Frozen, class Jacobian>
void fill_column(const Frozen& frozen, int column, int first, const Real& first_slope,
                 Jacobian& jacobian) {
  for (int i = 0; i < node::car; ++i) {
    jacobian(i, column) = frozen.accelerate(i, first) * first_slope;
  }
}
template <class Real, class Frozen, class Jacobian>
void fill_column(const Frozen& frozen, int column, int first, const Real& first_slope, int second,
                 const Real& second_slope, Jacobian& jacobian) {
  for (int i = 0; i < node::car; ++i) {
    jacobian(i, column) =
        frozen.accelerate(i, first) * first_slope + frozen.accelerate(i, second) * second_slope;
  }
}

// Rows of the tyres' forces and of what hangs on the car's acceleration.
template <class Coefficient, class Real, class Frozen, class State, class Jacobian>
void fill_axles(const DrivetrainLaw<Coefficient>& law, const Frozen& frozen, const State& state,
                const AxleSlopes<Real>& rear, const AxleSlopes<Real>& front, Jacobian& jacobian) {
  constexpr int kRearSlip = state_of(auxiliary::rear_slip);
  constexpr int kFrontSlip = state_of(auxiliary::front_slip);
  constexpr int kTransfer = state_of(auxiliary::load_transfer);
  const Real rear_by_car = rear.force_by_car + rear.force_by_load * rear.load_by_speed;
  const Real front_by_car = front.force_by_car + front.force_by_load * front.load_by_speed;
  const Real rear_by_transfer = rear.force_by_load * rear.load_by_transfer;
  const Real front_by_transfer = front.force_by_load * front.load_by_transfer;
  fill_column(frozen, node::rear, node::rear,
              Real(-rear.force * rear.radius_by_axle - rear.force_by_axle * rear.radius), jacobian);
  fill_column(frozen, node::front, node::front,
              Real(-front.force * front.radius_by_axle - front.force_by_axle * front.radius),
              jacobian);
  fill_column(frozen, kRearSlip, node::rear, Real(-rear.force_by_slip * rear.radius), jacobian);
  fill_column(frozen, kFrontSlip, node::front, Real(-front.force_by_slip * front.radius), jacobian);
  fill_column(frozen, node::car, node::rear, Real(-rear_by_car * rear.radius), node::front,
              Real(-front_by_car * front.radius), jacobian);
  fill_column(frozen, kTransfer, node::rear, Real(-rear_by_transfer * rear.radius), node::front,
              Real(-front_by_transfer * front.radius), jacobian);

  const Real rolling =
      (frozen.high_weight(coupling::rolling) - frozen.low_weight(coupling::rolling)) *
      frozen.push(coupling::rolling, node::car);
  const Real rear_rolling = rolling * law.rear_tyre.rolling_resistance;
  const Real front_rolling = rolling * law.front_tyre.rolling_resistance;
  const Real car = frozen.accelerate(node::car, node::car);
  const auto fill_car = [&](int column, const Real& slope) {
    jacobian(node::car, column) = car * slope;
    jacobian(kTransfer, column) =
        law.lever * law.mass * law.load_transfer_rate * jacobian(node::car, column);
  };
  fill_car(node::car,
           rear_by_car + front_by_car - 2.0 * law.drag * abs(state(node::car)) -
               (rear_rolling * rear.load_by_speed + front_rolling * front.load_by_speed));
  fill_car(node::rear, rear.force_by_axle);
  fill_car(node::front, front.force_by_axle);
  fill_car(kRearSlip, rear.force_by_slip);
  fill_car(kFrontSlip, front.force_by_slip);
  fill_car(kTransfer,
           rear_by_transfer + front_by_transfer -
               (rear_rolling * rear.load_by_transfer + front_rolling * front.load_by_transfer));
  jacobian(kTransfer, kTransfer) -= law.load_transfer_rate;
  fill_slip(rear, kRearSlip, node::rear, jacobian);
  fill_slip(front, kFrontSlip, node::front, jacobian);
}

}  // namespace drivetrain_jacobian

/// Sets the entries of the pattern, and the slopes in time of all rates.
template <class Coefficient, class Frozen, class Real, class State, class Jacobian>
void linearise_drivetrain(const DrivetrainLaw<Coefficient>& law,
                          const DrivetrainActive<Coefficient>& active, const Frozen& frozen,
                          const Real& time, const State& state, Jacobian& jacobian,
                          State& time_slope) {
  using namespace drivetrain_jacobian;  // NOLINT: the parts of this very function
  using namespace auxiliary;            // NOLINT: the names of the states
  constexpr int kThrottle = state_of(throttle);
  const AxleLoadPair<Real> loads = axle_load_pair<Real>(law, state);
  const Real pressed_by_speed = 2.0 * law.downforce * state(node::car);
  const Real front_by_speed = law.front_share * pressed_by_speed;
  const AxleSlopes<Real> rear = axle_slopes(
      law.rear_tyre, loads.rear, Real(pressed_by_speed - front_by_speed), Real(1.0),
      Real(state(state_of(rear_slip))), Real(state(node::rear)), Real(state(node::car)));
  const AxleSlopes<Real> front = axle_slopes(law.front_tyre, loads.front, front_by_speed,
                                             Real(-1.0), Real(state(state_of(front_slip))),
                                             Real(state(node::front)), Real(state(node::car)));
  fill_axles(law, frozen, state, rear, front, jacobian);

  // Sliding couplings push with their limit, weighted +1 above and -1 below.
  const auto side = [&frozen](int row) -> Real {
    return frozen.high_weight(row) - frozen.low_weight(row);
  };
  const SlidingSlopes<Real> clutch = clutch_slopes(law, state, side(coupling::clutch));
  const SlidingSlopes<Real> shoes = shoe_slopes(law, active, state, side(coupling::second));
  const auto engine = engine_torque(law.engine, Dual<Real, 2>::variable(state(node::crank), 0),
                                    Dual<Real, 2>::variable(state(kThrottle), 1));
  const auto pushed = [&frozen](int row, int at, const Real& slope) -> Real {
    return -frozen.push(row, at) * slope;
  };
  fill_column(frozen, node::crank, node::crank,
              Real(engine.slopes[0] + pushed(coupling::clutch, node::crank, clutch.by_speed)),
              node::bell, pushed(coupling::clutch, node::bell, clutch.by_speed), jacobian);
  fill_column(frozen, kThrottle, node::crank, engine.slopes[1], jacobian);
  fill_column(frozen, state_of(clutch_surface), node::crank,
              pushed(coupling::clutch, node::crank, clutch.by_temperature), node::bell,
              pushed(coupling::clutch, node::bell, clutch.by_temperature), jacobian);
  fill_column(frozen, node::shaft, node::bell, pushed(coupling::second, node::bell, shoes.by_speed),
              node::shaft, pushed(coupling::second, node::shaft, shoes.by_speed), jacobian);
  fill_column(frozen, state_of(shoe_surface), node::bell,
              pushed(coupling::second, node::bell, shoes.by_temperature), node::shaft,
              pushed(coupling::second, node::shaft, shoes.by_temperature), jacobian);

  // The finger sees the slip and its rate, whose slopes are those of the slip's own row.
  const auto eased = eased_opening(law, Dual<Real, 2>::variable(state(state_of(rear_slip)), 0),
                                   Dual<Real, 2>::variable(rear.rate, 1));
  const Real asked = active.pedals.throttle_offset + active.pedals.throttle_slope * time;
  const Real by_slip = asked * eased.slopes[0] * law.response_rate;
  const Real by_rate = asked * eased.slopes[1] * law.response_rate;
  jacobian(kThrottle, node::rear) = by_rate * jacobian(state_of(rear_slip), node::rear);
  jacobian(kThrottle, node::car) = by_rate * jacobian(state_of(rear_slip), node::car);
  jacobian(kThrottle, state_of(load_transfer)) =
      by_rate * jacobian(state_of(rear_slip), state_of(load_transfer));
  jacobian(kThrottle, state_of(rear_slip)) =
      by_slip + by_rate * jacobian(state_of(rear_slip), state_of(rear_slip));
  jacobian(kThrottle, kThrottle) = -law.response_rate;

  const Real second = law.bell_to_second;
  fill_heat(
      law.clutch_heat,
      HeatSlip<Real>{state_of(clutch_surface), state_of(clutch_body), node::crank, node::bell,
                     state(node::crank) - state(node::bell), Real(1.0), clutch.by_speed, Real(0.0)},
      clutch, jacobian);
  fill_heat(law.shoe_heat,
            HeatSlip<Real>{state_of(shoe_surface), state_of(shoe_body), node::bell, node::shaft,
                           state(node::bell) * second - state(node::shaft), second, Real(0.0),
                           shoes.by_speed},
            shoes, jacobian);

  // Time enters by the pedals alone: the brake pushes the shaft.
  const Real brake = side(coupling::brake) * law.brake_torque * active.pedals.brake_slope;
  for (int i = 0; i < kDrivetrainStates; ++i) time_slope(i) = Real(0.0);
  for (int i = 0; i < node::car; ++i) {
    time_slope(i) = frozen.accelerate(i, node::shaft) * pushed(coupling::brake, node::shaft, brake);
  }
  time_slope(kThrottle) = active.pedals.throttle_slope * eased.value * law.response_rate;
}

}  // namespace layshaft
