#include "layshaft/run/variables.hpp"

#include <array>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

namespace layshaft {
namespace {

// A setting of a run, or an input.
struct Setting {
  Variable variable;
  double (*get)(const SimulationSetup&);
  void (*set)(SimulationSetup&, double);
};

template <double SimulationOptions::* Member>
constexpr Setting setting(std::string_view name, std::string_view unit, double minimum,
                          double maximum, std::string_view meaning) {
  return {{name,
           unit,
           Role::parameter,
           ValueKind::number,
           SimulationOptions{}.*Member,
           minimum,
           maximum,
           meaning,
           {}},
          [](const SimulationSetup& setup) { return setup.options.*Member; },
          [](SimulationSetup& setup, double value) { setup.options.*Member = value; }};
}

template <bool SimulationOptions::* Member>
constexpr Setting yes_no(std::string_view name, std::string_view meaning) {
  return {{name, "1", Role::parameter, ValueKind::yes_no, 0.0, 0.0, 1.0, meaning, {}},
          [](const SimulationSetup& setup) { return setup.options.*Member ? 1.0 : 0.0; },
          [](SimulationSetup& setup, double value) { setup.options.*Member = value != 0.0; }};
}

template <double Inputs::* Member>
constexpr Setting input(std::string_view name, double minimum, double maximum,
                        std::string_view meaning) {
  return {{name, "1", Role::input, ValueKind::number, 0.0, minimum, maximum, meaning, {}},
          [](const SimulationSetup& setup) { return setup.inputs.*Member; },
          [](SimulationSetup& setup, double value) { setup.inputs.*Member = value; }};
}

constexpr std::array kSettings{
    setting<&SimulationOptions::start_speed>("run.start_speed", "m/s", 0.0, 99.0,
                                             "Speed of the car at the start"),
    yes_no<&SimulationOptions::own_driver>(
        "run.own_driver",
        "The car's own driver presses the pedals; throttle and brake are left aside"),
    setting<&SimulationOptions::stopwatch_distance>("run.stopwatch_distance", "m", 0.001, 99000.0,
                                                    "Distance at which the stopwatch stops"),
    setting<&SimulationOptions::tolerance>("run.tolerance", "1", 1e-13, 1e-2,
                                           "Relative tolerance of an integration step"),
    yes_no<&SimulationOptions::keep_changes>(
        "run.keep_changes",
        "All mode changes since the start are kept, not those of the last step"),
    input<&Inputs::throttle>("throttle", 0.0, 1.0, "Throttle opening asked for"),
    input<&Inputs::brake>("brake", 0.0, 1.0, "Brake pedal"),
    input<&Inputs::grade>("grade", -1.0, 1.0, "Rise over run of the road, positive uphill"),
};

ValueKind kind_of(FieldKind kind) {
  if (kind == FieldKind::count) return ValueKind::count;
  return kind == FieldKind::choice ? ValueKind::choice : ValueKind::number;
}

Variable variable_of(const Output& output) {
  constexpr double kNoBound = std::numeric_limits<double>::infinity();
  const bool named = !output.choices.empty();
  const double last = static_cast<double>(output.choices.size()) - 1.0;
  return {output.name,
          output.unit,
          Role::output,
          named ? ValueKind::choice : ValueKind::number,
          0.0,
          named ? 0.0 : -kNoBound,
          named ? last : kNoBound,
          output.meaning,
          output.choices};
}

Variable variable_of(const Field& field, std::string_view name, std::string_view meaning) {
  return {name,          field.unit,    Role::parameter, kind_of(field.kind), field.fallback,
          field.minimum, field.maximum, meaning,         field.choices};
}

std::vector<Variable> make_variables() {
  std::vector<Variable> list;
  for (const Field& field : fields()) {
    list.push_back(variable_of(field, field.path, field.meaning));
  }
  for (const PairedField& pair : paired_fields()) {
    list.push_back(variable_of(*find_field(pair.singles.front()), pair.path, pair.meaning));
  }
  for (const Setting& row : kSettings) list.push_back(row.variable);
  for (const Output& output : outputs()) list.push_back(variable_of(output));
  return list;
}

std::string_view name_of(std::size_t number) { return variables()[number].name; }

// Fields, and then pairs of fields.
std::size_t car_variables() { return fields().size() + paired_fields().size(); }

// Refuses what is no parameter or input; the number of a setting counts from 0.
const Setting& setting_of(std::size_t number) {
  const std::size_t which = number - car_variables();
  if (which < kSettings.size()) return kSettings[which];
  throw std::invalid_argument(std::string(name_of(number)) + " is an output, it cannot be set");
}

// In the wording of the field table.
void check_value(const Variable& bounds, double value) {
  check_range({.path = bounds.name,
               .unit = bounds.unit,
               .kind = bounds.kind == ValueKind::number ? FieldKind::number : FieldKind::count,
               .fallback = bounds.fallback,
               .minimum = bounds.minimum,
               .maximum = bounds.maximum,
               .meaning = bounds.meaning,
               .choices = {},
               .get = nullptr,
               .set = nullptr},
              value);
}

}  // namespace

std::span<const Variable> variables() {
  static const std::vector<Variable> list = make_variables();
  return list;
}

std::optional<std::size_t> find_variable(std::string_view name) {
  const std::span<const Variable> list = variables();
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (list[i].name == name) return i;
  }
  return std::nullopt;
}

double get_variable(const SimulationSetup& setup, std::size_t number) {
  if (number < fields().size()) return fields()[number].get(setup.car);
  if (number < car_variables()) return get_field(setup.car, name_of(number));
  return setting_of(number).get(setup);
}

void set_variable(SimulationSetup& setup, std::size_t number, double value) {
  if (number >= car_variables()) {
    const Setting& row = setting_of(number);
    check_value(row.variable, value);
    row.set(setup, value);
    return;
  }
  check_value(variables()[number], value);
  for (const Field* field : fields_of(name_of(number))) field->set(setup.car, value);
}

double get_output(const Simulation& simulation, std::size_t number) {
  return simulation.output(number - car_variables() - kSettings.size());
}

}  // namespace layshaft
