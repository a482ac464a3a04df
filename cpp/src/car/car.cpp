#include "layshaft/car/car.hpp"

#include <stdexcept>
#include <string>
#include <string_view>

#include "layshaft/car/fields.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

// Full-throttle torque of the invented demo engine with a tuned pipe: little below 20 krpm, a steep
// rise to a peak at 31 to 34 krpm, then a fast fall. The speeds are 0, 6, 10, 14, 18, 22, 25, 28,
// 31, 34, 38, 40, 42, 44, 46 krpm in rad/s, as the doubles nearest to them, so that a set-up file
// in krpm reads back the same.
Curve demo_torque() {
  constexpr std::array<double, 15> speed{0.0,
                                         628.3185307179587,
                                         1047.1975511965977,
                                         1466.076571675237,
                                         1884.9555921538758,
                                         2303.834612632515,
                                         2617.993877991494,
                                         2932.153143350474,
                                         3246.312408709453,
                                         3560.4716740684325,
                                         3979.3506945470713,
                                         4188.790204786391,
                                         4398.229715025711,
                                         4607.66922526503,
                                         4817.10873550435};
  constexpr std::array<double, 15> torque{0.048, 0.072, 0.121, 0.159, 0.203, 0.266, 0.362, 0.444,
                                          0.483, 0.483, 0.435, 0.348, 0.203, 0.058, -0.048};
  return make_curve(speed, torque);
}

// Whoever holds a car knows its parts by their paths, not by the structs behind them.
template <class Part>
void validate_at(std::string_view path, const Part& part) {
  try {
    validate(part);
  } catch (const std::invalid_argument& refused) {
    const std::string text = refused.what();
    throw std::invalid_argument(std::string(path) + text.substr(text.find_first_of(".[")));
  }
}

void validate_parts(const Car& car) {
  validate_at("engine.torque", car.engine.torque);
  validate_at("engine", car.engine);
  validate_at("clutch.axial", car.clutch.axial);
  validate_at("clutch.thrown_shoes", car.clutch.thrown_shoes);
  validate_at("clutch.heat", car.clutch.heat);
  validate_at("two_speed", car.two_speed);
  validate_at("two_speed_heat", car.two_speed_heat);
  validate_at("fuel", car.fuel);
  validate_at("belts.rear", car.belts.rear);
  validate_at("belts.middle", car.belts.middle);
  validate_at("belts.front", car.belts.front);
  validate_at("first", car.first);
  validate_at("second", car.second);
  validate_at("rear_tyre", car.rear_tyre);
  validate_at("front_tyre", car.front_tyre);
  validate_at("air", car.air);
}

}  // namespace

void validate(const Car& car) {
  for (const Field& field : fields()) check_range(field, field.get(car));
  validate_parts(car);
  require(ratio(car.first) > ratio(car.second), "first", "spur / pinion", ratio(car.first),
          "> spur / pinion of the second gear");
  const double furthest = kMostLead * car.driver.response_time;
  if (!(car.driver.anticipation <= furthest)) {
    refuse("driver", "anticipation", car.driver.anticipation,
           "<= " + in_digits(furthest) + " s, " + in_digits(kMostLead) +
               " times driver.response_time");
  }
}

Car demo_car() {
  Car car{};
  for (const Field& field : fields()) field.set(car, field.fallback);
  car.engine.torque = demo_torque();
  return car;
}

}  // namespace layshaft
