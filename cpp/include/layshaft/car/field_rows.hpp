#pragma once

/// How a row of the field table is made; the rows themselves are in `field_rows.cpp`.

#include <string_view>
#include <vector>

#include "layshaft/car/fields.hpp"

namespace layshaft {

/// Access to a member of a member of the car, as plain functions on `double`.
template <auto... Members>
struct Access {
  static double get(const Car& car) { return static_cast<double>((car.*....*Members)); }
  static void set(Car& car, double value) {
    auto& member = (car.*....*Members);
    member = static_cast<std::remove_reference_t<decltype(member)>>(value);
  }
};

/// The rows, in the order of the set-up file.
[[nodiscard]] std::vector<Field> field_rows();

}  // namespace layshaft
