#pragma once

/// The field table: the only list of the car's parameters.
///
/// Set-up reader, JSON schema, Python fields, sweep axes, result attributes and the parameter page
/// all come from it. A field is addressed by its path ("two_speed.screw_arm"), which is also its
/// name in C++. `two_speed.gap` and `two_speed.slug_mass` stand for both shoes at once; a single
/// shoe is `two_speed.shoe_1.gap`.

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "layshaft/car/car.hpp"

namespace layshaft {

enum class FieldKind {
  number,  ///< Any number inside the range.
  count,   ///< A whole number.
  choice,  ///< One of `choices`, stored as its position.
};

struct Field {
  std::string_view path;
  std::string_view
      unit;  ///< SI unit of the stored value; "1" for a ratio, "turn" for turns of a screw.
  FieldKind kind;
  double
      fallback;    ///< Value of the demo car and of a set-up that leaves it out (invented numbers).
  double minimum;  ///< Least plausible value, inclusive.
  double maximum;  ///< Greatest plausible value, inclusive.
  std::string_view meaning;
  std::span<const std::string_view> choices;
  double (*get)(const Car&);
  void (*set)(Car&, double);
};

/// The engine's torque curve, the one field that is a list of points.
struct CurveField {
  std::string_view path;
  std::string_view x_unit;
  std::string_view y_unit;
  double x_maximum;
  double y_minimum;
  double y_maximum;
  std::string_view meaning;
};

/// All fields, in the order of the set-up file.
[[nodiscard]] std::span<const Field> fields();

/// Paths that set a field of every shoe to one value: `two_speed.gap` and `two_speed.slug_mass`.
struct PairedField {
  std::string_view path;
  std::array<std::string_view, kShoes> singles;
  std::string_view meaning;
};
[[nodiscard]] std::span<const PairedField> paired_fields();

[[nodiscard]] const CurveField& torque_curve_field();

/// Field of a path, or nullptr.
[[nodiscard]] const Field* find_field(std::string_view path);

/// Reads a field or a pair of equal fields. Throws std::invalid_argument for an unknown path,
/// naming the nearest known one, and for a pair whose two values differ.
[[nodiscard]] double get_field(const Car& car, std::string_view path);

/// A copy of the car with one field (or pair) replaced. Throws std::invalid_argument for an unknown
/// path and for a value outside the field's range; what parts must fulfil together is left to
/// `validate`.
[[nodiscard]] Car with_field(const Car& car, std::string_view path, double value);

/// The fields that a sweep over `path` sets: one, or both of a pair. Throws as `get_field`.
[[nodiscard]] std::vector<const Field*> fields_of(std::string_view path);

/// Known path nearest to a mistyped one (least number of edits).
[[nodiscard]] std::string_view nearest_path(std::string_view path);

/// Refuses a value outside a field's range: `two_speed.screw_arm = -1 m must be from 0.001 to 0.05
/// m`.
void check_range(const Field& field, double value);

}  // namespace layshaft
