#include "layshaft/car/units.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <stdexcept>
#include <string>

#include "layshaft/number/real.hpp"

namespace layshaft {
namespace {

// SI value = (number * times + offset) / over. Whole numbers where there are some, so that a short
// decimal number stays the double next to what was written.
struct Unit {
  std::string_view si_unit;
  std::string_view spelling;
  double times = 1.0;
  double over = 1.0;
  double offset = 0.0;
};

constexpr double kPoundMass = 0.45359237;  // [kg], exact by definition.

// A table: one line each reads better than a wrapped one.
// clang-format off
constexpr std::array kUnits{
    Unit{"1", "%", 1.0, 100.0},
    Unit{"m", "mm", 1.0, 1e3}, Unit{"m", "cm", 1.0, 1e2}, Unit{"m", "um", 1.0, 1e6}, Unit{"m", "in", 254.0, 1e4},
    Unit{"m^2", "cm^2", 1.0, 1e4}, Unit{"m^2", "cm2", 1.0, 1e4}, Unit{"m^2", "m2"}, Unit{"m^2", "mm^2", 1.0, 1e6}, Unit{"m^2", "mm2", 1.0, 1e6},
    Unit{"m^3", "cm^3", 1.0, 1e6}, Unit{"m^3", "cm3", 1.0, 1e6}, Unit{"m^3", "cc", 1.0, 1e6}, Unit{"m^3", "ml", 1.0, 1e6}, Unit{"m^3", "l", 1.0, 1e3}, Unit{"m^3", "mm^3", 1.0, 1e9},
    Unit{"kg", "g", 1.0, 1e3}, Unit{"kg", "mg", 1.0, 1e6}, Unit{"kg", "oz", kPoundMass, 16.0}, Unit{"kg", "lb", kPoundMass},
    Unit{"kg/m", "g/m", 1.0, 1e3}, Unit{"kg/m", "mg/mm", 1.0, 1e3},
    Unit{"kg/m^3", "g/cm^3", 1e3}, Unit{"kg/m^3", "g/ml", 1e3}, Unit{"kg/m^3", "g/cm3", 1e3},
    Unit{"s", "ms", 1.0, 1e3}, Unit{"s", "min", 60.0}, Unit{"s", "h", 3600.0},
    Unit{"m/s", "km/h", 1e3, 3600.0}, Unit{"m/s", "kmh", 1e3, 3600.0}, Unit{"m/s", "km/s", 1e3}, Unit{"m/s", "mph", 1609.344, 3600.0},
    Unit{"rad", "deg", kPi, 180.0}, Unit{"rad", "\u00b0", kPi, 180.0}, Unit{"rad", "turn", 2.0 * kPi}, Unit{"rad", "turns", 2.0 * kPi},
    Unit{"turn", "turns"}, Unit{"turn", "deg", 1.0, 360.0}, Unit{"turn", "\u00b0", 1.0, 360.0}, Unit{"turn", "rad", 1.0, 2.0 * kPi},
    Unit{"rad/s", "rpm", kPi, 30.0}, Unit{"rad/s", "krpm", 1e3 * kPi, 30.0}, Unit{"rad/s", "deg/s", kPi, 180.0},
    Unit{"N", "kN", 1e3}, Unit{"N", "mN", 1.0, 1e3},
    Unit{"N/m", "N/mm", 1e3}, Unit{"N/m", "N/cm", 1e2}, Unit{"N/m", "kN/m", 1e3},
    Unit{"N*m", "Nm"}, Unit{"N*m", "mNm", 1.0, 1e3}, Unit{"N*m", "mN*m", 1.0, 1e3}, Unit{"N*m", "N*cm", 1.0, 1e2}, Unit{"N*m", "Ncm", 1.0, 1e2}, Unit{"N*m", "N*mm", 1.0, 1e3},
    Unit{"N*m*s", "uN*m*s", 1.0, 1e6}, Unit{"N*m*s", "mN*m/krpm", 30.0, 1e6 * kPi},
    Unit{"kg*m^2", "g*cm^2", 1.0, 1e7}, Unit{"kg*m^2", "g cm^2", 1.0, 1e7}, Unit{"kg*m^2", "kg m^2"}, Unit{"kg*m^2", "g*mm^2", 1.0, 1e9},
    Unit{"Pa", "hPa", 1e2}, Unit{"Pa", "kPa", 1e3}, Unit{"Pa", "mbar", 1e2}, Unit{"Pa", "bar", 1e5},
    Unit{"K", "degC", 1.0, 1.0, 273.15}, Unit{"K", "\u00b0C", 1.0, 1.0, 273.15}, Unit{"K", "degF", 1.0, 1.8, 459.67}, Unit{"K", "\u00b0F", 1.0, 1.8, 459.67},
    Unit{"J", "kJ", 1e3}, Unit{"J", "mJ", 1.0, 1e3},
    Unit{"W", "kW", 1e3},
    Unit{"J/K", "J/degC"},
    Unit{"W/K", "mW/K", 1.0, 1e3}, Unit{"W/K", "W/degC"},
    Unit{"J/kg", "MJ/kg", 1e6}, Unit{"J/kg", "kJ/kg", 1e3}, Unit{"J/kg", "J/g", 1e3},
    Unit{"m*s^2", "nm*s^2", 1.0, 1e9}, Unit{"m*s^2", "um/krpm^2", 9.0, 1e10 * kPi * kPi},
};
// clang-format on

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kSpace = " \t\r";
  const auto begin = text.find_first_not_of(kSpace);
  if (begin == std::string_view::npos) return {};
  return text.substr(begin, text.find_last_not_of(kSpace) + 1 - begin);
}

[[noreturn]] void refuse_text(std::string_view text, std::string_view si_unit) {
  std::string say = "\"" + shortened(text) + "\" must be a number";
  if (si_unit != "1") say += " in " + std::string(si_unit);
  std::string_view separator = si_unit == "1" ? ", or one with the unit " : ", or one in ";
  for (const Unit& unit : kUnits) {
    if (unit.si_unit != si_unit) continue;
    say += std::string(separator) + std::string(unit.spelling);
    separator = ", ";
  }
  throw std::invalid_argument(say);
}

}  // namespace

std::string shortened(std::string_view text) {
  constexpr std::size_t kLongest = 60;
  if (text.size() <= kLongest) return std::string(text);
  return std::string(text.substr(0, kLongest - 3)) + "...";
}

double to_si(std::string_view text, std::string_view si_unit) {
  const std::string_view whole = trimmed(text);
  const std::string_view digits = whole.starts_with('+') ? whole.substr(1) : whole;
  double number = 0.0;
  const auto [rest, error] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
  if (error != std::errc() || !std::isfinite(number)) refuse_text(text, si_unit);
  const std::string_view spelling =
      trimmed({rest, static_cast<std::size_t>(digits.data() + digits.size() - rest)});
  if (spelling.empty() || spelling == si_unit) return number;
  for (const Unit& unit : kUnits) {
    if (unit.si_unit != si_unit || unit.spelling != spelling) continue;
    return (number * unit.times + unit.offset) / unit.over;
  }
  refuse_text(text, si_unit);
}

}  // namespace layshaft
