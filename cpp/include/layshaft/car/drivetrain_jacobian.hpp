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
  constexpr int kRearStrain = state_of(rear_strain);
  constexpr int kFrontStrain = state_of(front_strain);
  constexpr int kRearSlip = state_of(rear_slip);
  constexpr int kFrontSlip = state_of(front_slip);
  constexpr int kTransfer = state_of(load_transfer);
  constexpr int kThrottle = state_of(throttle);
  constexpr int kClutchHeat = state_of(clutch_surface);
  constexpr int kShoeHeat = state_of(shoe_surface);
  for (const int row : {node::crank, node::bell, node::shaft, node::rear, node::front}) {
    fill(row, {node::crank, node::shaft, node::rear, node::front, node::car, kRearStrain,
               kFrontStrain, kTransfer, kThrottle, kClutchHeat, kShoeHeat});
  }
  fill(node::car, {node::rear, node::front, node::car, kRearStrain, kFrontStrain, kTransfer});
  fill(kRearStrain, {node::rear, node::car, kRearStrain, kTransfer});
  fill(kFrontStrain, {node::front, node::car, kFrontStrain, kTransfer});
  fill(kRearSlip, {node::rear, node::car, kRearSlip});
  fill(kFrontSlip, {node::front, node::car, kFrontSlip});
  fill(kTransfer, {node::rear, node::front, node::car, kRearStrain, kFrontStrain, kTransfer});
  fill(kThrottle, {node::rear, node::car, kRearSlip, kThrottle});
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
                              kFrontSlip,
                              kRearSlip,
                              kThrottle,
                              kRearStrain,
                              kFrontStrain,
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

// Slopes of one axle: its load, its tyre's force, how fast it is wound up, the slip that is seen,
// and its radius.
template <class Real>
struct AxleSlopes {
  Real load_by_speed, load_by_transfer;
  Real force, force_by_strain, force_by_load, force_by_axle, force_by_car;
  Real rate_by_strain, rate_by_load, rate_by_axle, rate_by_car;
  Real seen_rate, seen_by_seen, seen_by_axle, seen_by_car;
  Real radius, radius_by_axle;
};

// States that one axle's tyre depends on; `load` with its slopes in the car's speed and in the load
// transfer.
template <class Real>
struct AxleState {
  Dual<Real, 2> load;
  Real strain, seen, axle_speed, car_speed;
};

template <class Coefficient, class Real>
[[nodiscard]] AxleSlopes<Real> axle_slopes(const TyreLaw<Coefficient>& tyre,
                                           const AxleState<Real>& at) {
  using Dual2 = Dual<Real, 2>;
  using Dual3 = Dual<Real, 3>;  // By axle, car and the slip that is seen.
  using Dual4 = Dual<Real, 4>;  // By axle, car, strain and load.
  const auto radius = tyre_radius(tyre, Dual<Real, 1>::variable(at.axle_speed, 0));
  const Real tread = radius.value * at.axle_speed;
  const Real tread_by_axle = radius.value + radius.slopes[0] * at.axle_speed;
  const Dual2 tread2{tread, {tread_by_axle, Real(0.0)}};
  const Dual3 tread3{tread, {tread_by_axle, Real(0.0), Real(0.0)}};
  const Dual4 tread4{tread, {tread_by_axle, Real(0.0), Real(0.0), Real(0.0)}};
  const Dual2 slip = tyre_slip(tread2, Dual2::variable(at.car_speed, 1));
  const Dual2 part =
      sticking_share(tyre, Dual2::variable(slip.value, 0), Dual2::variable(at.load.value, 1));
  const Dual4 share{part.value,
                    {part.slopes[0] * slip.slopes[0], part.slopes[0] * slip.slopes[1], Real(0.0),
                     part.slopes[1]}};
  const Dual4 strain = Dual4::variable(at.strain, 2);
  const Dual4 rate =
      tyre_strain_rate(tyre, strain, share, tread4, Dual4::variable(at.car_speed, 1));
  const Dual4 force = tyre_force_now(tyre, strain, rate, Dual4::variable(at.load.value, 3));
  const Dual3 seen =
      seen_slip_rate(tyre, Dual3::variable(at.seen, 2), tread3, Dual3::variable(at.car_speed, 1));
  return {.load_by_speed = at.load.slopes[0],
          .load_by_transfer = at.load.slopes[1],
          .force = force.value,
          .force_by_strain = force.slopes[2],
          .force_by_load = force.slopes[3],
          .force_by_axle = force.slopes[0],
          .force_by_car = force.slopes[1],
          .rate_by_strain = rate.slopes[2],
          .rate_by_load = rate.slopes[3],
          .rate_by_axle = rate.slopes[0],
          .rate_by_car = rate.slopes[1],
          .seen_rate = seen.value,
          .seen_by_seen = seen.slopes[2],
          .seen_by_axle = seen.slopes[0],
          .seen_by_car = seen.slopes[1],
          .radius = radius.value,
          .radius_by_axle = radius.slopes[0]};
}

