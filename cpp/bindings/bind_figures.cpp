#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <string>
#include <utility>

#include "bindings.hpp"
#include "layshaft/car/car.hpp"
#include "layshaft/car/car_law.hpp"
#include "layshaft/car/drivetrain.hpp"
#include "layshaft/laws/fuel.hpp"
#include "layshaft/laws/heat.hpp"
#include "layshaft/laws/load_transfer.hpp"
#include "layshaft/laws/screw.hpp"
#include "layshaft/laws/tyre.hpp"
#include "layshaft/number/bounds.hpp"
#include "layshaft/number/real.hpp"
#include "layshaft/run/launch.hpp"

namespace py = pybind11;

// What follows from a car's numbers without a run.
namespace layshaft {
namespace {

struct AxleAtRest {
  double ratio;      ///< Shaft over axle speed [-].
  double radius;     ///< As worn [m].
  double load;       ///< [N].
  double stiffness;  ///< Force per slip at small slip [N].
  double grip;       ///< Largest force [N].
};

AxleAtRest axle_at_rest(const Tyre& tyre, double ratio, double load) {
  const TyreLaw<double> law = make_tyre_law(tyre);
  return {.ratio = ratio,
          .radius = law.radius,
          .load = load,
          .stiffness = law.stiffness_factor * load,
          .grip = tyre_friction(law, load) * load};
}

LoadTransferLaw<double> loads_at_rest(const Body& body) {
  return make_load_transfer_law({.mass = body.mass,
                                 .wheelbase = body.wheelbase,
                                 .height = body.centre_height,
                                 .front_share = body.front_share});
}

AxleAtRest rear_axle(const Car& car) {
  return axle_at_rest(car.rear_tyre, ratio(car.belts.rear), loads_at_rest(car.body).rear_static);
}

AxleAtRest front_axle(const Car& car) {
  return axle_at_rest(car.front_tyre, ratio(car.belts.middle) * ratio(car.belts.front),
                      loads_at_rest(car.body).front_static);
}

// On a level road, in the car's own air.
CarLaw law_of_level_road(const Car& car) {
  constexpr double kNoGrade = 0.0;
  return make_car_law(car, kNoGrade);
}

HeatLaw<double> heat_of(const Car& car, const std::string& section) {
  if (section == "clutch.heat") return make_heat_law(car.clutch.heat);
  if (section == "two_speed_heat") return make_heat_law(car.two_speed_heat);
  throw std::invalid_argument("section = '" + section + "' must be clutch.heat or two_speed_heat");
}

}  // namespace

void bind_figures(py::module_& module) {
  module.attr("standard_gravity") = kStandardGravity;  // [m/s^2]
  module.attr("sure_time") = kSureTime;                // [s]
  py::class_<AxleAtRest>(module, "AxleAtRest", "One axle of a car at rest; SI units.")
      .def_readonly("ratio", &AxleAtRest::ratio, "Shaft over axle speed [-].")
      .def_readonly("radius", &AxleAtRest::radius, "Of the tyres as worn [m].")
      .def_readonly("load", &AxleAtRest::load, "[N]")
      .def_readonly("stiffness", &AxleAtRest::stiffness, "Force per slip at small slip [N].")
      .def_readonly("grip", &AxleAtRest::grip, "Largest force [N].");
  py::class_<EngineRating>(module, "EngineRating", "Best of the full-throttle curve; SI units.")
      .def_readonly("peak_power", &EngineRating::peak_power, "[W]")
      .def_readonly("peak_power_speed", &EngineRating::peak_power_speed, "[rad/s]")
      .def_readonly("peak_torque", &EngineRating::peak_torque, "[N*m]")
      .def_readonly("peak_torque_speed", &EngineRating::peak_torque_speed, "[rad/s]");
  module.def(
      "engine_rating", [](const Car& car) { return engine_rating(car.engine); }, py::arg("car"),
      "What the torque curve says of the engine, in reference air, up to its speed limit.");
  module.def(
      "full_torque",
      [](const Car& car, double speed) {
        return engine_torque(law_of_level_road(car).engine, speed, 1.0);
      },
      py::arg("car"), py::arg("speed"),
      "Torque [N*m] of the engine at a speed [rad/s], throttle open, in the car's air.");
  module.def(
      "clutch_bite", [](const Car& car) { return engagement_speed(law_of_level_road(car).clutch); },
      py::arg("car"), "Engine speed [rad/s] from which the clutch presses.");
  module.def(
      "clutch_stall",
      [](const Car& car, double torque) {
        return stall_speed(law_of_level_road(car).clutch, torque);
      },
      py::arg("car"), py::arg("torque"),
      "Engine speed [rad/s] at which the cold, slipping clutch carries a torque [N*m].");
  module.def("rear_axle", &rear_axle, py::arg("car"), "The rear axle of a car at rest.");
  module.def("front_axle", &front_axle, py::arg("car"), "The front axle of a car at rest.");
  module.def(
      "gear_ratios", [](const Car& car) { return std::pair{ratio(car.first), ratio(car.second)}; },
      py::arg("car"), "Engine over shaft speed [-] in first and second gear.");
  module.def(
      "rolling_engine_speed",
      [](const Car& car, double speed) {
        return Drivetrain(car, {}).rolling_state(speed)(node::crank);
      },
      py::arg("car"), py::arg("speed"),
      "Engine speed [rad/s] of a car that rolls at a speed [m/s], in the gear that it takes "
      "there.");
  module.def(
      "turns_in",
      [](const Car& car, double was, double becomes) {
        return turns_between(was, becomes, car.two_speed.screw_pitch,
                             car.two_speed.reading_direction);
      },
      py::arg("car"), py::arg("was"), py::arg("becomes"),
      "Turns of a set screw between two caliper readings [m]; positive is in.");
  module.def(
      "friction_left",
      [](const Car& car, const std::string& section, double temperature) {
        return friction_ratio(heat_of(car, section), temperature);
      },
      py::arg("car"), py::arg("section"), py::arg("temperature"),
      "Hot over cold friction [-] of `clutch.heat` or `two_speed_heat` at a temperature [K].");
  module.def(
      "cooling_rates",
      [](const Car& car, const std::string& section, double surface, double body) {
        const HeatRates<double> rates = heat_rates(heat_of(car, section), surface, body, 0.0);
        return std::pair{rates.surface, rates.body};
      },
      py::arg("car"), py::arg("section"), py::arg("surface"), py::arg("body"),
      "Rates [K/s] of both parts of a pair without new heat, at these rises over the air [K].");
  module.def(
      "fuel_density", [](const Car& car) { return fuel_properties(car.fuel).density; },
      py::arg("car"), "Density of the car's fuel [kg/m^3].");
}

}  // namespace layshaft
