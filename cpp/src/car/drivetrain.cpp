#include "layshaft/car/drivetrain.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>

namespace layshaft {
namespace {

ClutchLaw<double> make_clutch_law(const Clutch& clutch) {
  return clutch.design == ClutchDesign::axial ? make_clutch_law(clutch.axial)
                                              : make_clutch_law(clutch.thrown_shoes);
}

// Speeds at the start: the engine's through gears and belts, or the car's through its wheels.
PlausibleLaw<double> make_plausible_law(const Engine& engine, const CarLaw& law) {
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
  PlausibleLaw<double> plausible{.most_speed = {},
                                 .most_back = kMostSwingBack * law.engine.idle_speed,
                                 .gain = kStandardGravity / fastest,
                                 .most_power = most_engine_power(engine, law.engine)};
  // Of a node that this list does not know, nothing is.
  plausible.most_speed.fill(kNoLimit);
  const auto bound = [&plausible](int node, double most) {
    plausible.most_speed[static_cast<std::size_t>(node)] = most * (1.0 + kSpeedSpare);
  };
  const auto bound_rim = [&bound](int node, double most, double radius) {
    bound(node, std::min(most, kMostRimSpeed / radius));
  };
  bound_rim(node::crank, bell, kLeastRim);
  bound_rim(node::bell, bell, kLeastRim);
  bound_rim(node::shaft, shaft, kLeastRim);
  bound_rim(node::rear, shaft / law.rear_ratio, law.rear_tyre.radius);
  bound_rim(node::front, shaft / law.front_ratio, law.front_tyre.radius);
  bound(node::car, fastest);
  return plausible;
}

CarLaw checked_law(const Car& car, const RunInputs& inputs) {
  validate(car);
  validate(inputs.pedals);
  require(inputs.grade >= -1.0 && inputs.grade <= 1.0, "RunInputs", "grade", inputs.grade,
          "from -1 to 1");
  return make_car_law(car, inputs.grade);
}

}  // namespace

CarLaw make_car_law(const Car& car, double grade) {
  const BeltPath rear = rear_path(car.belts);
  const BeltPath front = front_path(car.belts);
  const double weight = car.body.mass * kStandardGravity;
  const double slope = std::atan(grade);
  const double density = moist_density(car.air);
  return {
      .loading = {.weight = weight * std::cos(slope),
                  .downforce = 0.5 * density * car.body.downforce_area,
                  .front_share = car.body.front_share,
                  .front_downforce =
                      0.5 * density * car.body.downforce_area * car.body.downforce_front_share},
      .engine = make_engine_law(car.engine, charge_ratio(car.air),
                                fuel_properties(car.fuel).heating_value),
      .clutch = make_clutch_law(car.clutch),
      .clutch_heat = make_heat_law(car.clutch.heat),
      .shoes = make_shoe_laws(car.two_speed),
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
      .rear_jump = rear.jump_torque * rear.ratio,
      .front_jump = front.jump_torque * front.ratio,
      .front_back_jump =
          car.front_axle == AxleKind::one_way ? 0.0 : front.jump_torque * front.ratio,
      .belt_inertia = rear.inertia + front.inertia,
      .brake_torque = car.brake.torque,
      .brake_static_ratio = car.brake.static_ratio,
      .shaft_drag = car.shafts.drag,
      .mass = car.body.mass,
      .grade_force = weight * std::sin(slope),
      .wheelbase = car.body.wheelbase,
      .yaw = make_yaw_law(car.body.mass, car.body.front_share, car.body.wheelbase,
                          car.body.yaw_inertia),
      .rear_cornering_stiffness = car.rear_tyre.cornering_stiffness,
      .front_cornering_stiffness = car.front_tyre.cornering_stiffness,
      .lever = car.body.centre_height / car.body.wheelbase,
      .load_transfer_rate = 1.0 / car.body.load_transfer_time,
      .drag = 0.5 * density * car.body.drag_area,
      .air_temperature = car.air.temperature,
      .per_slip_target = 1.0 / car.driver.slip_target,
      .anticipation = car.driver.anticipation,
      .response_rate = 1.0 / car.driver.response_time,
  };
}

Drivetrain::Drivetrain(const Car& car, const RunInputs& inputs, const CarLaw& law)
    : PartPlant(make_laws<CarList>(car, law), "brake"),
      law_(law),
      plausible_(make_plausible_law(car.engine, law)),
      inputs_(inputs) {}

Drivetrain::Drivetrain(const Car& car, const RunInputs& inputs)
    : Drivetrain(car, inputs, checked_law(car, inputs)) {}

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
  const auto shoes = std::span(switches).subspan<plant_switch::shoes, kShoes>();
  const bool second = std::ranges::all_of(shoes, [](std::int16_t at) { return at == 1; });
  state(node::bell) = state(node::shaft) * (second ? law_.second_ratio : law_.first_ratio);
  state(node::crank) = std::max(law_.engine.idle_speed, state(node::bell));
  return state;
}

