#pragma once

/// The equations of the parts of a car on a straight road.

#include "layshaft/car/car_list.hpp"
#include "layshaft/network/assemble.hpp"

namespace layshaft {

using CarParts = parts::Assembly<CarList>;
template <class Real>
using CarLaws = parts::Laws<CarList, Real>;

}  // namespace layshaft
