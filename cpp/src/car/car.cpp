#include "layshaft/car/car.hpp"

#include "layshaft/car/fields.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

// Full-throttle torque of the invented demo engine [krpm, N*m]: a parabola about 28 krpm up to 38
// krpm, then a fast fall.
Curve demo_torque() {
  constexpr double kKrpm = 2.0 * kPi * 1000.0 / 60.0;
  constexpr std::array<double, 15> krpm{0.0,  6.0,  10.0, 14.0, 18.0, 22.0, 26.0, 28.0,
                                        30.0, 34.0, 38.0, 40.0, 42.0, 44.0, 46.0};
  constexpr std::array<double, 15> torque{0.050, 0.136, 0.250, 0.341, 0.409, 0.454, 0.477, 0.480,
                                          0.477, 0.454, 0.409, 0.320, 0.190, 0.060, -0.050};
  std::array<double, 15> speed{};
  for (std::size_t i = 0; i < krpm.size(); ++i) speed[i] = kKrpm * krpm[i];
  return make_curve(speed, torque);
}

void validate_parts(const Car& car) {
  validate(car.engine);
  validate(car.clutch.axial);
  validate(car.clutch.thrown_shoes);
  validate(car.clutch.heat);
  validate(car.two_speed);
  validate(car.two_speed_heat);
  validate(car.fuel);
  validate(car.belts.rear);
  validate(car.belts.middle);
  validate(car.belts.front);
  validate(car.first);
  validate(car.second);
  validate(car.rear_tyre);
  validate(car.front_tyre);
  validate(car.air);
}

}  // namespace

void validate(const Car& car) {
  for (const Field& field : fields()) check_range(field, field.get(car));
  validate_parts(car);
  require(ratio(car.first) > ratio(car.second), "first", "spur / pinion", ratio(car.first),
          "> spur / pinion of the second gear");
}

Car demo_car() {
  Car car{};
  for (const Field& field : fields()) field.set(car, field.fallback);
  car.engine.torque = demo_torque();
  return car;
}

}  // namespace layshaft