Drivetrain::Positions Drivetrain::rolling_switches(const State& state) const {
  Positions switches{};
  switches[plant_switch::clutch] = clutch_excess(law_.clutch, state(node::crank)) > 0.0 ? 1 : 0;
  const double shaft = state(node::shaft);
  for (std::size_t k = 0; k < kShoes; ++k) {
    switches[plant_switch::shoes + k] = shoe_contact_guard(law_.shoes[k], shaft) <= 0.0 ? 1 : 0;
  }
  return switches;
}

Drivetrain::Active Drivetrain::activate(const Positions& switches) const {
  Active active = PartPlant::activate(switches);
  active.of<parts::PedalsAsked>() =
      pedal_line(inputs_.pedals, static_cast<std::size_t>(switches[plant_switch::pedals]));
  return active;
}

Drivetrain::State Drivetrain::rates(const Active& active,
                                    const Frozen<double, kNodes, kCouplings>& frozen, double time,
                                    const State& state) const {
  return rates_of<PartPlant<CarList>>(*this, active, frozen, time, state);
}

Drivetrain::Loads Drivetrain::loads(const Active& active, double time, const State& state) const {
  return PartPlant::loads(active, time, state);
}

HoldLimits<Drivetrain::kCouplings> Drivetrain::hold_limits(const Active& active,
                                                           const Loads& sliding, double time,
                                                           const State& state) const {
  return PartPlant::hold_limits(active, sliding, time, state);
}

Drivetrain::Accounts Drivetrain::account_rates(const Active& active, double time,
                                               const State& state, const Loads& loads,
                                               const Vector<double, kCouplings>& torques) const {
  return PartPlant::account_rates(active, time, state, loads, torques);
}

void Drivetrain::linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                           double time, const State& state, Jacobian& jacobian,
                           State& time_slope) const {
  PartPlant::linearise(active, frozen, time, state, jacobian, time_slope);
}

Verdict Drivetrain::verdict(double time, const State& state) const {
  if (is_possible<CarParts>(plausible_, time, state)) {
    const bool pressed = is_pressed(law_.loading, double(state(node::car)));
    return {pressed ? Status::finished : Status::leaves_ground, -1};
  }
  for (int i = 0; i < car_state::count; ++i) {
    const bool is_sound = i < node::count ? speed_room(plausible_, i, time, state) > 0.0
                                          : !is_rise(i) || rise_room<double>(i, state) > 0.0;
    if (!is_sound) return {Status::implausible, i};
  }
  return {};
}

Verdict Drivetrain::account_verdict(double time, std::span<const double> before,
                                    std::span<const double> after, double error) const {
  return verdict_on_accounts<CarParts>(plausible_, time, before, after, error);
}

double Drivetrain::kink_time(const Positions& switches) const {
  return line_end(inputs_.pedals, static_cast<std::size_t>(switches[plant_switch::pedals]));
}

Drivetrain::Positions Drivetrain::pass_kink(Positions switches) const {
  ++switches[plant_switch::pedals];
  return switches;
}

double Drivetrain::car_energy(const State& state) const {
  return 0.5 * law_.mass * square(state(node::car));
}

double Drivetrain::rotating_energy(const State& state) const {
  double energy = 0.0;
  for (int i = 0; i < node::count; ++i) {
    if (i != node::car) energy += 0.5 * network().inertia(i) * square(state(i));
  }
  return energy;
}

}  // namespace layshaft
