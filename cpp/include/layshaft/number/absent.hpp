#pragma once

/// What stands where there is no number.

#include <limits>

namespace layshaft {

inline constexpr double kNever = std::numeric_limits<double>::infinity();  ///< As a time.
inline constexpr double kNotANumber = std::numeric_limits<double>::quiet_NaN();

}  // namespace layshaft
