#pragma once

/// The body on springs and dampers, moved up and down by what the air presses:
///     m z'' = -k z - c z' - downforce v^2.

#include "layshaft/car/own_fields.hpp"
#include "layshaft/network/part.hpp"
#include "layshaft/number/arithmetic.hpp"

namespace layshaft::parts {

struct HeaveSpring : Part {
  struct Settings {
    double stiffness;  ///< [N/m]
    double damping;    ///< [N*s/m]
    bool operator==(const Settings&) const = default;
  };
  static constexpr std::array fields{
      OwnField<Settings>{"heave.stiffness", "N/m", 4000.0, 100.0, 1e5,
                         "Force of all springs per height", &Settings::stiffness},
      OwnField<Settings>{"heave.damping", "N*s/m", 60.0, 0.0, 1e3,
                         "Force of all dampers per speed of the body", &Settings::damping}};
  static constexpr std::array states{
      Row{"heave", "m", 1e-3, "Height of the body over where it rests"},
      Row{"heave_speed", "m/s", 1e-2, "Speed of the body upwards", "heave_rate"}};
  static constexpr std::array reads{state("heave"), state("heave_speed"), state("car")};
  static constexpr std::array gives{rate("heave"), rate("heave_speed")};
  static constexpr std::array accounts{
      AccountRow{"press_work", "J", Flow::source, "Work of the downforce on the springs so far"},
      AccountRow{"damper_loss", "J", Flow::loss, "Heat of the dampers so far"},
      AccountRow{"heave_stored", "J", Flow::stored, "Work held in springs and heaving body"}};
  static constexpr std::array sees = reads;
  static constexpr std::array books{adds_to("press_work"), adds_to("damper_loss"),
                                    adds_to("heave_stored")};

  template <class Real>
  struct Law {
    Real mass, stiffness, damping, downforce;  ///< [kg], [N/m], [N*s/m], [kg/m]
  };
  static Law<double> law_of(const auto& car, const auto& of) {
    const Settings& settings = std::get<Settings>(car.own);
    return {of.mass, settings.stiffness, settings.damping, of.loading.downforce};
  }
  template <class X>
  static std::array<X, 2> run(const auto& law, const auto&, const std::array<X, 3>& in) {
    const auto& [heave, speed, car] = in;
    const X force = -law.stiffness * heave - law.damping * speed - law.downforce * square(car);
    return {speed, force / law.mass};
  }
  template <class X>
  static std::array<X, 3> book(const auto& law, const std::array<X, 3>& in) {
    const auto& [heave, speed, car] = in;
    const X work = -law.downforce * square(car) * speed;
    const X heat = law.damping * square(speed);
    return {work, heat, work - heat};
  }
};

}  // namespace layshaft::parts
