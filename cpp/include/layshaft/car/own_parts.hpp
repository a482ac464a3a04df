#pragma once

/// Parts that a car has beside those of this library: none here. A build that finds another header
/// of this name first gives its cars the parts of that one (tests/cpp/own_parts does). `car.hpp`
/// includes it, for the settings that such parts may have (`own_fields.hpp`).

#include <tuple>

namespace layshaft {

using OwnParts = std::tuple<>;

}  // namespace layshaft
