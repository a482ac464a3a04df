#include "car_trial.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <functional>
#include <istream>
#include <limits>
#include <ostream>
#include <sstream>
#include <stdexcept>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "layshaft/run/scalars.hpp"

namespace layshaft_fuzz {
namespace {

using namespace layshaft;

// Everything a trial sets. Unlike a `Car`, it may hold anything.
struct Draft {
  Car car = demo_car();
  Curve curve = car.engine.torque;
  Pedals pedals{};
  LaunchOptions options{.longest_time = 0.3};
};

struct Slot {
  std::string name;
  double low;  // A range in which most values are sensible.
  double high;
  std::function<void(Draft&, double)> set;
};

// A count as a fuzzer gives it: any bits.
std::size_t as_count(double value) {
  return value >= 0.0 && value < 1e6 ? static_cast<std::size_t>(value) : 0;
}

void add_fields(std::vector<Slot>& slots) {
  for (const Field& field : fields()) {
    const std::string path(field.path);
    slots.push_back({path, field.minimum, field.maximum, [path](Draft& draft, double value) {
                       draft.car = with_field(draft.car, path, value);
                     }});
  }
  for (const PairedField& pair : paired_fields()) {
    const Field& first = *find_field(pair.singles.front());
    const std::string path(pair.path);
    slots.push_back({path, first.minimum, first.maximum, [path](Draft& draft, double value) {
                       draft.car = with_field(draft.car, path, value);
                     }});
  }
}

void add_array(std::vector<Slot>& slots, const std::string& name, double low, double high,
               const std::function<std::array<double, 16>&(Draft&)>& array) {
  for (std::size_t k = 0; k < 16; ++k) {
    slots.push_back({name + std::to_string(k), low, high,
                     [array, k](Draft& draft, double value) { array(draft)[k] = value; }});
  }
}

void add_curve_and_pedals(std::vector<Slot>& slots) {
  slots.push_back({"curve.count", 0.0, 18.0,
                   [](Draft& draft, double value) { draft.curve.count = as_count(value); }});
  add_array(slots, "curve.x", 0.0, 6000.0, [](Draft& d) -> auto& { return d.curve.x; });
  add_array(slots, "curve.y", -2.0, 5.0, [](Draft& d) -> auto& { return d.curve.y; });
  slots.push_back({"pedals.count", 0.0, 18.0,
                   [](Draft& draft, double value) { draft.pedals.count = as_count(value); }});
  add_array(slots, "pedals.time", 0.0, 1.0, [](Draft& d) -> auto& { return d.pedals.time; });
  add_array(slots, "pedals.throttle", 0.0, 1.0,
            [](Draft& d) -> auto& { return d.pedals.throttle; });
  add_array(slots, "pedals.brake", 0.0, 1.0, [](Draft& d) -> auto& { return d.pedals.brake; });
}

void add_options(std::vector<Slot>& slots) {
  const auto option = [&](const char* name, double low, double high,
                          double LaunchOptions::* member) {
    slots.push_back(
        {name, low, high, [member](Draft& draft, double value) { draft.options.*member = value; }});
  };
  option("distance", 0.0, 100.0, &LaunchOptions::distance);
  option("longest_time", 0.0, 0.5, &LaunchOptions::longest_time);
  option("start_speed", 0.0, 100.0, &LaunchOptions::start_speed);
  option("grade", -1.0, 1.0, &LaunchOptions::grade);
  option("sample_interval", 1e-3, 1.0, &LaunchOptions::sample_interval);
  slots.push_back({"tolerance", 1e-9, 1e-2, [](Draft& draft, double value) {
                     draft.options.integration.tolerance = value;
                   }});
  slots.push_back({"first_step", 1e-9, 1.0, [](Draft& draft, double value) {
                     draft.options.integration.first_step = value;
                   }});
  slots.push_back({"distance_mark", 0.0, 10.0, [](Draft& draft, double value) {
                     draft.options.distance_marks.push_back(value);
                   }});
  slots.push_back({"speed_mark", 0.0, 10.0,
                   [](Draft& draft, double value) { draft.options.speed_marks.push_back(value); }});
}

const std::vector<Slot>& slots() {
  static const std::vector<Slot> all = [] {
    std::vector<Slot> made;
    add_fields(made);
    add_curve_and_pedals(made);
    add_options(made);
    return made;
  }();
  return all;
}

// A law holds doubles only (`CarLaw`), so all of them can be looked at in a row.
bool is_finite(const CarLaw& law) {
  const auto values = std::bit_cast<std::array<double, sizeof(law) / sizeof(double)>>(law);
  return std::all_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
}

std::string look_at(const Drivetrain& plant, double start_speed) {
  if (!is_finite(plant.law())) return "a coefficient is not finite";
  const auto& network = plant.network();
  if (!network.inertia.allFinite() || !(network.inertia.minCoeff() > 0.0)) {
    return "an inertia is not above 0";
  }
  if (!network.slip.allFinite() || !network.forward.allFinite() || !network.backward.allFinite()) {
    return "a row of the network is not finite";
  }
  const Drivetrain::State state = plant.rolling_state(start_speed);
  if (!state.allFinite()) return "the rolling state is not finite";
  const auto active = plant.activate(plant.rolling_switches(state));
  const auto loads = plant.loads(active, 0.0, state);
  if (!loads.applied.allFinite()) return "a torque at the start is not finite";
  return "";
}

std::string run(const Draft& draft) {
  const Pedals& given = draft.options.pedals;
  const Pedals pedals = given.count > 0 ? given : driver_pedals(draft.car.driver);
  const Drivetrain plant(draft.car, {pedals, draft.options.grade});
  const std::string wrong = look_at(plant, draft.options.start_speed);
  if (!wrong.empty()) return wrong;
  const LaunchResult result = launch(draft.car, draft.options);
  for (const Scalar& scalar : scalars()) (void)scalar.get(result);
  if (result.ending.status == Status::non_finite) return "a state stopped being a number";
  if (result.ending.status == Status::chatter) return "modes change without end";
  return "";
}

}  // namespace

const std::vector<std::string>& names() {
  static const std::vector<std::string> all = [] {
    std::vector<std::string> made;
    for (const Slot& slot : slots()) made.push_back(slot.name);
    return made;
  }();
  return all;
}

double draw_value(std::size_t name, std::uint64_t random) {
  constexpr std::array kOdd{0.0,
                            -0.0,
                            1.0,
                            -1.0,
                            std::numeric_limits<double>::infinity(),
                            -std::numeric_limits<double>::infinity(),
                            std::numeric_limits<double>::quiet_NaN(),
                            std::numeric_limits<double>::denorm_min(),
                            std::numeric_limits<double>::max(),
                            std::numeric_limits<double>::lowest(),
                            2147483648.0,
                            0.5};
  const Slot& slot = slots()[name];
  const std::uint64_t kind = random % 16;
  const std::uint64_t rest = random / 16;
  if (kind == 0) return std::bit_cast<double>(rest * 0x9E3779B97F4A7C15U);  // any bits
  if (kind == 1) return kOdd[rest % kOdd.size()];
  if (kind == 2) return rest % 2 == 0 ? slot.low : slot.high;
  const double share = static_cast<double>(rest % (1U << 20U)) / static_cast<double>(1U << 20U);
  const double value = slot.low + share * (slot.high - slot.low);
  // Small values are as interesting as great ones; counts and choices need whole ones.
  if (kind < 6) return slot.low + share * share * share * share * (slot.high - slot.low);
  return kind < 11 ? std::floor(value) : value;
}

Trial read_trial(std::istream& text) {
  Trial trial;
  std::string line;
  while (std::getline(text, line)) {
    const std::size_t equals = line.find(" = ");
    if (line.empty() || line[0] == '#') continue;
    const auto found = std::find(names().begin(), names().end(), line.substr(0, equals));
    if (equals == std::string::npos || found == names().end()) {
      throw std::runtime_error("unknown line in a trial: " + line);
    }
    trial.push_back({static_cast<std::size_t>(found - names().begin()),
                     std::strtod(line.c_str() + equals + 3, nullptr)});
  }
  return trial;
}

void write_trial(std::ostream& text, const Trial& trial) {
  text << std::hexfloat;
  for (const Change& change : trial) text << names()[change.name] << " = " << change.value << '\n';
}

std::string try_car(const Trial& trial) {
  try {
    Draft draft;
    draft.options.integration.most_steps = 500;
    for (const Change& change : trial) {
      try {
        slots()[change.name].set(draft, change.value);
      } catch (const std::invalid_argument&) {
        continue;  // Refused in time; the others may still be taken.
      }
    }
    draft.car.engine.torque = draft.curve;
    draft.options.pedals = draft.pedals;
    validate(draft.options);
    return run(draft);
  } catch (const std::invalid_argument&) {
    return "";
  } catch (const std::exception& error) {
    return std::string("an exception of another kind: ") + error.what();
  }
}

}  // namespace layshaft_fuzz
