#pragma once

/// Takes the place of the library's header of this name (`tests/cpp/CMakeLists.txt`): the cars of
/// this build have a second brake, a viscous lock and a heave spring beside their other parts.

#include <tuple>

#include "parts/axle_lock.hpp"
#include "parts/front_brake.hpp"
#include "parts/heave_spring.hpp"

namespace layshaft {

using OwnParts = std::tuple<parts::FrontBrake, parts::AxleLock, parts::HeaveSpring>;

}  // namespace layshaft
