#include "layshaft/car/setup_text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "layshaft/car/units.hpp"
#include "layshaft/laws/curve_points.hpp"
#include "layshaft/number/text.hpp"

namespace layshaft {
namespace {

constexpr std::string_view kBlank = " \t\r";

// Of the greatest torque. Below what two dyno runs differ by; common practice, no source.
constexpr double kMostOff = 0.01;

// Goes through the text of one line.
class Line {
 public:
  explicit Line(std::string_view text) : rest_(text) { skip(); }

  [[nodiscard]] bool at_end() const { return rest_.empty() || rest_.front() == '#'; }

  [[nodiscard]] bool take(char wanted) {
    if (rest_.empty() || rest_.front() != wanted) return false;
    rest_.remove_prefix(1);
    skip();
    return true;
  }
  void expect(char wanted) {
    if (!take(wanted)) {
      const std::string where = rest_.empty()
                                    ? " before the end of the line"
                                    : " before \"" + std::string(rest_.substr(0, 20)) + "\"";
      throw std::invalid_argument(std::string("expected ") + wanted + where);
    }
  }
  // A quoted text without its quotes, or all up to a blank or one of `ends`.
  [[nodiscard]] std::string_view word(std::string_view ends) {
    const bool quoted = take('"');
    const std::size_t length =
        std::min(quoted ? rest_.find('"') : rest_.find_first_of(ends), rest_.size());
    std::string_view found = rest_.substr(0, length);
    rest_.remove_prefix(length);
    if (quoted) expect('"');
    skip();
    if (!quoted) found = found.substr(0, found.find_last_not_of(kBlank) + 1);
    return found;
  }

 private:
  void skip() { rest_.remove_prefix(std::min(rest_.find_first_not_of(kBlank), rest_.size())); }

  std::string_view rest_;
};

// Nobody is there to be warned, so a curve that many points do not describe well is refused.
Curve fitting_curve(const std::vector<double>& speeds, const std::vector<double>& torques) {
  const PointsKept kept = keep_points(speeds, torques);
  double most = 0.0;
  for (const double torque : torques) most = std::max(most, std::abs(torque));
  if (!(kept.off <= kMostOff * most)) {
    throw std::invalid_argument(
        std::string(torque_curve_field().path) + " of " + std::to_string(speeds.size()) +
        " points: of those left out beside " + std::to_string(kept.positions.size()) +
        " one is off by " + in_digits(kept.off) +
        " N*m, must be at most 1 % of the greatest torque: smooth the curve");
  }
  return make_curve(entries_at(speeds, kept.positions), entries_at(torques, kept.positions));
}

void read_curve(Line& line, Car& car) {
  const CurveField& curve = torque_curve_field();
  std::vector<double> speeds;
  std::vector<double> torques;
  line.expect('[');
  do {
    if (!line.take('[')) break;  // A comma may stand after the last point.
    speeds.push_back(to_si(line.word(",]#"), curve.x_unit));
    line.expect(',');
    torques.push_back(to_si(line.word(",]#"), curve.y_unit));
    line.expect(']');
  } while (line.take(','));
  line.expect(']');
  car.engine.torque = fitting_curve(speeds, torques);
}

void read_line(std::string_view text, Car& car) {
  Line line(text);
  if (line.at_end()) return;
  if (line.take('[')) {
    throw std::invalid_argument("sections are not read here: write the full path on each line");
  }
  const std::string_view path = line.word("=#");
  line.expect('=');
  if (path == torque_curve_field().path) {
    read_curve(line, car);
  } else {
    const std::vector<const Field*> found = fields_of(path);
    const Field& field = *found.front();
    const double value = read_value_of(path, line.word("#"), field.unit, field.choices);
    car = with_field(car, path, value);
  }
  if (!line.at_end()) throw std::invalid_argument("more than one value");
}

void append_number(std::string& text, double number) {
  std::array<char, 32> digits;
  const auto [end, error] = std::to_chars(digits.data(), digits.data() + digits.size(), number);
  text.append(digits.data(), end);
}

}  // namespace

double read_value(std::string_view text, std::string_view si_unit,
                  std::span<const std::string_view> choices) {
  if (choices.empty()) return to_si(text, si_unit);
  const auto found = std::find(choices.begin(), choices.end(), text);
  if (found != choices.end()) return static_cast<double>(found - choices.begin());
  std::string say = "\"" + shortened(text) + "\" must be";
  for (const std::string_view choice : choices) {
    say += (choice == choices.front() ? " " : " or ") + std::string(choice);
  }
  throw std::invalid_argument(say);
}

double read_value_of(std::string_view name, std::string_view text, std::string_view si_unit,
                     std::span<const std::string_view> choices) {
  try {
    return read_value(text, si_unit, choices);
  } catch (const std::invalid_argument& refused) {
    throw std::invalid_argument(std::string(name) + " = " + refused.what());
  }
}

Car car_from_text(std::string_view text) {
  Car car = demo_car();
  for (int number = 1; !text.empty(); ++number) {
    const std::size_t length = std::min(text.find('\n'), text.size());
    try {
      read_line(text.substr(0, length), car);
    } catch (const std::invalid_argument& refused) {
      throw std::invalid_argument("line " + std::to_string(number) + ": " + refused.what());
    }
    text.remove_prefix(std::min(length + 1, text.size()));
  }
  validate(car);
  return car;
}

std::string to_text(const Car& car) {
  std::string text;
  const CurveField& curve = torque_curve_field();
  text += std::string(curve.path) + " = [";
  for (std::size_t k = 0; k < car.engine.torque.count; ++k) {
    text += k == 0 ? "[" : ", [";
    append_number(text, car.engine.torque.x[k]);
    text += ", ";
    append_number(text, car.engine.torque.y[k]);
    text += "]";
  }
  text += "]\n";
  for (const Field& field : fields()) {
    text += std::string(field.path) + " = ";
    if (field.choices.empty()) {
      append_number(text, field.get(car));
    } else {
      text += "\"" + std::string(field.choices[static_cast<std::size_t>(field.get(car))]) + "\"";
    }
    text += "\n";
  }
  return text;
}

}  // namespace layshaft
