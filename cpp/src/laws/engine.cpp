#include "layshaft/laws/engine.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "layshaft/number/bounds.hpp"
#include "layshaft/number/text.hpp"

namespace layshaft {
namespace {

/// Single-cylinder glow two-strokes of 0.16 to 7.5 cm3: peak brake efficiency 3 to 9 %.
/// Source: S. Menon and C. Cadou, Miniaturization limits of small internal combustion engines.
constexpr double kPublishedPeakEfficiency = 0.09;

/// Engines below 10 cm3: brake mean effective pressure under 4 bar.
/// Source: J. K. Ausserer et al., abstract.
constexpr double kPublishedMeanPressure = 4e5;

/// 6.5 cm3 giving up to 2.2 kW in its strongest form.
/// Source: R. R. Raine et al., Int. J. Engng Ed. 18(1) 2002.
constexpr double kPublishedPowerPerVolume = 2200.0 / 6.5e-6;

/// Speeds at which the rating is looked for; 1/2000 of the range is 20 rpm.
constexpr int kRatingSpeeds = 2000;

std::string warning(const char* what, double value, const char* unit, double published,
                    const char* source) {
  const auto with_unit = [unit](double number) { return in_digits(number, 3) + ' ' + unit; };
  return std::string("Engine: ") + what + ' ' + with_unit(value) + " is above the " +
         with_unit(published) + " published for small engines (" + source + ')';
}

/// The largest measured torque; the points up to it must let the engine rev up.
std::size_t largest_torque(const Curve& torque) {
  const auto begin = torque.y.begin();
  const auto end = begin + static_cast<std::ptrdiff_t>(torque.count);
  return static_cast<std::size_t>(std::max_element(begin, end) - begin);
}

// An engine that would turn backwards, hang below its first point or run away is no engine.
void validate_torque(const Engine& engine) {
  const Curve& torque = engine.torque;
  const auto entry = [](const char* array, std::size_t k) {
    return std::string("torque.") + array + '[' + std::to_string(k) + ']';
  };
  const std::size_t peak = largest_torque(torque);
  if (!(torque.y[peak] > 0.0)) {
    refuse("Engine", entry("y", peak), torque.y[peak], "> 0, the largest torque");
  }
  for (std::size_t k = 0; k < peak; ++k) {
    const double shut = engine.drag_slope * (engine.idle_speed - torque.x[k]);
    if (!(torque.y[k] > std::min(shut, 0.0))) {
      refuse("Engine", entry("y", k), torque.y[k],
             shut < 0.0 ? "above the drag with the throttle shut, " + std::to_string(shut)
                        : std::string("> 0 up to idle"));
    }
  }
  const std::size_t last = torque.count - 1;
  if (!(torque.x[last] > engine.idle_speed)) {
    refuse("Engine", entry("x", last), torque.x[last], "> idle_speed");
  }
}

/// Steepest fall that has to come above the last point, per largest torque and speed [-].
constexpr double kFallBeyond = 4.0;
/// Share of the last speed over which it comes at most, and of the largest torque that a curve
/// which still rises may gain meanwhile [-].
constexpr double kWayToFall = 0.05;
constexpr double kMostGain = 0.1;
/// Below the first point a torque that grows over the shut throttle's gains at most this share [-].
constexpr double kMostGainBelow = 0.1;
/// Least share of the first torque that may be lost below it [-]: where thin air has brought it
/// under the torque of the idle charge, which is only possible below idle.
constexpr double kLeastLoss = 0.1;

BeyondLaw<double> make_beyond_law(const Engine& engine, const CurveLaw<double>& curve,
                                  double torque_scale) {
  const Curve& torque = engine.torque;
  const std::size_t last = torque.count - 1;
  // All in the curve's own torque, which is scaled later.
  const double drag = engine.drag_slope / torque_scale;
  const double shut = drag * (engine.idle_speed - torque.x[0]);
  const double over_shut = std::max(torque.y[0] - shut, kLeastLoss * torque.y[0]);
  if (!(over_shut > 0.0)) {
    refuse("Engine", "torque.y[0], scaled", torque.y[0] * torque_scale,
           "above the drag with the throttle shut, " + std::to_string(shut * torque_scale));
  }
  const double low_bend = curve.linear[0] + drag;
  const double rise = low_bend < 0.0 ? -low_bend / kMostGainBelow : low_bend;
  const double end_slope = curve.linear[torque.count];
  const double largest = torque.y[largest_torque(torque)];
  const double fall = std::max({-end_slope, drag, kFallBeyond * largest / torque.x[last]});
  const double soon = kWayToFall * torque.x[last];
  return {.first_speed = torque.x[0],
          .last_speed = torque.x[last],
          .low_bend = low_bend,
          .low_radius = rise > 0.0 ? over_shut / rise : 1.0,
          .high_bend = -(end_slope + fall),
          .high_radius = end_slope > 0.0 ? std::min(soon, kMostGain * largest / end_slope) : soon};
}

}  // namespace

void validate(const Engine& engine) {
  validate(engine.torque);
  // Far beyond any engine that one can lift; past that the motion drowns in round-off.
  for (std::size_t k = 0; k < engine.torque.count; ++k) {
    const auto entry = [k](const char* array) { return array + ('[' + std::to_string(k) + ']'); };
    const double speed = engine.torque.x[k];
    const double torque = engine.torque.y[k];
    if (!(std::abs(speed) <= 1e5)) {
      refuse("Engine", entry("torque.x"), speed, "from -1e5 to 1e5 rad/s");
    }
    if (!(std::abs(torque) <= 1e3)) {
      refuse("Engine", entry("torque.y"), torque, "from -1000 to 1000 N*m");
    }
  }
  const auto positive = [](const char* field, double value) {
    require(value > 0.0 && value < 1e12, "Engine", field, value, "> 0 and finite");
  };
  positive("power_scale", engine.power_scale);
  positive("idle_speed", engine.idle_speed);
  positive("inertia", engine.inertia);
  positive("displacement", engine.displacement);
  positive("speed_limit", engine.speed_limit);
  require(engine.speed_limit > engine.idle_speed, "Engine", "speed_limit", engine.speed_limit,
          "> idle_speed");
  require(engine.drag_slope >= 0.0 && engine.drag_slope < 1e12, "Engine", "drag_slope",
          engine.drag_slope, ">= 0 and finite");
  require(engine.efficiency > 0.0 && engine.efficiency < 1.0, "Engine", "efficiency",
          engine.efficiency, "> 0 and < 1");
  validate_torque(engine);
}

EngineLaw<double> make_engine_law(const Engine& engine, double density_ratio,
                                  double heating_value) {
  validate(engine);
  require(density_ratio > 0.0 && density_ratio < 1e3, "EngineLaw", "density_ratio", density_ratio,
          "> 0 and finite");
  require(heating_value > 0.0 && heating_value < 1e12, "EngineLaw", "heating_value", heating_value,
          "> 0 and finite");
  const CurveLaw<double> curve = make_curve_law(engine.torque);
  const double torque_scale = density_ratio * engine.power_scale;
  return {.full_torque = curve,
          .beyond = make_beyond_law(engine, curve, torque_scale),
          .torque_scale = torque_scale,
          .idle_speed = engine.idle_speed,
          .drag_slope = engine.drag_slope,
          .fuel_per_work = 1.0 / (engine.efficiency * heating_value)};
}

double most_engine_power(const Engine& engine, const EngineLaw<double>& law) {
  const double largest = engine.torque.y[largest_torque(engine.torque)] * law.torque_scale;
  const double idle_charge = law.drag_slope * law.idle_speed;
  return (1.0 + kMostGain) * std::max(largest, idle_charge) * most_engine_speed(law);
}

EngineRating engine_rating(const Engine& engine) {
  constexpr double kReferenceAir = 1.0;
  constexpr double kAnyHeatingValue = 1.0;  // cancels in the efficiency
  const EngineLaw<double> law = make_engine_law(engine, kReferenceAir, kAnyHeatingValue);
  EngineRating rating{};
  for (int k = 1; k <= kRatingSpeeds; ++k) {
    const double speed = engine.speed_limit * k / kRatingSpeeds;
    const double torque = engine_torque(law, speed, 1.0);
    const double power = torque * speed;
    if (torque > rating.peak_torque) {
      rating.peak_torque = torque;
      rating.peak_torque_speed = speed;
    }
    if (power > rating.peak_power) {
      rating.peak_power = power;
      rating.peak_power_speed = speed;
    }
    if (power > 0.0) {
      rating.peak_efficiency =
          std::max(rating.peak_efficiency, power / fuel_mass_flow(law, speed, 1.0));
    }
  }
  rating.peak_mean_pressure = two_stroke_mean_pressure(rating.peak_torque, engine.displacement);
  return rating;
}

std::vector<std::string> engine_warnings(const Engine& engine) {
  const EngineRating rating = engine_rating(engine);
  std::vector<std::string> warnings;
  if (rating.peak_mean_pressure > kPublishedMeanPressure) {
    warnings.push_back(warning("mean effective pressure", rating.peak_mean_pressure / 1e5, "bar",
                               kPublishedMeanPressure / 1e5, "Ausserer et al."));
  }
  if (rating.peak_efficiency > kPublishedPeakEfficiency) {
    warnings.push_back(warning("brake efficiency", rating.peak_efficiency * 100.0, "%",
                               kPublishedPeakEfficiency * 100.0, "Menon and Cadou"));
  }
  const double power_per_volume = rating.peak_power / engine.displacement;
  if (power_per_volume > kPublishedPowerPerVolume) {
    warnings.push_back(warning("power per displacement", power_per_volume / 1e6, "W/cm3",
                               kPublishedPowerPerVolume / 1e6, "Raine et al."));
  }
  return warnings;
}

}  // namespace layshaft
