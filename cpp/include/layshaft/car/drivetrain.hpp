#pragma once

/// The car as a plant for the integrator: engine, clutch, two gears, belts, tyres and body.
///
/// Slips and torques: a positive slip is the engine's side faster; a positive torque drives the
/// car.
///
///     clutch      crank - bell             +/- capacity, sliding or at rest
///     first       bell / i1 - shaft        [0, no limit): drives, overruns (one-way bearing)
///     second      bell / i2 - shaft        +/- sum over the shoes that are out
///     belts       shaft / i - axle         +/- torque at which the teeth jump; 0 below for a
///     one-way axle brake       shaft                    +/- (brake + bearing drag) rolling     car
///     +/- rolling drag [N]
///
/// Losses of gear mesh and belts stand in the rows that push (see `network.hpp`): the driving side
/// pays torque / efficiency, driven backwards it gets torque * efficiency. Tyres are forces from
/// their slip states. Source: first principles; laws as cited in their own headers.

#include "layshaft/car/car.hpp"
#include "layshaft/car/parts.hpp"
#include "layshaft/car/pedals.hpp"
#include "layshaft/network/plant.hpp"

namespace layshaft {

/// Coefficients of the whole car; only `Real` members, so that it can be packed lane by lane.
template <class Real>
struct DrivetrainLaw {
  EngineLaw<Real> engine;
  ClutchLaw<Real> clutch;
  HeatLaw<Real> clutch_heat;
  std::array<ShoeLaw<Real>, 2> shoes;
  HeatLaw<Real> shoe_heat;
  TyreLaw<Real> rear_tyre;
  TyreLaw<Real> front_tyre;
  Real first_ratio;         ///< Spur over pinion [-].
  Real second_ratio;        ///< [-].
  Real first_efficiency;    ///< [-].
  Real second_efficiency;   ///< [-].
  Real rear_ratio;          ///< Shaft over axle speed [-].
  Real front_ratio;         ///< [-].
  Real rear_efficiency;     ///< [-].
  Real front_efficiency;    ///< [-].
  Real rear_jump;           ///< [N*m].
  Real front_jump;          ///< [N*m].
  Real front_back_jump;     ///< The front belt's lower limit, 0 for a one-way axle [N*m].
  Real brake_torque;        ///< [N*m].
  Real brake_static_ratio;  ///< [-].
  Real shaft_drag;          ///< [N*m].
  Real mass;                ///< [kg].
  Real weight;              ///< Load on the ground at rest [N].
  Real grade_force;         ///< Weight along the road, positive uphill [N].
  Real front_share;         ///< [-].
  Real lever;               ///< Centre height over wheelbase [-].
  Real load_transfer_time;  ///< [s].
  Real drag;                ///< Air drag per square of speed [kg/m].
  Real downforce;           ///< Downforce per square of speed [kg/m].
  Real air_temperature;     ///< [K].
  Real slip_target;         ///< [-].
  Real anticipation;        ///< [s].
  Real response_time;       ///< [s].
};

/// What may differ from run to run on the same car.
struct RunInputs {
  Pedals pedals;
  double grade;  ///< Rise over run of the road [-], -1..1; positive is uphill.
  bool operator==(const RunInputs&) const = default;
};

/// Loads of the two axles and forces of their tyres.
template <class Real>
struct AxleForces {
  Real rear_load, front_load;      ///< [N]
  Real rear_force, front_force;    ///< [N]
  Real rear_radius, front_radius;  ///< [m]
};

template <class Real, class State>
[[nodiscard]] AxleForces<Real> axle_forces(const DrivetrainLaw<Real>& law, const State& state) {
  const Real speed = state(node::car);
  const Real transfer = state(state_of(auxiliary::load_transfer));
  const Real pressed = law.weight + law.downforce * speed * speed;
  const Real front_load = law.front_share * pressed - transfer;
  const Real rear_load = pressed - front_load;
  const Real rear_slip = state(state_of(auxiliary::rear_slip));
  const Real front_slip = state(state_of(auxiliary::front_slip));
  const Real rear_speed = state(node::rear);
  const Real front_speed = state(node::front);
  return {.rear_load = rear_load,
          .front_load = front_load,
          .rear_force = tyre_force(law.rear_tyre, rear_slip, rear_load),
          .front_force = tyre_force(law.front_tyre, front_slip, front_load),
          .rear_radius = tyre_radius(law.rear_tyre, rear_speed),
          .front_radius = tyre_radius(law.front_tyre, front_speed)};
}

/// Loads of the network, with the axle forces they were made from.
template <class Real>
struct DrivetrainLoads : Loads<Real, node::count, coupling::count> {
  AxleForces<Real> axles;
};

class Drivetrain {
 public:
  static constexpr int kNodes = node::count;
  static constexpr int kCouplings = coupling::count;
  static constexpr int kAuxiliaries = auxiliary::count;
  static constexpr int kAccounts = account::count;
  static constexpr int kSwitches = plant_switch::count;
  using State = Vector<double, kNodes + kAuxiliaries>;
  using Accounts = std::array<double, kAccounts>;
  using Jacobian = Eigen::Matrix<double, kNodes + kAuxiliaries, kNodes + kAuxiliaries>;
  using Positions = std::array<std::int16_t, kSwitches>;

