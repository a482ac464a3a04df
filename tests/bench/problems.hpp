#pragma once

/// The problems of the benchmark, each as a plant, where it starts and where it ends.
///
/// A problem may carry *sums*: integrals that decide where the run ends. The library sums them
/// along its dense output; a foreign solver gets them as further states.

#include <array>
#include <utility>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "switching_plants.hpp"

namespace layshaft::bench {

/// What is varied of a car.
struct Setting {
  double gap;        ///< Of both shoes [m].
  double slug_mass;  ///< Of both shoes [kg].
  double pinion;     ///< Teeth of the first pinion [-].
};

[[nodiscard]] inline Car with_setting(const Car& base, const Setting& setting) {
  Car car = with_field(base, "two_speed.gap", setting.gap);
  car = with_field(car, "two_speed.slug_mass", setting.slug_mass);
  return with_field(car, "first.pinion", setting.pinion);
}

/// The demo car with the values that it had at commit 1c348e7, so that figures compare.
[[nodiscard]] inline Car earlier_car() {
  Car car = demo_car();
  constexpr std::array kKiloRpm{0.,  6.,  10., 14., 18., 22., 26., 28.,
                                30., 34., 38., 40., 42., 44., 46.};
  constexpr std::array kTorque{.05,  .136, .25,  .341, .409, .454, .477, .48,
                               .477, .454, .409, .32,  .19,  .06,  -.05};  // [N*m]
  std::array<double, kKiloRpm.size()> speeds;                              // [rad/s]
  for (std::size_t i = 0; i < speeds.size(); ++i) speeds[i] = kKiloRpm[i] * 1e3 * kPi / 30.0;
  car.engine.torque = make_curve(speeds, kTorque);
  car.engine.efficiency = 0.12;
  const std::pair<const char*, double> values[] = {
      {"clutch.axial.nut_turns", 2.13}, {"clutch.axial.spring_rate", 45e3},
      {"two_speed.friction", 0.17},     {"two_speed.static_friction", 0.19},
      {"two_speed.gap", 4.8e-3},        {"belts.rear.tension", 60.0},
      {"belts.middle.tension", 60.0},   {"belts.front.tension", 60.0},
      {"rear_tyre.friction_peak", 1.6}, {"front_tyre.friction_peak", 1.55},
      {"body.downforce_area", 0.02}};
  for (const auto& [path, value] : values) car = with_field(car, path, value);
  return car;
}

/// A car on hard tyres that follow within 5 mm: at 20 m/s they settle 4000 times a second.
[[nodiscard]] inline Car stiff_car() {
  Car car = with_field(demo_car(), "rear_tyre.relaxation", 5e-3);
  return with_field(car, "front_tyre.relaxation", 5e-3);
}

/// From rest to 60 m, the options of `launch` left alone.
struct LaunchProblem {
  using PlantType = Drivetrain;
  static constexpr bool kHasPedals = true;
  static constexpr int kSums = 1;            // the distance
  static constexpr double kSumScale = 10.0;  // typical size [m]
  static constexpr double kDistance = 60.0;  // [m]
  static constexpr double kEnd = 20.0;       // at the latest [s]

  Drivetrain plant;
  StateOf<Drivetrain> start;
  ModesOf<Drivetrain> modes;

  explicit LaunchProblem(const Car& car)
      : plant(car, {driver_pedals(car.driver), 0.0}), start(plant.rolling_state(0.0)) {
    modes.switches = plant.rolling_switches(start);
  }
  [[nodiscard]] static double sum_rate(const StateOf<Drivetrain>& state) {
    return state(node::car);
  }
  static constexpr int kSumSource = node::car;  // the state whose integral the sum is
};

/// O1 with its linearisation: the speeds act on nothing, only time does.
struct LinearisedClutches : testing::ClutchChain {
  static constexpr int kAccounts = 0;
  using Jacobian = Eigen::Matrix<double, 4, 4>;

  [[nodiscard]] std::array<double, 0> account_rates(const Positions&, double, const State&,
                                                    const BareLoads&,
                                                    const Vector<double, 3>&) const {
    return {};
  }
  [[nodiscard]] HoldLimits<3> hold_limits(const Positions& active, const BareLoads&, double time,
                                          const State&) const {
    const Vector<double, 3> torque = 11.0 * shares(active, time);
    return {-torque, torque};
  }
  void linearise(const Positions& active, const Frozen<double, 4, 3>& frozen, double time,
                 const State&, Jacobian& jacobian, State& time_slope) const {
    jacobian.setZero();
    Vector<double, 4> force{100.0 * kPi * cos(10.0 * kPi * time), 0.0, 0.0, 0.0};
    const double share_slope =
        active[clutch_1_engaged] == 1 ? -0.4 * kPi * sin(0.4 * kPi * time) : 0.0;
    const double torque_slope = 10.0 * share_slope * (frozen.high_weight(0) - frozen.low_weight(0));
    force -= frozen.push.row(0).transpose() * torque_slope;
    time_slope = frozen.accelerate * force;
  }
  [[nodiscard]] static constexpr SparsityPattern<4> jacobian_pattern() {
    SparsityPattern<4> nothing;
    nothing.order = {0, 1, 2, 3};
    return nothing;
  }
};

struct ClutchesProblem {
  using PlantType = LinearisedClutches;
  static constexpr bool kHasPedals = true;
  static constexpr int kSums = 0;
  static constexpr double kEnd = 1.5;  // [s]

  LinearisedClutches plant;
  Vector<double, 4> start{10.0, 0.0, 0.0, 0.0};
  ModesOf<LinearisedClutches> modes{};

  ClutchesProblem() { modes.switches = {1, 0}; }
};

}  // namespace layshaft::bench
