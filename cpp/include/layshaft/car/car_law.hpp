#pragma once

/// Coefficients of the whole car on its road, worked out once. Each part takes its own from them
/// (`car/parts`), and so do those who plan and judge a run: speed plan, pitch, warnings.

#include <array>

#include "layshaft/car/car.hpp"
#include "layshaft/laws/axle_loading.hpp"
#include "layshaft/laws/engine.hpp"
#include "layshaft/laws/engine_clutch.hpp"
#include "layshaft/laws/grip.hpp"
#include "layshaft/laws/heat.hpp"
#include "layshaft/laws/shoe_law.hpp"
#include "layshaft/laws/tyre.hpp"

namespace layshaft {

struct CarLaw {
  LoadingLaw<double> loading;
  EngineLaw<double> engine;
  ClutchLaw<double> clutch;
  HeatLaw<double> clutch_heat;
  std::array<ShoeLaw<double>, kShoes> shoes;
  HeatLaw<double> shoe_heat;
  TyreLaw<double> rear_tyre;
  TyreLaw<double> front_tyre;
  double first_ratio;         ///< Spur over pinion [-].
  double second_ratio;        ///< [-].
  double first_efficiency;    ///< [-].
  double second_efficiency;   ///< [-].
  double rear_ratio;          ///< Shaft over axle speed [-].
  double front_ratio;         ///< [-].
  double rear_efficiency;     ///< [-].
  double front_efficiency;    ///< [-].
  double rear_jump;           ///< [N*m].
  double front_jump;          ///< [N*m].
  double front_back_jump;     ///< The front belt's lower limit, 0 for a one-way axle [N*m].
  double belt_inertia;        ///< Of both belts and their pulleys, at the shaft [kg*m^2].
  double brake_torque;        ///< [N*m].
  double brake_static_ratio;  ///< [-].
  double shaft_drag;          ///< [N*m].
  double mass;                ///< [kg].
  double grade_force;         ///< Weight along the road, positive uphill [N].
  double wheelbase;           ///< [m]
  YawLaw<double> yaw;
  double rear_cornering_stiffness;   ///< [1/rad]
  double front_cornering_stiffness;  ///< [1/rad]
  double lever;                      ///< Centre height over wheelbase [-].
  double load_transfer_rate;         ///< One over its time [1/s].
  double drag;                       ///< Air drag per square of speed [kg/m].
  double air_temperature;            ///< [K].
  double per_slip_target;  ///< One over the slip at which the finger has eased off by half [-].
  double anticipation;     ///< [s].
  double response_rate;    ///< One over its time [1/s].
};

/// Of a valid car on a road of this grade, rise over run [-].
[[nodiscard]] CarLaw make_car_law(const Car& car, double grade);

}  // namespace layshaft
