#include "trial_car.hpp"

#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>

#include "layshaft/car/setup_text.hpp"

namespace layshaft {

Car trial_car() {
  static const Car car = [] {
    std::ifstream file(LAYSHAFT_TRIAL_CAR);
    if (!file) throw std::runtime_error("cannot read " LAYSHAFT_TRIAL_CAR);
    const std::string text(std::istreambuf_iterator<char>(file), {});
    return car_from_text(text);
  }();
  return car;
}

}  // namespace layshaft
