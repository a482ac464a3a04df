#include "layshaft/laws/pull.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Seen;

TEST(Pull, GearByGearAccelerationMatchesATextbookExample) {
  // Pounds, feet, seconds with g = 32.2: a force of 29.5 lbf per unit of ratio at the road, 4.54 lb
  // of engine inertia per square of the ratio.
  constexpr double kGravity = 32.2;
  struct Row {
    double ratio;
    double efficiency;
    double acceleration;  // [ft/s2]
  };
  for (const Row& row :
       {Row{22.5, 0.82, 4.96}, Row{12.5, 0.82, 4.37}, Row{7.3, 0.82, 3.08}, Row{5.4, 0.90, 2.61}}) {
    const PulledVehicle car{.mass = 1648.0,
                            .wheel_radius = 1.0,
                            .wheel_inertia = 0.0,
                            .engine_inertia = 4.54,
                            .efficiency = row.efficiency,
                            .torque = 29.5 * kGravity,
                            .resistance = 0.0};
    check_published({"V1", "acceleration in gear " + std::to_string(row.ratio) + " [ft/s2]",
                     "Bevan, The Theory of Machines, 3rd ed., Ex 2.11", Seen::kCompanion,
                     "geared_acceleration"},
                    row.acceleration, geared_acceleration(car, row.ratio), 0.005);
  }
}

TEST(Pull, HoistMatchesATextbookExample) {
  const std::string book = "Bevan, The Theory of Machines, 3rd ed., Ex 2.10";
  const auto fall = [](double efficiency) {
    return hoist_acceleration(150.0, 8.0 / 12.0, 200.0, 15.0, 5.0, efficiency, 32.2);
  };
  check_published(
      {"V2", "acceleration, no loss [ft/s2]", book, Seen::kCompanion, "hoist_acceleration"}, 3.35,
      fall(1.0), 0.005);
  check_published(
      {"V2", "acceleration, efficiency 0.9 [ft/s2]", book, Seen::kCompanion, "hoist_acceleration"},
      3.14, fall(0.9), 0.005);
}

TEST(Pull, BestRatioBetweenTwoInertiasMatchesAWorkedExample) {
  // Shaft B alone as the "vehicle": mass 32 at radius 1, engine side 2, no resistance.
  const PulledVehicle shafts{.mass = 32.0,
                             .wheel_radius = 1.0,
                             .wheel_inertia = 0.0,
                             .engine_inertia = 2.0,
                             .efficiency = 1.0,
                             .torque = 100.0,
                             .resistance = 0.0};
  const std::string book = "Khurmi and Gupta, Theory of Machines, 14th ed. 2009, Ex 3.14";
  constexpr double kRoundOff = 1e-13;
  const double ratio = best_ratio(shafts);
  check_published({"V4", "best ratio [-]", book, Seen::kCompanion, "best_ratio"}, 4.0, ratio,
                  kRoundOff);
  check_published(
      {"V4", "acceleration of B [rad/s2]", book, Seen::kCompanion, "geared_acceleration"}, 6.25,
      geared_acceleration(shafts, ratio), kRoundOff);
  check_published({"V4", "acceleration of A [rad/s2]", book, Seen::kCompanion,
                   "geared_acceleration; times the ratio"},
                  25.0, ratio * geared_acceleration(shafts, ratio), kRoundOff * 10);
}

TEST(Pull, BestRatioOnAGradeMatchesAWorkedExample) {
  const PulledVehicle car{.mass = 1500.0,
                          .wheel_radius = 0.3,
                          .wheel_inertia = 8.0,
                          .engine_inertia = 1.0,
                          .efficiency = 0.85,
                          .torque = 200.0,
                          .resistance = 300.0 + 1500.0 * 9.81 * 0.25};
  const std::string book = "Khurmi and Gupta, Theory of Machines, 14th ed. 2009, Ex 3.15";
  const double ratio = best_ratio(car);
  check_published({"V5", "best ratio [-]", book, Seen::kCompanion, "best_ratio"}, 22.0, ratio, 0.5);
  check_published({"V5", "acceleration [m/s2]", book, Seen::kCompanion, "geared_acceleration"},
                  1.38, geared_acceleration(car, ratio), 0.005);
  EXPECT_NEAR(ratio, 21.77, 0.005);
  EXPECT_NEAR(geared_acceleration(car, ratio), 1.378, 5e-4);
  EXPECT_LT(geared_acceleration(car, 0.99 * ratio), geared_acceleration(car, ratio));
  EXPECT_LT(geared_acceleration(car, 1.01 * ratio), geared_acceleration(car, ratio));
}

/// Integral of f over 0..end by Simpson's rule.
template <class Function>
double simpson(Function f, double end) {
  constexpr int kParts = 2000;  // error (h^4) far below round-off for the smooth functions here
  const double h = end / kParts;
  double sum = f(0.0) + f(end);
  for (int k = 1; k < kParts; ++k) sum += (k % 2 == 0 ? 2.0 : 4.0) * f(k * h);
  return sum * h / 3.0;
}

TEST(Pull, CoastingMatchesItsIntegral) {
  // 8 kg, rolling 0.015, drag area 0.02 m2, air 1.2 kg/m3, from 20 m/s
  const double constant = 0.015 * kStandardGravity;
  const double quadratic = 0.5 * 1.2 * 0.02 / 8.0;
  const auto deceleration = [=](double v) { return constant + quadratic * v * v; };
  const double time = simpson([=](double v) { return 1.0 / deceleration(v); }, 20.0);
  const double distance = simpson([=](double v) { return v / deceleration(v); }, 20.0);
  constexpr double kQuadrature = 1e-9;
  check_published({"V7", "time to rest [s]", "closed form atan(sqrt(b/a) v0)/sqrt(ab)",
                   Seen::kDerived, "coasting_time"},
                  time, coasting_time(20.0, constant, quadratic), kQuadrature);
  EXPECT_NEAR(coasting_distance(20.0, constant, quadratic), distance, 10 * kQuadrature);
}

TEST(Pull, RefusesValuesOutOfBounds) {
  const PulledVehicle good{.mass = 2.5,
                           .wheel_radius = 0.0365,
                           .wheel_inertia = 2e-4,
                           .engine_inertia = 1.4e-5,
                           .efficiency = 0.92,
                           .torque = 0.4,
                           .resistance = 1.0};
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (double PulledVehicle::* const field :
       {&PulledVehicle::mass, &PulledVehicle::wheel_radius, &PulledVehicle::wheel_inertia,
        &PulledVehicle::engine_inertia, &PulledVehicle::efficiency, &PulledVehicle::torque,
        &PulledVehicle::resistance}) {
    for (const double bad : {nan, -1.0}) {
      PulledVehicle vehicle = good;
      vehicle.*field = bad;
      EXPECT_THROW(static_cast<void>(best_ratio(vehicle)), std::invalid_argument);
    }
  }
  PulledVehicle vehicle = good;
  vehicle.engine_inertia = 0.0;
  EXPECT_THROW(static_cast<void>(best_ratio(vehicle)), std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
