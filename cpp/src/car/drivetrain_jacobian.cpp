#include "layshaft/car/drivetrain.hpp"
#include "layshaft/number/dual.hpp"

// The Jacobian is put together from the derivatives of each law with respect to its own few
// arguments, which the laws themselves give when they are evaluated on dual numbers.

namespace layshaft {
namespace {

using Dual1 = Dual<double, 1>;
using Dual2 = Dual<double, 2>;

constexpr int kStates = Drivetrain::kNodes + Drivetrain::kAuxiliaries;
constexpr int kRearSlip = state_of(auxiliary::rear_slip);
constexpr int kFrontSlip = state_of(auxiliary::front_slip);
constexpr int kTransfer = state_of(auxiliary::load_transfer);
constexpr int kThrottle = state_of(auxiliary::throttle);
constexpr int kClutchSurface = state_of(auxiliary::clutch_surface);
constexpr int kClutchBody = state_of(auxiliary::clutch_body);
constexpr int kShoeSurface = state_of(auxiliary::shoe_surface);
constexpr int kShoeBody = state_of(auxiliary::shoe_body);

// Slopes of the forces on the nodes with respect to the states.
using ForceSlopes = Eigen::Matrix<double, node::count, kStates>;

// Slopes of one axle: its tyre's force and its node's torque.
struct AxleSlopes {
  double load, load_by_speed, load_by_transfer;
  double force, force_by_slip, force_by_load;
  double radius, radius_by_axle_speed;
};

AxleSlopes axle_slopes(const TyreLaw<double>& tyre, double load, double load_by_speed,
                       double load_by_transfer, double slip, double axle_speed) {
  const Dual2 force = tyre_force(tyre, Dual2::variable(slip, 0), Dual2::variable(load, 1));
  const Dual1 radius = tyre_radius(tyre, Dual1::variable(axle_speed, 0));
  return {load,         load_by_speed,   load_by_transfer,
          force.value,  force.slopes[0], force.slopes[1],
          radius.value, radius.slopes[0]};
}

struct Axles {
  AxleSlopes rear, front;
};

Axles axles_at(const DrivetrainLaw<double>& law, const Drivetrain::State& state,
               const AxleForces<double>& forces) {
  const double pressed_by_speed = 2.0 * law.downforce * state(node::car);
  const double front_by_speed = law.front_share * pressed_by_speed;
  return {axle_slopes(law.rear_tyre, forces.rear_load, pressed_by_speed - front_by_speed, 1.0,
                      state(kRearSlip), state(node::rear)),
          axle_slopes(law.front_tyre, forces.front_load, front_by_speed, -1.0, state(kFrontSlip),
                      state(node::front))};
}

void add_axle(const AxleSlopes& axle, int axle_node, int slip, ForceSlopes& slopes) {
  const double by_speed = axle.force_by_load * axle.load_by_speed;
  const double by_transfer = axle.force_by_load * axle.load_by_transfer;
  slopes(node::car, slip) += axle.force_by_slip;
  slopes(node::car, node::car) += by_speed;
  slopes(node::car, kTransfer) += by_transfer;
  slopes(axle_node, slip) -= axle.force_by_slip * axle.radius;
  slopes(axle_node, node::car) -= by_speed * axle.radius;
  slopes(axle_node, kTransfer) -= by_transfer * axle.radius;
  slopes(axle_node, axle_node) -= axle.force * axle.radius_by_axle_speed;
}

// A sliding torque with its slopes in a speed and in a temperature.
struct SlidingSlopes {
  double torque, by_speed, by_temperature;
};

SlidingSlopes clutch_slopes(const DrivetrainLaw<double>& law, const Drivetrain::State& state,
                            double weight) {
  const auto rise = Dual2::variable(state(kClutchSurface), 1);
  const Dual2 ratio = friction_ratio(law.clutch_heat, Dual2(law.air_temperature) + rise);
  const Dual2 excess = clutch_excess(law.clutch, Dual2::variable(state(node::crank), 0));
  const Dual2 torque = (weight * law.clutch.gain) * ratio * excess;
  return {torque.value, torque.slopes[0], torque.slopes[1]};
}

SlidingSlopes shoe_slopes(const DrivetrainLaw<double>& law, const Drivetrain::Active& active,
                          const Drivetrain::State& state, double low_weight, double high_weight) {
  const auto rise = Dual2::variable(state(kShoeSurface), 1);
  const auto shaft = Dual2::variable(state(node::shaft), 0);
  const Dual2 ratio = friction_ratio(law.shoe_heat, Dual2(law.air_temperature) + rise);
  const double direction = high_weight > 0.0 ? 1.0 : -1.0;
  Dual2 torque(0.0);
  for (std::size_t k = 0; k < 2; ++k) {
    torque += active.shoe_out[k] * shoe_torque(law.shoes[k], shaft, Dual2(direction), ratio);
  }
  torque = (high_weight - low_weight) * torque;
  return {torque.value, torque.slopes[0], torque.slopes[1]};
}

void add_heat(const HeatLaw<double>& law, int surface, int body, const SlidingSlopes& sliding,
              double slip, int torque_speed, Drivetrain::Jacobian& jacobian) {
  const double on_surface = law.surface_share / law.surface_capacity;
  const double on_body = (1.0 - law.surface_share) / law.body_capacity;
  for (const auto& [row, share] : {std::pair{surface, on_surface}, std::pair{body, on_body}}) {
    jacobian(row, torque_speed) += share * sliding.by_speed * slip;
    jacobian(row, surface) += share * sliding.by_temperature * slip;
  }
  jacobian(surface, surface) -=
      (law.between_conductance + law.surface_conductance) / law.surface_capacity;
  jacobian(surface, body) += law.between_conductance / law.surface_capacity;
  jacobian(body, surface) += law.between_conductance / law.body_capacity;
  jacobian(body, body) -= (law.between_conductance + law.body_conductance) / law.body_capacity;
}

void add_slip(const TyreLaw<double>& tyre, const AxleSlopes& axle, int slip, int axle_node,
              const Drivetrain::State& state, Drivetrain::Jacobian& jacobian) {
  const double axle_speed = state(axle_node);
  const Dual<double, 3> rate =
      tyre_slip_rate(tyre, Dual<double, 3>::variable(state(slip), 0),
                     Dual<double, 3>::variable(axle.radius * axle_speed, 1),
                     Dual<double, 3>::variable(state(node::car), 2));
  const double tread_by_axle = axle.radius + axle.radius_by_axle_speed * axle_speed;
  jacobian(slip, slip) = rate.slopes[0];
  jacobian(slip, axle_node) = rate.slopes[1] * tread_by_axle;
  jacobian(slip, node::car) = rate.slopes[2];
}

}  // namespace

void Drivetrain::linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                           double time, const State& state, Jacobian& jacobian,
                           State& time_slope) const {
  const DrivetrainLaw<double>& law = law_;
  const AxleForces<double> forces = axle_forces<double>(law, state);
  const Axles axles = axles_at(law, state, forces);
  ForceSlopes slopes = ForceSlopes::Zero();
  add_axle(axles.rear, node::rear, kRearSlip, slopes);
  add_axle(axles.front, node::front, kFrontSlip, slopes);
  slopes(node::car, node::car) -= 2.0 * law.drag * abs(state(node::car));
  const Dual2 engine = engine_torque(law.engine, Dual2::variable(state(node::crank), 0),
                                     Dual2::variable(state(kThrottle), 1));
  slopes(node::crank, node::crank) += engine.slopes[0];
  slopes(node::crank, kThrottle) += engine.slopes[1];

  // Sliding couplings push with their limit, weighted +1 above and -1 below.
  const auto side = [&frozen](int row) { return frozen.high_weight(row) - frozen.low_weight(row); };
  const SlidingSlopes clutch = clutch_slopes(law, state, side(coupling::clutch));
  const SlidingSlopes shoes = shoe_slopes(law, active, state, frozen.low_weight(coupling::second),
                                          frozen.high_weight(coupling::second));
  const double rolling_by_load_rear = side(coupling::rolling) * law.rear_tyre.rolling_resistance;
  const double rolling_by_load_front = side(coupling::rolling) * law.front_tyre.rolling_resistance;
  for (int i = 0; i < kNodes; ++i) {
    slopes(i, node::crank) -= frozen.push(coupling::clutch, i) * clutch.by_speed;
    slopes(i, kClutchSurface) -= frozen.push(coupling::clutch, i) * clutch.by_temperature;
    slopes(i, node::shaft) -= frozen.push(coupling::second, i) * shoes.by_speed;
    slopes(i, kShoeSurface) -= frozen.push(coupling::second, i) * shoes.by_temperature;
  }
  const double push_car = frozen.push(coupling::rolling, node::car);
  slopes(node::car, node::car) -= push_car * (rolling_by_load_rear * axles.rear.load_by_speed +
                                              rolling_by_load_front * axles.front.load_by_speed);
  slopes(node::car, kTransfer) -= push_car * (rolling_by_load_rear * axles.rear.load_by_transfer +
                                              rolling_by_load_front * axles.front.load_by_transfer);

  jacobian.setZero();
  jacobian.template topRows<kNodes>() = frozen.accelerate * slopes;

  add_slip(law.rear_tyre, axles.rear, kRearSlip, node::rear, state, jacobian);
  add_slip(law.front_tyre, axles.front, kFrontSlip, node::front, state, jacobian);
  const double inverse_time = 1.0 / law.load_transfer_time;
  jacobian.row(kTransfer) = law.lever * law.mass * inverse_time * jacobian.row(node::car);
  jacobian(kTransfer, kTransfer) -= inverse_time;
  // The finger sees the slip and its rate, whose slopes are those of the slip's own row.
  const double slip_rate = tyre_slip_rate(law.rear_tyre, state(kRearSlip),
                                          axles.rear.radius * state(node::rear), state(node::car));
  const Dual2 eased =
      eased_opening(law, Dual2::variable(state(kRearSlip), 0), Dual2::variable(slip_rate, 1));
  const double asked = active.pedals.throttle_offset + active.pedals.throttle_slope * time;
  for (const int column : {static_cast<int>(node::rear), static_cast<int>(node::car), kRearSlip}) {
    jacobian(kThrottle, column) =
        asked * eased.slopes[1] * jacobian(kRearSlip, column) / law.response_time;
  }
  jacobian(kThrottle, kRearSlip) += asked * eased.slopes[0] / law.response_time;
  jacobian(kThrottle, kThrottle) = -1.0 / law.response_time;

  const double clutch_slip = state(node::crank) - state(node::bell);
  const double shoe_slip = state(node::bell) / law.second_ratio - state(node::shaft);
  add_heat(law.clutch_heat, kClutchSurface, kClutchBody, clutch, clutch_slip, node::crank,
           jacobian);
  add_heat(law.shoe_heat, kShoeSurface, kShoeBody, shoes, shoe_slip, node::shaft, jacobian);
  const auto heat_by_slip = [&](const HeatLaw<double>& heat, int surface, int body, double torque,
                                int fast, double fast_share, int slow) {
    const double on_surface = heat.surface_share / heat.surface_capacity * torque;
    const double on_body = (1.0 - heat.surface_share) / heat.body_capacity * torque;
    jacobian(surface, fast) += on_surface * fast_share;
    jacobian(surface, slow) -= on_surface;
    jacobian(body, fast) += on_body * fast_share;
    jacobian(body, slow) -= on_body;
  };
  heat_by_slip(law.clutch_heat, kClutchSurface, kClutchBody, clutch.torque, node::crank, 1.0,
               node::bell);
  heat_by_slip(law.shoe_heat, kShoeSurface, kShoeBody, shoes.torque, node::bell,
               1.0 / law.second_ratio, node::shaft);

  // Time enters by the pedals alone.
  time_slope.setZero();
  const double brake_slope = side(coupling::brake) * law.brake_torque * active.pedals.brake_slope;
  const Vector<double, kNodes> push_slope =
      -frozen.push.row(coupling::brake).transpose() * brake_slope;
  time_slope.template head<kNodes>() = frozen.accelerate * push_slope;
  time_slope(kTransfer) = law.lever * law.mass * inverse_time * time_slope(node::car);
  time_slope(kThrottle) = active.pedals.throttle_slope * eased.value / law.response_time;
}

}  // namespace layshaft
