#include "layshaft/car/warnings.hpp"

#include <cmath>
#include <iomanip>
#include <sstream>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/laws/two_speed_setup.hpp"

namespace layshaft {
namespace {

// Crank speed at which the sliding clutch just carries the full-throttle torque: above it, it is
// locked.
double clutch_lock_speed(const DrivetrainLaw<double>& law, double limit) {
  double low = engagement_speed(law.clutch);
  double high = limit;
  const auto spare = [&law](double speed) {
    return clutch_capacity(law.clutch, speed, 1.0) - engine_torque(law.engine, speed, 1.0);
  };
  if (!(low < high) || spare(high) < 0.0) return limit;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (spare(middle) < 0.0 ? low : high) = middle;
  }
  return high;
}

// The car at the shaft speed of its first contact: what turns, pulls and resists there.
ShiftBodies shift_bodies(const Car& car, const Drivetrain& plant, double shaft_speed) {
  const DrivetrainLaw<double>& law = plant.law();
  const auto& inertia = plant.network().inertia;
  const double metres_per_turn = law.rear_tyre.radius / law.rear_ratio;
  const double speed = shaft_speed * metres_per_turn;
  const double rolling = rolling_drag(law.rear_tyre, (1.0 - law.front_share) * law.weight) +
                         rolling_drag(law.front_tyre, law.front_share * law.weight);
  return {.first_ratio = law.first_ratio,
          .second_ratio = law.second_ratio,
          .bell_inertia = inertia(node::bell) + inertia(node::crank),
          .shaft_inertia = inertia(node::shaft) + car.body.mass * square(metres_per_turn) +
                           inertia(node::rear) / square(law.rear_ratio) +
                           inertia(node::front) / square(law.front_ratio),
          .engine_torque = engine_torque(law.engine, shaft_speed * law.first_ratio, 1.0),
          .load_torque = (rolling + law.drag * square(speed)) * metres_per_turn + law.shaft_drag};
}

void warn_of_two_speed(const Car& car, const Drivetrain& plant, std::vector<CarWarning>& warnings) {
  const double contact = shift_band(car.two_speed).first_contact;
  const ShiftBodies bodies = shift_bodies(car, plant, contact);
  const ShiftConditions conditions{
      .engine_limit_speed = car.engine.speed_limit,
      .clutch_lock_speed = clutch_lock_speed(plant.law(), car.engine.speed_limit),
      .first_ratio = bodies.first_ratio,
      .lock_torque = hand_over_torque(bodies)};
  for (const SetupWarning& warning : setup_warnings(car.two_speed, conditions)) {
    warnings.push_back({"two_speed", to_string(warning.code), warning.text});
  }
  if (!(bodies.engine_torque > 0.0)) return;
  for (const SetupWarning& warning :
       hunting_warnings(car.two_speed, {bodies, plant.law().second_efficiency})) {
    warnings.push_back({"two_speed", to_string(warning.code), warning.text});
  }
}

void warn_of_gears(const Car& car, std::vector<CarWarning>& warnings) {
  const double module = car.first.module;
  if (!is_empty(
          shared_centres(car.first, car.second, kLeastBacklash * module, kMostBacklash * module))) {
    return;
  }
  std::ostringstream text;
  text << "The two gear pairs do not mesh on one centre distance: " << tooth_sum(car.first)
       << " and " << tooth_sum(car.second) << " teeth in all; choose pairs of equal sum.";
  warnings.push_back({"first", "no_shared_centre", text.str()});
}

void warn_of_axles(const Car& car, std::vector<CarWarning>& warnings) {
  const double lead =
      front_lead(car.front_tyre.radius - car.front_tyre.wear, front_path(car.belts).ratio,
                 car.rear_tyre.radius - car.rear_tyre.wear, rear_path(car.belts).ratio);
  if (std::abs(lead) <= kMostFrontLead) return;
  std::ostringstream text;
  text << std::fixed << std::setprecision(1) << "The front tyres run " << 100.0 * std::abs(lead)
       << (lead > 0.0 ? " % faster" : " % slower")
       << " than the rear ones: the belts work against each other and wear tyres; change a "
          "diameter.";
  warnings.push_back({"front_tyre", lead > 0.0 ? "front_leads" : "front_lags", text.str()});
}

std::string rpm_text(double speed) {
  std::ostringstream text;
  text << std::fixed << std::setprecision(0) << speed * 30.0 / kPi << " rpm";
  return text.str();
}

// First speed in a range at which the open throttle has no torque left; its end where there is
// none.
double first_without_torque(const EngineLaw<double>& law, double begin, double end) {
  constexpr int kLooks = 1000;
  for (int k = 1; k < kLooks; ++k) {
    const double speed = begin + (end - begin) * k / kLooks;
    if (!(engine_torque(law, speed, 1.0) > 0.0)) return speed;
  }
  return end;
}

void warn_of_torque_below(const EngineLaw<double>& engine, double engagement,
                          std::vector<CarWarning>& warnings) {
  const double first = engine.beyond.first_speed;
  const bool idles = engine.idle_speed < first;
  const bool engages = engagement < first;
  if (!idles && !engages) return;
  std::string text =
      "Below " + rpm_text(first) + ", the first measured point, the torque is made up;";
  if (idles) text += " the engine idles at " + rpm_text(engine.idle_speed);
  if (engages) text += (idles ? " and" : "") + (" the clutch engages at " + rpm_text(engagement));
  warnings.push_back(
      {"engine", "torque_made_up_below", text + ": starts rest on it, measure from lower down."});
  const double held = first_without_torque(engine, engine.idle_speed, first);
  if (idles && held < first) {
    warnings.push_back({"engine", "full_throttle_hangs",
                        "Full throttle holds only " + rpm_text(held) +
                            ": there the torque that is made up below " + rpm_text(first) +
                            " is used up; measure from lower down."});
  }
}

void warn_of_torque_above(const EngineLaw<double>& engine, std::vector<CarWarning>& warnings) {
  const double last = engine.beyond.last_speed;
  if (!(engine_torque(engine, last, 1.0) > 0.0)) return;
  const double gone = first_without_torque(engine, last, most_engine_speed(engine));
  warnings.push_back({"engine", "torque_made_up_above",
                      "Above " + rpm_text(last) +
                          ", the last measured point, the torque is made up: it falls, and is gone "
                          "by " +
                          rpm_text(gone) + "; measure to higher up."});
}

}  // namespace

std::vector<CarWarning> car_warnings(const Car& car) {
  validate(car);
  std::vector<CarWarning> warnings;
  const Drivetrain plant(car);
  const DrivetrainLaw<double>& law = plant.law();
  warn_of_torque_below(law.engine, engagement_speed(law.clutch), warnings);
  warn_of_torque_above(law.engine, warnings);
  warn_of_two_speed(car, plant, warnings);
  warn_of_gears(car, warnings);
  warn_of_axles(car, warnings);
  for (const std::string& sentence : engine_warnings(car.engine)) {
    warnings.push_back({"engine", "outside_published", sentence});
  }
  return warnings;
}

}  // namespace layshaft