  /// The frozen switches as numbers.
  template <class Real>
  struct ActiveOf {
    std::array<Real, 2> shoe_out;  ///< 1 where the shoe is out, else 0.
    PedalLine<Real> pedals;
  };
  using Active = ActiveOf<double>;

  /// Throws std::invalid_argument naming the field, its value and the broken bound.
  explicit Drivetrain(const Car& car, const RunInputs& inputs = {});

  [[nodiscard]] const Network<kNodes, kCouplings>& network() const { return network_; }
  [[nodiscard]] const DrivetrainLaw<double>& law() const { return law_; }
  [[nodiscard]] const RunInputs& inputs() const { return inputs_; }
  [[nodiscard]] State state_scale() const;
  [[nodiscard]] Vector<double, kCouplings> torque_scale() const { return torque_scale_; }
  [[nodiscard]] Vector<double, kCouplings> slip_scale() const { return slip_scale_; }

  /// State and switches of the car rolling at `speed` [m/s], >= 0, shoes in where they hold at that
  /// speed, engine at idle or at the speed the wheels ask for.
  [[nodiscard]] State rolling_state(double speed) const;
  [[nodiscard]] Positions rolling_switches(const State& state) const;

  [[nodiscard]] Active activate(const Positions& switches) const;
  [[nodiscard]] HoldLimits<kCouplings> hold_limits(const Active& active,
                                                   const DrivetrainLoads<double>& loads,
                                                   double time, const State& state) const;
  [[nodiscard]] double switch_guard(int k, const Positions& switches, double time,
                                    const State& state) const;
  [[nodiscard]] int next_switch(int k, const Positions& switches, double time,
                                const State& state) const;
  [[nodiscard]] bool is_open(int which, const Positions& switches) const;
  [[nodiscard]] double corner_time(const Positions& switches) const;
  [[nodiscard]] Positions pass_corner(Positions switches) const;

  /// Energy of motion [J]: car, and all that turns.
  [[nodiscard]] double car_energy(const State& state) const;
  [[nodiscard]] double rotating_energy(const State& state) const;

  template <class Real>
  [[nodiscard]] DrivetrainLoads<Real> loads(const ActiveOf<Real>& active, const Real& time,
                                            const Vector<Real, kNodes + kAuxiliaries>& state) const;

