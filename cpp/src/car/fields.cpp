#include "layshaft/car/fields.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <tuple>
#include <type_traits>
#include <utility>

#include "layshaft/car/field_rows.hpp"
#include "layshaft/car/units.hpp"
#include "layshaft/number/text.hpp"

namespace layshaft {
namespace {

constexpr std::array<PairedField, 2> kPairs{{
    {"two_speed.gap",
     {"two_speed.shoe_1.gap", "two_speed.shoe_2.gap"},
     "Caliper reading over the screw of either shoe; sets both"},
    {"two_speed.slug_mass",
     {"two_speed.shoe_1.slug_mass", "two_speed.shoe_2.slug_mass"},
     "Mass of the weight in either shoe; sets both"},
}};

constexpr CurveField kTorqueCurve{
    "engine.torque",
    "rad/s",
    "N*m",
    6000.0,
    -2.0,
    5.0,
    "Full-throttle torque over engine speed in reference air, 2 points or more"};

// The row of a setting that a part brings in.
template <class Part, std::size_t Row>
Field own_row() {
  using Settings = typename Part::Settings;
  constexpr const OwnField<Settings>& row = Part::fields[Row];
  return {row.path,
          row.unit,
          FieldKind::number,
          row.fallback,
          row.minimum,
          row.maximum,
          row.meaning,
          {},
          [](const Car& car) { return std::get<Settings>(car.own).*row.member; },
          [](Car& car, double value) { std::get<Settings>(car.own).*row.member = value; }};
}

template <class Part>
void add_own_rows(std::vector<Field>& rows) {
  if constexpr (HasSettings<Part>) {
    [&]<std::size_t... Row>(std::index_sequence<Row...>) {
      (rows.push_back(own_row<Part, Row>()), ...);
    }(std::make_index_sequence<Part::fields.size()>{});
  }
}

std::vector<Field> all_rows() {
  std::vector<Field> rows = field_rows();
  [&]<class... Parts>(std::type_identity<std::tuple<Parts...>>) {
    (add_own_rows<Parts>(rows), ...);
  }(std::type_identity<OwnParts>{});
  return rows;
}

// Edits (insert, remove, replace a letter) from one word to another.
std::size_t edits_between(std::string_view from, std::string_view to) {
  std::vector<std::size_t> row(to.size() + 1);
  for (std::size_t j = 0; j < row.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= from.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= to.size(); ++j) {
      const std::size_t replaced = diagonal + (from[i - 1] == to[j - 1] ? 0U : 1U);
      diagonal = row[j];
      row[j] = std::min({replaced, row[j] + 1, row[j - 1] + 1});
    }
  }
  return row.back();
}

const PairedField* find_pair(std::string_view path) {
  const auto found = std::find_if(kPairs.begin(), kPairs.end(),
                                  [path](const PairedField& pair) { return pair.path == path; });
  return found == kPairs.end() ? nullptr : &*found;
}

[[noreturn]] void refuse_path(std::string_view path) {
  throw std::invalid_argument("unknown field " + shortened(path) +
                              "; nearest known field: " + std::string(nearest_path(path)));
}

}  // namespace

std::span<const Field> fields() {
  static const std::vector<Field> rows = all_rows();
  return rows;
}

std::span<const PairedField> paired_fields() { return kPairs; }

const CurveField& torque_curve_field() { return kTorqueCurve; }

const Field* find_field(std::string_view path) {
  for (const Field& field : fields()) {
    if (field.path == path) return &field;
  }
  return nullptr;
}

std::vector<const Field*> fields_of(std::string_view path) {
  if (const Field* field = find_field(path)) return {field};
  if (const PairedField* pair = find_pair(path)) {
    std::vector<const Field*> singles;
    for (const std::string_view single : pair->singles) singles.push_back(find_field(single));
    return singles;
  }
  refuse_path(path);
}

double get_field(const Car& car, std::string_view path) {
  const std::vector<const Field*> found = fields_of(path);
  const double value = found.front()->get(car);
  for (const Field* other : found) {
    if (other->get(car) == value) continue;
    throw std::invalid_argument("the shoes differ: read " + std::string(found.front()->path) +
                                " and " + std::string(other->path) + " instead of " +
                                std::string(path));
  }
  return value;
}

Car with_field(const Car& car, std::string_view path, double value) {
  Car changed = car;
  for (const Field* field : fields_of(path)) {
    check_range(*field, value);
    field->set(changed, value);
  }
  return changed;
}

std::string_view nearest_path(std::string_view path) {
  std::string_view nearest;
  std::size_t fewest = static_cast<std::size_t>(-1);
  const auto look = [&](std::string_view known) {
    const std::size_t edits = edits_between(path, known);
    if (edits < fewest) {
      fewest = edits;
      nearest = known;
    }
  };
  for (const Field& field : fields()) look(field.path);
  for (const PairedField& pair : kPairs) look(pair.path);
  look(kTorqueCurve.path);
  return nearest;
}

void check_range(const Field& field, double value) {
  const bool whole = field.kind == FieldKind::number || std::floor(value) == value;
  if (value >= field.minimum && value <= field.maximum && whole) return;
  const std::string unit = field.unit == "1" ? "" : " " + std::string(field.unit);
  throw std::invalid_argument(std::string(field.path) + " = " + in_digits(value, 9) + unit +
                              " must be " + (whole ? "" : "a whole number ") + "from " +
                              in_digits(field.minimum, 9) + " to " + in_digits(field.maximum, 9) +
                              unit);
}

}  // namespace layshaft
