#include "layshaft/car/drivetrain.hpp"

#include <algorithm>
#include <cmath>

#include "layshaft/car/drivetrain_accounts.hpp"

namespace layshaft {
namespace {

ClutchLaw<double> make_clutch_law(const Clutch& clutch) {
  return clutch.design == ClutchDesign::axial ? make_clutch_law(clutch.axial)
                                              : make_clutch_law(clutch.thrown_shoes);
}

PassingShares<double> passing_shares(double efficiency) {
  return {1.0 / efficiency - 1.0, efficiency - 1.0};
}

DrivetrainLaw<double> make_drivetrain_law(const Car& car, const RunInputs& inputs,
                                          const BeltPath& rear, const BeltPath& front) {
  const double weight = car.body.mass * kStandardGravity;
  const double slope = std::atan(inputs.grade);
  const double density = moist_density(car.air);
  return {
      .engine = make_engine_law(car.engine, charge_ratio(car.air),
                                fuel_properties(car.fuel).heating_value),
      .clutch = make_clutch_law(car.clutch),
      .clutch_heat = make_heat_law(car.clutch.heat),
      .shoes = {make_shoe_law(car.two_speed, car.two_speed.shoes[0]),
                make_shoe_law(car.two_speed, car.two_speed.shoes[1])},
      .shoe_heat = make_heat_law(car.two_speed_heat),
      .rear_tyre = make_tyre_law(car.rear_tyre),
      .front_tyre = make_tyre_law(car.front_tyre),
      .first_ratio = ratio(car.first),
      .second_ratio = ratio(car.second),
      .first_efficiency = mesh_efficiency(car.first),
      .second_efficiency = mesh_efficiency(car.second),
      .rear_ratio = rear.ratio,
      .front_ratio = front.ratio,
      .rear_efficiency = rear.efficiency,
      .front_efficiency = front.efficiency,
      .bell_to_first = 1.0 / ratio(car.first),
      .bell_to_second = 1.0 / ratio(car.second),
      .shaft_to_rear = 1.0 / rear.ratio,
      .shaft_to_front = 1.0 / front.ratio,
      .first_passing = passing_shares(mesh_efficiency(car.first)),
      .second_passing = passing_shares(mesh_efficiency(car.second)),
      .rear_passing = passing_shares(rear.efficiency),
      .front_passing = passing_shares(front.efficiency),
      .rear_jump = rear.jump_torque * rear.ratio,
      .front_jump = front.jump_torque * front.ratio,
      .front_back_jump =
          car.front_axle == AxleKind::one_way ? 0.0 : front.jump_torque * front.ratio,
      .brake_torque = car.brake.torque,
      .brake_static_ratio = car.brake.static_ratio,
      .shaft_drag = car.shafts.drag,
      .mass = car.body.mass,
      .weight = weight * std::cos(slope),
      .grade_force = weight * std::sin(slope),
      .front_share = car.body.front_share,
      .wheelbase = car.body.wheelbase,
      .lever = car.body.centre_height / car.body.wheelbase,
      .load_transfer_rate = 1.0 / car.body.load_transfer_time,
      .drag = 0.5 * density * car.body.drag_area,
      .downforce = 0.5 * density * car.body.downforce_area,
      .air_temperature = car.air.temperature,
      .per_slip_target = 1.0 / car.driver.slip_target,
      .anticipation = car.driver.anticipation,
      .response_rate = 1.0 / car.driver.response_time,
      .plausible = {},
  };
}

// Speeds at the start: the engine's through gears and belts, or the car's through its wheels.
PlausibleLaw<double> make_plausible_law(const Engine& engine, const DrivetrainLaw<double>& law) {
  const auto tread = [](const TyreLaw<double>& tyre, double axle) {
    return axle * tyre_radius(tyre, axle);
  };
  const double revved = most_engine_speed(law.engine);
  // Whichever gear is the tall one.
  const double turned = revved / std::min(law.first_ratio, law.second_ratio);
  const double fastest = std::max({kMostStartSpeed, tread(law.rear_tyre, turned / law.rear_ratio),
                                   tread(law.front_tyre, turned / law.front_ratio)});
  const double shaft = std::max({turned, fastest / law.rear_tyre.radius * law.rear_ratio,
                                 fastest / law.front_tyre.radius * law.front_ratio});
  const double bell = std::max(revved, shaft * std::max(law.first_ratio, law.second_ratio));
  PlausibleLaw<double> plausible{
      .most_speed = {bell, bell, shaft, shaft / law.rear_ratio, shaft / law.front_ratio, fastest},
      .most_back = kMostSwingBack * law.engine.idle_speed,
      .gain = kStandardGravity / fastest,
      .most_power = most_engine_power(engine, law.engine)};
  for (double& speed : plausible.most_speed) speed *= 1.0 + kSpeedSpare;
  return plausible;
}

using Rows = Eigen::Matrix<double, coupling::count, node::count>;

// Slip rows; the order of the couplings is that of `parts.hpp`.
Rows slip_rows(const DrivetrainLaw<double>& law) {
  Rows rows = Rows::Zero();
  rows(coupling::clutch, node::crank) = 1.0;
  rows(coupling::clutch, node::bell) = -1.0;
  rows(coupling::first, node::bell) = 1.0 / law.first_ratio;
  rows(coupling::first, node::shaft) = -1.0;
  rows(coupling::second, node::bell) = 1.0 / law.second_ratio;
  rows(coupling::second, node::shaft) = -1.0;
  rows(coupling::rear_belt, node::shaft) = 1.0 / law.rear_ratio;
  rows(coupling::rear_belt, node::rear) = -1.0;
  rows(coupling::front_belt, node::shaft) = 1.0 / law.front_ratio;
  rows(coupling::front_belt, node::front) = -1.0;
  rows(coupling::brake, node::shaft) = 1.0;
  rows(coupling::rolling, node::car) = 1.0;
  return rows;
}

// The driving side pays torque / efficiency, or gets torque * efficiency when driven backwards.
Rows push_rows(const DrivetrainLaw<double>& law, bool forward) {
  const auto share = [forward](double efficiency) {
    return forward ? 1.0 / efficiency : efficiency;
  };
  Rows rows = slip_rows(law);
  rows(coupling::first, node::bell) *= share(law.first_efficiency);
  rows(coupling::second, node::bell) *= share(law.second_efficiency);
  rows(coupling::rear_belt, node::shaft) *= share(law.rear_efficiency);
  rows(coupling::front_belt, node::shaft) *= share(law.front_efficiency);
  return rows;
}

Vector<double, node::count> inertias(const Car& car, const DrivetrainLaw<double>& law,
                                     double belt_inertia) {
  Vector<double, node::count> inertia;
  inertia << car.engine.inertia,
      car.clutch.bell_inertia + car.shafts.first_spur_inertia / square(law.first_ratio) +
          car.shafts.drum_inertia / square(law.second_ratio),
      car.shafts.shaft_inertia + belt_inertia, car.rear_tyre.inertia, car.front_tyre.inertia,
      car.body.mass;
  return inertia;
}

// The positions of clutch and shoes, without pedals: what their guards ask for.
DrivetrainActive<double> presses(const Drivetrain::Positions& switches) {
  return {{switches[plant_switch::shoe_1] == 1 ? 1.0 : 0.0,
           switches[plant_switch::shoe_2] == 1 ? 1.0 : 0.0},
          switches[plant_switch::clutch] == 1 ? 1.0 : -1.0,
          {}};
}

}  // namespace

Drivetrain::Drivetrain(const Car& car, const RunInputs& inputs) : inputs_(inputs) {
  validate(car);
  validate(inputs.pedals);
  require(inputs.grade >= -1.0 && inputs.grade <= 1.0, "RunInputs", "grade", inputs.grade,
          "from -1 to 1");
  const BeltPath rear = rear_path(car.belts);
  const BeltPath front = front_path(car.belts);
  law_ = make_drivetrain_law(car, inputs, rear, front);
  law_.plausible = make_plausible_law(car.engine, law_);
  network_ = {inertias(car, law_, rear.inertia + front.inertia), slip_rows(law_),
              push_rows(law_, true), push_rows(law_, false), coupling::brake};
  torque_scale_ << 0.3, 1.0, 1.0, 2.0, 2.0, 1.0, 1.0;
  slip_scale_ << 1000.0, 300.0, 300.0, 100.0, 100.0, 300.0, 10.0;
}

Drivetrain::State Drivetrain::state_scale() const {
  State scale;
  // Typical sizes: speeds; strains, slips, load, opening; temperature rises.
  scale << 1000.0, 1000.0, 300.0, 100.0, 100.0, 10.0,  //
      0.01, 0.01, 0.1, 0.1, 5.0, 0.3,                  //
      10.0, 10.0, 10.0, 10.0;
  return scale;
}

Drivetrain::State Drivetrain::rolling_state(double speed) const {
  State state = State::Zero();
  state(node::car) = speed;
  // The axles roll without slip; the belts join them, so the rear one decides and the front slips
  // by what the pair of radii and ratios leaves over.
  double rear = speed / law_.rear_tyre.radius;
  for (int i = 0; i < 8; ++i) rear = speed / tyre_radius(law_.rear_tyre, rear);
  state(node::rear) = rear;
  state(node::shaft) = rear * law_.rear_ratio;
  state(node::front) = state(node::shaft) / law_.front_ratio;
  const Positions switches = rolling_switches(state);
  const bool second = switches[plant_switch::shoe_1] == 1 && switches[plant_switch::shoe_2] == 1;
  state(node::bell) = state(node::shaft) * (second ? law_.second_ratio : law_.first_ratio);
  state(node::crank) = std::max(law_.engine.idle_speed, state(node::bell));
  return state;
}

Drivetrain::Positions Drivetrain::rolling_switches(const State& state) const {
  Positions switches{};
  switches[plant_switch::clutch] = clutch_excess(law_.clutch, state(node::crank)) > 0.0 ? 1 : 0;
  const double shaft = state(node::shaft);
  for (int k = 0; k < 2; ++k) {
    const ShoeLaw<double>& shoe = law_.shoes[static_cast<std::size_t>(k)];
    switches[static_cast<std::size_t>(plant_switch::shoe_1 + k)] =
        shoe_contact_guard(shoe, shaft) <= 0.0 ? 1 : 0;
  }
  return switches;
}

Drivetrain::Active Drivetrain::activate(const Positions& switches) const {
  Active active = presses(switches);
  active.pedals =
      pedal_line(inputs_.pedals, static_cast<std::size_t>(switches[plant_switch::stage]));
  return active;
}

HoldLimits<Drivetrain::kCouplings> Drivetrain::hold_limits(const Active& active,
                                                           const DrivetrainLoads<double>& sliding,
                                                           double time, const State& state) const {
  HoldLimits<kCouplings> hold{sliding.low, sliding.high};
  raise_to_hold_limits(law_, active, time, state, hold);
  return hold;
}

double Drivetrain::switch_guard(int k, const Positions& switches, double /*time*/,
                                const State& state) const {
  if (k == plant_switch::stage) return 1.0;
  const Active active = presses(switches);
  if (k == plant_switch::clutch) return clutch_switch_guard<double, double>(law_, active, state);
  return shoe_switch_guard<double, double>(
      law_, active, static_cast<std::size_t>(k - plant_switch::shoe_1), state);
}

Drivetrain::Accounts Drivetrain::account_rates(const Active& /*active*/, double /*time*/,
                                               const State& state,
                                               const DrivetrainLoads<double>& loads,
                                               const Vector<double, kCouplings>& torques) const {
  return drivetrain_account_rates(law_, state, loads, torques);
}

Verdict Drivetrain::verdict(double time, const State& state) const {
  if (is_possible(law_.plausible, time, state)) {
    return {is_pressed<double>(law_, state) ? Status::finished : Status::leaves_ground, -1};
  }
  for (int i = 0; i < kDrivetrainStates; ++i) {
    const bool is_sound = i < node::count ? speed_room(law_.plausible, i, time, state) > 0.0
                                          : !is_rise(i) || rise_room<double>(i, state) > 0.0;
    if (!is_sound) return {Status::implausible, i};
  }
  return {};
}

Verdict Drivetrain::account_verdict(double time, std::span<const double> before,
                                    std::span<const double> after, double error) const {
  if (is_possible(law_.plausible, time, before, after, error)) return {};
  // Before the noise, which is no number with any of them.
  for (int i = 0; i < account::count; ++i) {
    if (!std::isfinite(after[static_cast<std::size_t>(i)])) {
      return {Status::implausible, kDrivetrainStates + i};
    }
  }
  const double noise = loss_noise<double>(before, after, error);
  for (int i = 0; i < account::count; ++i) {
    const auto k = static_cast<std::size_t>(i);
    if (is_loss(i) && !(after[k] - before[k] + noise > 0.0)) {
      return {Status::implausible, kDrivetrainStates + i};
    }
  }
  return {Status::implausible, kDrivetrainStates + account::engine_work};
}

void Drivetrain::linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                           double time, const State& state, Jacobian& jacobian,
                           State& time_slope) const {
  jacobian.setZero();
  linearise_drivetrain(law_, active, frozen, time, state, jacobian, time_slope);
}

