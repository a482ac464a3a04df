#pragma once

/// What a set-up should be warned of before it is run: parts that each are valid and together are
/// not wise.
///
/// Speeds at which clutch and engine meet come from the laws in closed form, so this costs no run.
/// What needs wheelspin (an early shift) shows only in a run.

#include <string>
#include <vector>

#include "layshaft/car/car.hpp"

namespace layshaft {

struct CarWarning {
  std::string part;  ///< Section of the set-up it is about.
  std::string code;  ///< For a program: "never_shifts".
  std::string text;  ///< For a reader: one sentence.
  bool operator==(const CarWarning&) const = default;
};

/// Backlash between which two gear pairs can share their shafts, in modules (common practice, no
/// source).
inline constexpr double kLeastBacklash = 0.02;
inline constexpr double kMostBacklash = 0.30;

/// Lead or lag of the front tyres past which a pair works against itself (common practice, no
/// source).
inline constexpr double kMostFrontLead = 0.02;

/// Warnings of a run in which the body pitched by at most `peak_pitch` [rad]; empty up to 2
/// degrees.
[[nodiscard]] std::vector<CarWarning> pitch_warnings(double peak_pitch);

/// Warnings of a valid car; empty when there is nothing to say.
[[nodiscard]] std::vector<CarWarning> car_warnings(const Car& car);

}  // namespace layshaft
