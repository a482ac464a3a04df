#pragma once

/// Settings of a car by the paths of their fields, laid over a car.

#include <span>
#include <string>
#include <utility>
#include <vector>

#include "layshaft/car/fields.hpp"

namespace layshaft {

/// One field, or a pair of fields, and its stored number.
struct Setting {
  std::string path;
  double value;
  bool operator==(const Setting&) const = default;
};

/// A point among all settings; of a path named twice the later counts.
using Point = std::vector<Setting>;

/// Fields and what they are set to, in this order: pairs first, so that a shoe named beside its
/// pair keeps its own value.
class Changes {
 public:
  /// Lays the points over each other; the later wins. Throws std::invalid_argument for an unknown
  /// path.
  explicit Changes(std::span<const Point* const> points);

  /// The car with them. Throws std::invalid_argument for a value out of range.
  [[nodiscard]] Car of(const Car& car) const;

 private:
  std::vector<std::pair<const Field*, double>> fields_;
};

}  // namespace layshaft