  template <class Real>
  void auxiliary_rates(const ActiveOf<Real>& active, const Real& time,
                       const Vector<Real, kNodes + kAuxiliaries>& state,
                       const DrivetrainLoads<Real>& loads, const Vector<Real, kCouplings>& sliding,
                       const Vector<Real, kNodes>& accelerations,
                       Vector<Real, kNodes + kAuxiliaries>& rates) const;

  [[nodiscard]] Accounts account_rates(const Active& active, double time, const State& state,
                                       const DrivetrainLoads<double>& loads,
                                       const Vector<double, kCouplings>& torques) const;

  /// Exact Jacobian of the state's rates, and their slope in time; zero outside
  /// `jacobian_pattern`.
  void linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                 double time, const State& state, Jacobian& jacobian, State& time_slope) const;

  [[nodiscard]] static constexpr SparsityPattern<kNodes + kAuxiliaries> jacobian_pattern();

 private:
  DrivetrainLaw<double> law_;
  RunInputs inputs_;
  Network<kNodes, kCouplings> network_;
  Vector<double, kCouplings> torque_scale_;
  Vector<double, kCouplings> slip_scale_;
};

/// Share of the asked opening that the driver's finger leaves at a rear tyre slip [-] and its rate
/// [1/s]: 1/(1 + (s/target)^2) with the slip s expected `anticipation` later. Smooth everywhere,
/// and soft: with a steeper law, or without the look ahead, finger, clutch and tyre swing against
/// each other at 8 to 20 Hz in the first metres. The eigenvalues are a test.
template <class Coefficient, class Real>
[[nodiscard]] Real eased_opening(const DrivetrainLaw<Coefficient>& law, const Real& slip,
                                 const Real& slip_rate) {
  return Real(1.0) / (Real(1.0) + square((slip + law.anticipation * slip_rate) / law.slip_target));
}

/// Hot over cold friction of the clutch and of the shoes at the temperatures of a state.
template <class Real, class State>
[[nodiscard]] Real clutch_friction_ratio(const DrivetrainLaw<Real>& law, const State& state) {
  const Real rise = state(state_of(auxiliary::clutch_surface));
  return friction_ratio(law.clutch_heat, Real(law.air_temperature + rise));
}
template <class Real, class State>
[[nodiscard]] Real shoe_friction_ratio(const DrivetrainLaw<Real>& law, const State& state) {
  const Real rise = state(state_of(auxiliary::shoe_surface));
  return friction_ratio(law.shoe_heat, Real(law.air_temperature + rise));
}

template <class Real>
DrivetrainLoads<Real> Drivetrain::loads(const ActiveOf<Real>& active, const Real& time,
                                        const Vector<Real, kNodes + kAuxiliaries>& state) const {
  const DrivetrainLaw<Real>& law = law_;
  const Real crank = state(node::crank);
  const Real shaft = state(node::shaft);
  const Real speed = state(node::car);
  const Real opening = state(state_of(auxiliary::throttle));

  DrivetrainLoads<Real> loads;
  loads.axles = axle_forces<Real>(law, state);
  const AxleForces<Real>& axles = loads.axles;
  loads.applied(node::crank) = engine_torque(law.engine, crank, opening);
  loads.applied(node::bell) = Real(0.0);
  loads.applied(node::shaft) = Real(0.0);
  loads.applied(node::rear) = -axles.rear_force * axles.rear_radius;
  loads.applied(node::front) = -axles.front_force * axles.front_radius;
  loads.applied(node::car) =
      axles.rear_force + axles.front_force - law.drag * speed * abs(speed) - law.grade_force;

  // Not clamped: which of clutch and shoes press is a switch, frozen during a step.
  const Real clutch =
      law.clutch.gain * clutch_friction_ratio<Real>(law, state) * clutch_excess(law.clutch, crank);
  const Real shoe_ratio = shoe_friction_ratio<Real>(law, state);
  Real second_high(0.0);
  Real second_low(0.0);
  for (std::size_t k = 0; k < 2; ++k) {
    second_high += active.shoe_out[k] * shoe_torque(law.shoes[k], shaft, Real(1.0), shoe_ratio);
    second_low -= active.shoe_out[k] * shoe_torque(law.shoes[k], shaft, Real(-1.0), shoe_ratio);
  }
  const Real pedal = active.pedals.brake_offset + active.pedals.brake_slope * time;
  const Real brake = law.brake_torque * pedal + law.shaft_drag;
  const Real rolling =
      rolling_drag(law.rear_tyre, axles.rear_load) + rolling_drag(law.front_tyre, axles.front_load);

  loads.high << clutch, Real(kNoLimit), second_high, law.rear_jump, law.front_jump, brake, rolling;
  loads.low << -clutch, Real(0.0), second_low, -law.rear_jump, -law.front_back_jump, -brake,
      -rolling;
  return loads;
}