int Drivetrain::next_switch(int k, const Positions& switches, double /*time*/,
                            const State& /*state*/) const {
  return 1 - switches[static_cast<std::size_t>(k)];
}

bool Drivetrain::is_open(int which, const Positions& switches) const {
  if (which == coupling::clutch) return switches[plant_switch::clutch] == 0;
  if (which == coupling::second) {
    return switches[plant_switch::shoe_1] == 0 && switches[plant_switch::shoe_2] == 0;
  }
  // A belt without tension and weight carries nothing: a wheel that rings on its tyre turns the
  // slip round for ever, and nothing comes of it.
  if (which == coupling::rear_belt) return law_.rear_jump == 0.0;
  if (which == coupling::front_belt) return law_.front_jump == 0.0;
  return false;
}

double Drivetrain::corner_time(const Positions& switches) const {
  return stage_end(inputs_.pedals, static_cast<std::size_t>(switches[plant_switch::stage]));
}

Drivetrain::Positions Drivetrain::pass_corner(Positions switches) const {
  ++switches[plant_switch::stage];
  return switches;
}

double Drivetrain::car_energy(const State& state) const {
  return 0.5 * law_.mass * square(state(node::car));
}

double Drivetrain::rotating_energy(const State& state) const {
  double energy = 0.0;
  for (int i = 0; i < node::car; ++i) energy += 0.5 * network_.inertia(i) * square(state(i));
  return energy;
}

}  // namespace layshaft
