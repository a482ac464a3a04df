#include "layshaft/car/warnings.hpp"

#include <cmath>
#include <string>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/pitch.hpp"
#include "layshaft/laws/two_speed_setup.hpp"
#include "layshaft/number/text.hpp"

namespace layshaft {
namespace {

// The car at the shaft speed of its first contact: what turns, pulls and resists there.
ShiftBodies shift_bodies(const Car& car, const Drivetrain& plant, double shaft_speed) {
  const CarLaw& law = plant.law();
  const auto& inertia = plant.network().inertia;
  const double metres_per_turn = law.rear_tyre.radius / law.rear_ratio;
  const double speed = shaft_speed * metres_per_turn;
  const double rolling =
      rolling_drag(law.rear_tyre, (1.0 - law.loading.front_share) * law.loading.weight) +
      rolling_drag(law.front_tyre, law.loading.front_share * law.loading.weight);
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
  for (const SetupWarning& warning : setup_warnings(car.two_speed)) {
    warnings.push_back({"two_speed", to_string(warning.code), warning.text});
  }
  if (!(bodies.engine_torque > 0.0)) return;
  for (const SetupWarning& warning :
       hunting_warnings(car.two_speed, {bodies, plant.law().second_efficiency})) {
    warnings.push_back({"two_speed", to_string(warning.code), warning.text});
  }
}

void warn_of_idle(const Car& car, double presses, std::vector<CarWarning>& warnings) {
  if (!(car.engine.idle_speed > presses)) return;
  warnings.push_back(
      {"clutch", "drags_at_idle",
       "The engine idles at " + in_rpm(car.engine.idle_speed) + ", the clutch presses from " +
           in_rpm(presses) +
           " on: it drags while the car stands; lower the idle or preload its springs more."});
}

void warn_of_gears(const Car& car, std::vector<CarWarning>& warnings) {
  const double module = car.first.module;
  if (!is_empty(
          shared_centres(car.first, car.second, kLeastBacklash * module, kMostBacklash * module))) {
    return;
  }
  warnings.push_back(
      {"first", "no_shared_centre",
       "The two gear pairs do not mesh on one centre distance: " + in_digits(tooth_sum(car.first)) +
           " and " + in_digits(tooth_sum(car.second)) +
           " teeth in all; choose pairs of equal sum."});
}

void warn_of_axles(const Car& car, std::vector<CarWarning>& warnings) {
  const double lead =
      front_lead(car.front_tyre.radius - car.front_tyre.wear, front_path(car.belts).ratio,
                 car.rear_tyre.radius - car.rear_tyre.wear, rear_path(car.belts).ratio);
  if (std::abs(lead) <= kMostFrontLead) return;
  warnings.push_back({"front_tyre", lead > 0.0 ? "front_leads" : "front_lags",
                      "The front tyres run " + with_decimals(100.0 * std::abs(lead), 1) +
                          (lead > 0.0 ? " % faster" : " % slower") +
                          " than the rear ones: the belts work against each other and wear tyres; "
                          "change a diameter."});
}

// With all the grip there is: the moment of the whole weight's grip about the axle that carries it
// against that of the weight.
void warn_of_lifting(const Car& car, std::vector<CarWarning>& warnings) {
  const double weight = car.body.mass * kStandardGravity;
  const double lever = car.body.centre_height / car.body.wheelbase;
  const auto warn = [&](double friction, double share, const char* code, const char* what) {
    if (friction * lever <= share) return;
    warnings.push_back({"body", code,
                        "The tyres grip with " + with_decimals(friction, 2) +
                            " of the load, and from " + with_decimals(share / lever, 2) + " on " +
                            what + "; lower the centre of mass."});
  };
  warn(tyre_friction(make_tyre_law(car.rear_tyre), weight), car.body.front_share, "front_lifts",
       "the front axle lifts under throttle");
  // A one-way front axle is not braked, and the rear one lifts no further than its own grip ends.
  if (car.front_axle == AxleKind::one_way) return;
  warn(tyre_friction(make_tyre_law(car.front_tyre), weight), 1.0 - car.body.front_share,
       "rear_lifts", "the rear axle lifts under the brake");
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
      "Below " + in_rpm(first) + ", the first measured point, the torque is made up;";
  if (idles) text += " the engine idles at " + in_rpm(engine.idle_speed);
  if (engages) text += (idles ? " and" : "") + (" the clutch engages at " + in_rpm(engagement));
  warnings.push_back(
      {"engine", "torque_made_up_below", text + ": starts rest on it, measure from lower down."});
  const double held = first_without_torque(engine, engine.idle_speed, first);
  if (idles && held < first) {
    warnings.push_back({"engine", "full_throttle_hangs",
                        "Full throttle holds only " + in_rpm(held) +
                            ": there the torque that is made up below " + in_rpm(first) +
                            " is used up; measure from lower down."});
  }
}

void warn_of_torque_above(const EngineLaw<double>& engine, std::vector<CarWarning>& warnings) {
  const double last = engine.beyond.last_speed;
  if (!(engine_torque(engine, last, 1.0) > 0.0)) return;
  const double gone = first_without_torque(engine, last, most_engine_speed(engine));
  warnings.push_back({"engine", "torque_made_up_above",
                      "Above " + in_rpm(last) +
                          ", the last measured point, the torque is made up: it falls, and is gone "
                          "by " +
                          in_rpm(gone) + "; measure to higher up."});
}

}  // namespace

std::vector<CarWarning> pitch_warnings(double peak_pitch) {
  if (!(peak_pitch > kPitchWarned)) return {};
  return {{"body", "wheelie",
           "An axle leaves the ground and the car pitches up to " +
               with_decimals(peak_pitch * 180.0 / kPi, 0) +
               " degrees; lower the centre of mass or press the pedals less."}};
}

std::vector<CarWarning> car_warnings(const Car& car) {
  validate(car);
  std::vector<CarWarning> warnings;
  const Drivetrain plant(car);
  const CarLaw& law = plant.law();
  const double engagement = engagement_speed(law.clutch);
  warn_of_torque_below(law.engine, engagement, warnings);
  warn_of_torque_above(law.engine, warnings);
  warn_of_two_speed(car, plant, warnings);
  warn_of_idle(car, engagement, warnings);
  warn_of_gears(car, warnings);
  warn_of_axles(car, warnings);
  warn_of_lifting(car, warnings);
  for (const std::string& sentence : engine_warnings(car.engine)) {
    warnings.push_back({"engine", "outside_published", sentence});
  }
  return warnings;
}

}  // namespace layshaft