template <class Real>
void Drivetrain::auxiliary_rates(const ActiveOf<Real>& active, const Real& time,
                                 const Vector<Real, kNodes + kAuxiliaries>& state,
                                 const DrivetrainLoads<Real>& loads,
                                 const Vector<Real, kCouplings>& sliding,
                                 const Vector<Real, kNodes>& accelerations,
                                 Vector<Real, kNodes + kAuxiliaries>& rates) const {
  using namespace auxiliary;  // NOLINT: the names of the states, in this function only
  const DrivetrainLaw<Real>& law = law_;
  const auto rate = [&rates](Auxiliary which) -> Real& { return rates(state_of(which)); };
  const auto value = [&state](Auxiliary which) -> const Real& { return state(state_of(which)); };
  const Real speed = state(node::car);
  const AxleForces<Real>& axles = loads.axles;

  rate(rear_slip) = tyre_slip_rate(law.rear_tyre, value(rear_slip),
                                   Real(axles.rear_radius * state(node::rear)), speed);
  rate(front_slip) = tyre_slip_rate(law.front_tyre, value(front_slip),
                                    Real(axles.front_radius * state(node::front)), speed);
  const Real transfer = law.lever * (law.mass * accelerations(node::car) + law.grade_force);
  rate(load_transfer) = (transfer - value(load_transfer)) / law.load_transfer_time;

  const Real asked = active.pedals.throttle_offset + active.pedals.throttle_slope * time;
  const Real eased = eased_opening(law, value(rear_slip), Real(rate(rear_slip)));
  rate(throttle) = (asked * eased - value(throttle)) / law.response_time;

  const Real clutch_power = sliding(coupling::clutch) * (state(node::crank) - state(node::bell));
  const Real shoe_power =
      sliding(coupling::second) * (state(node::bell) / law.second_ratio - state(node::shaft));
  const HeatRates<Real> clutch_heat =
      heat_rates(law.clutch_heat, value(clutch_surface), value(clutch_body), clutch_power);
  const HeatRates<Real> shoe_heat =
      heat_rates(law.shoe_heat, value(shoe_surface), value(shoe_body), shoe_power);
  rate(clutch_surface) = clutch_heat.surface;
  rate(clutch_body) = clutch_heat.body;
  rate(shoe_surface) = shoe_heat.surface;
  rate(shoe_body) = shoe_heat.body;
}

// Which states each rate depends on, whatever the modes; see `linearise`.
constexpr SparsityPattern<Drivetrain::kNodes + Drivetrain::kAuxiliaries>
Drivetrain::jacobian_pattern() {
  using namespace auxiliary;  // NOLINT: the names of the states, in this function only
  SparsityPattern<kNodes + kAuxiliaries> pattern;
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
  fill(node::car, {node::car, kRearSlip, kFrontSlip, kTransfer});
  fill(kRearSlip, {node::rear, node::car, kRearSlip});
  fill(kFrontSlip, {node::front, node::car, kFrontSlip});
  fill(kTransfer, {node::car, kRearSlip, kFrontSlip, kTransfer});
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

}  // namespace layshaft