// Loads of both axles with their slopes in the car's speed and in the load transfer.
template <class Real, class Coefficient, class State>
[[nodiscard]] AxleLoads<Dual<Real, 2>> load_slopes(const DrivetrainLaw<Coefficient>& law,
                                                   const State& state) {
  using Dual2 = Dual<Real, 2>;
  return axle_loads<Dual2>(law, [&state](int which) -> Dual2 {
    return Dual2::variable(Real(state(which)), which == node::car ? 0 : 1);
  });
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
void fill_tyre(const AxleSlopes<Real>& axle, int strain, int seen, int axle_node,
               Jacobian& jacobian) {
  jacobian(strain, strain) = axle.rate_by_strain;
  jacobian(strain, axle_node) = axle.rate_by_axle;
  jacobian(strain, node::car) = axle.rate_by_car + axle.rate_by_load * axle.load_by_speed;
  jacobian(strain, state_of(auxiliary::load_transfer)) = axle.rate_by_load * axle.load_by_transfer;
  jacobian(seen, seen) = axle.seen_by_seen;
  jacobian(seen, axle_node) = axle.seen_by_axle;
  jacobian(seen, node::car) = axle.seen_by_car;
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
  constexpr int kRearStrain = state_of(auxiliary::rear_strain);
  constexpr int kFrontStrain = state_of(auxiliary::front_strain);
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
  fill_column(frozen, kRearStrain, node::rear, Real(-rear.force_by_strain * rear.radius), jacobian);
  fill_column(frozen, kFrontStrain, node::front, Real(-front.force_by_strain * front.radius),
              jacobian);
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
  fill_car(kRearStrain, rear.force_by_strain);
  fill_car(kFrontStrain, front.force_by_strain);
  fill_car(kTransfer,
           rear_by_transfer + front_by_transfer -
               (rear_rolling * rear.load_by_transfer + front_rolling * front.load_by_transfer));
  jacobian(kTransfer, kTransfer) -= law.load_transfer_rate;
  fill_tyre(rear, kRearStrain, state_of(auxiliary::rear_slip), node::rear, jacobian);
  fill_tyre(front, kFrontStrain, state_of(auxiliary::front_slip), node::front, jacobian);
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
  const auto value = [&state](int which) -> Real { return state(which); };
  const AxleLoads<Dual<Real, 2>> loads = load_slopes<Real>(law, state);
  const AxleSlopes<Real> rear =
      axle_slopes(law.rear_tyre,
                  AxleState<Real>{loads.rear, value(state_of(rear_strain)),
                                  value(state_of(rear_slip)), value(node::rear), value(node::car)});
  const AxleSlopes<Real> front =
      axle_slopes(law.front_tyre, AxleState<Real>{loads.front, value(state_of(front_strain)),
                                                  value(state_of(front_slip)), value(node::front),
                                                  value(node::car)});
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
  constexpr int kSlip = state_of(rear_slip);
  const auto eased = eased_opening(law, Dual<Real, 2>::variable(value(kSlip), 0),
                                   Dual<Real, 2>::variable(rear.seen_rate, 1));
  const Real asked = active.pedals.throttle_offset + active.pedals.throttle_slope * time;
  const Real by_slip = asked * eased.slopes[0] * law.response_rate;
  const Real by_rate = asked * eased.slopes[1] * law.response_rate;
  jacobian(kThrottle, node::rear) = by_rate * rear.seen_by_axle;
  jacobian(kThrottle, node::car) = by_rate * rear.seen_by_car;
  jacobian(kThrottle, kSlip) = by_slip + by_rate * rear.seen_by_seen;
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
