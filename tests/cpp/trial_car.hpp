#pragma once

#include "layshaft/car/car.hpp"

namespace layshaft {

/// The invented car of tests/trial-car.toml: it stays as it is when the demo car changes.
[[nodiscard]] Car trial_car();

}  // namespace layshaft
