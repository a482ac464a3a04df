#include "layshaft/laws/gear_pair.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Published;
using testing::Seen;

constexpr double kDegree = kPi / 180.0;

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-14;

GearPair gears(double pinion, double spur, double module) {
  return {.spur = spur,
          .pinion = pinion,
          .module = module,
          .pressure_angle = 20.0 * kDegree,
          .addendum = 1.0,
          .friction = 0.1,
          .efficiency = 0.97,
          .loss = MeshLoss::from_teeth};
}

TEST(GearPair, ContactMatchesAWorkedExampleWithShortTeeth) {
  GearPair pair = gears(30.0, 80.0, 0.012);
  pair.addendum = 10.0 / 12.0;
  const ToothContact contact = tooth_contact(pair, nominal_centre(pair));
  const std::string book = "Khurmi and Gupta, Theory of Machines, 14th ed. 2009, Ex 12.3";
  // Printed 52.3, 55.66 and 1.5; the last two carry the book's own rounding of the path to 52.3.
  check_published({"G1", "path of contact [mm]", book, Seen::kCompanion, "tooth_contact"}, 52.3,
                  contact.path_length * 1e3, 0.05);
  check_published({"G1", "arc of contact [mm]", book, Seen::kCompanion, "tooth_contact"}, 55.66,
                  contact.arc_length * 1e3, 0.05 / std::cos(20.0 * kDegree) + 0.005);
  check_published({"G1", "contact ratio [-]", book, Seen::kCompanion, "tooth_contact"}, 1.5,
                  contact.contact_ratio, 0.05);
  EXPECT_NEAR(contact.path_length * 1e3, 52.26, 0.005);
  EXPECT_NEAR(contact.arc_length * 1e3, 55.61, 0.005);
  EXPECT_NEAR(contact.contact_ratio, 1.475, 5e-4);
}

TEST(GearPair, OpenedCentreRaisesThePressureAngle) {
  // Inches: diametral pitch 2 is a module of 0.5 in.
  const GearPair pair = gears(16.0, 40.0, 0.5);
  const std::string book = "Shigley, Mechanical Engineering Design, Ex 13-1";
  check_published({"G4", "centre distance [in]", book, Seen::kFromMemory, "nominal_centre"}, 14.0,
                  nominal_centre(pair), kRoundOff * 10);
  check_published({"G4", "base radius, pinion [in]", book, Seen::kFromMemory, "base_radius"}, 3.76,
                  base_radius(pair, 16.0), 0.005);
  check_published({"G4", "base radius, gear [in]", book, Seen::kFromMemory, "base_radius"}, 9.40,
                  base_radius(pair, 40.0), 0.005);
  const double opened = 14.25;
  // Both base circles roll without slip on one line: the working pitch circles are theirs over the
  // cosine of its angle. They divide 14.25 in as the teeth, 16 to 40.
  const double cosine = std::cos(working_pressure_angle(pair, opened));
  check_published({"G4", "working pitch diameter, pinion [in]", book, Seen::kFromMemory,
                   "base_radius, working_pressure_angle; radius over cosine"},
                  8.143, 2.0 * base_radius(pair, 16.0) / cosine, 5e-4);
  check_published({"G4", "working pitch diameter, gear [in]", book, Seen::kFromMemory,
                   "base_radius, working_pressure_angle; radius over cosine"},
                  20.357, 2.0 * base_radius(pair, 40.0) / cosine, 5e-4);
  // The book goes on from the base radius rounded to 0.01 in: 0.005/(4.071 sin 22.6 deg) = 0.18
  // deg.
  const double angle = working_pressure_angle(pair, opened) / kDegree;
  check_published(
      {"G4", "working pressure angle [deg]", book, Seen::kFromMemory, "working_pressure_angle"},
      22.56, angle, 0.18);
  EXPECT_NEAR(angle, 22.60, 0.005);
}

TEST(GearPair, TwoPercentMoreCentreMatchesATextbookExample) {
  const GearPair pair = gears(19.0, 37.0, 1.0 / 6.0);
  const double centre = nominal_centre(pair);
  const std::string book = "Norton, Machine Design, Ex 12-1";
  check_published({"G5", "contact ratio [-]", book, Seen::kFromMemory, "tooth_contact"}, 1.62,
                  tooth_contact(pair, centre).contact_ratio, 0.005);
  check_published(
      {"G5", "working pressure angle [deg]", book, Seen::kFromMemory, "working_pressure_angle"},
      22.89, working_pressure_angle(pair, 1.02 * centre) / kDegree, 0.005);
}

TEST(GearPair, LossFactorMatchesTheStandardTestPair) {
  // The pair has profile shift: its tips and centre distance are given.
  const GearPair pair = gears(16.0, 24.0, 4.5e-3);
  const ToothContact contact = tooth_contact(pair, 91.5e-3, 0.5 * 82.46e-3, 0.5 * 118.36e-3);
  const std::string pair_name = "standard type-C gear test pair; Ohlendorf loss factor";
  check_published(
      {"G7", "working pressure angle [deg]", pair_name, Seen::kFromMemory, "tooth_contact"}, 22.44,
      contact.working_pressure_angle / kDegree, 0.005);
  check_published({"G7", "contact ratio [-]", pair_name, Seen::kFromMemory, "tooth_contact"}, 1.44,
                  contact.contact_ratio, 0.005);
  check_published({"G7", "loss factor [-]", pair_name, Seen::kFromMemory, "tooth_contact"}, 0.195,
                  contact.loss_factor, 5e-4);
  EXPECT_NEAR(contact.working_pressure_angle / kDegree, 22.439, 5e-4);
  EXPECT_NEAR(contact.contact_ratio, 1.4375, 5e-5);
  EXPECT_NEAR(contact.loss_factor, 0.19496, 5e-6);
  check_published({"G8", "efficiency at mu 0.05 [%]", "1 - mu H_V, form as ISO/TR 14179-2",
                   Seen::kDerived, "tooth_contact; 1 - mu H_V"},
                  99.03, 100.0 * (1.0 - 0.05 * contact.loss_factor), 0.005);
  EXPECT_TRUE(contact.clear);
}

TEST(GearPair, StandardModulesAreKnown) {
  const std::string source = "ISO 54 first choice; DIN 780 below 1 mm";
  for (const double module : {0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0}) {
    EXPECT_TRUE(is_standard_module(module * 1e-3)) << module;
  }
  for (const double module : {0.35, 0.85, 1.1, 1.75, 8e2}) {
    EXPECT_FALSE(is_standard_module(module * 1e-3)) << module;
  }
  // a = m (z1 + z2)/2 = 0.8 * 62/2
  check_published({"G9", "centre distance at module 0.8, 62 teeth [mm]", source, Seen::kFromMemory,
                   "nominal_centre"},
                  24.8, nominal_centre(gears(16.0, 46.0, 0.8e-3)) * 1e3, kRoundOff * 100);
}

TEST(GearPair, EfficiencyIsGivenOrFollowsFromTheTeeth) {
  GearPair pair = gears(16.0, 46.0, 0.8e-3);
  const double loss = tooth_contact(pair, nominal_centre(pair)).loss_factor;
  EXPECT_EQ(mesh_efficiency(pair), 1.0 - 0.1 * loss);
  pair.friction = 0.0;
  EXPECT_EQ(mesh_efficiency(pair), 1.0);
  pair.loss = MeshLoss::given;
  EXPECT_EQ(mesh_efficiency(pair), 0.97);
}

TEST(GearPair, LossFactorIsTheSlidingWorkOverThePath) {
  // Independent of the closed form: mean over the path of sliding speed per pitch-line speed, with
  // the load on one pair in the middle and halved where two pairs touch, is
  // H_V = (1/p_b) * integral of load share * (1/r_w1 + 1/r_w2) |s|/cos(alpha_w) ds.
  const GearPair pair = gears(16.0, 46.0, 0.8e-3);
  const double centre = nominal_centre(pair);
  const ToothContact contact = tooth_contact(pair, centre);
  const double pitch = contact.path_length / contact.contact_ratio;
  const double curvature = (1.0 + ratio(pair)) / centre * (1.0 + 1.0 / ratio(pair));
  constexpr int kParts = 200000;
  double sum = 0.0;
  for (int k = 0; k < kParts; ++k) {
    const double along = contact.path_length * (k + 0.5) / kParts;
    const bool two = along < contact.path_length - pitch || along > pitch;
    sum += (two ? 0.5 : 1.0) * std::abs(along - contact.approach_length);
  }
  const double work = sum * contact.path_length / kParts * curvature / pitch /
                      std::cos(contact.working_pressure_angle);
  EXPECT_NEAR(work, contact.loss_factor, 1e-5);  // midpoint rule across the two load steps
}

TEST(GearPair, SlidingIsFastestAtTheLongerEnd) {
  const GearPair pair = gears(16.0, 46.0, 0.8e-3);
  const ToothContact contact = tooth_contact(pair, nominal_centre(pair));
  const double longer = std::max(contact.approach_length, contact.recess_length);
  // both gears turn against each other: w1 + w2 = 1000 (1 + 16/46)
  EXPECT_NEAR(sliding_speed(pair, contact, -1000.0), longer * 1000.0 * (1.0 + 16.0 / 46.0),
              kRoundOff);
}

TEST(GearPair, BacklashIsZeroAtTheNominalCentreAndNegativeBelow) {
  const GearPair pair = gears(16.0, 46.0, 0.8e-3);
  const double centre = nominal_centre(pair);
  EXPECT_NEAR(backlash(pair, centre), 0.0, 1e-16);
  EXPECT_LT(backlash(pair, centre - 1e-5), 0.0);
  // To first order 2 tan(alpha) per centre opening; second order is 1 % at 0.1 mm of 24.8 mm.
  const double first_order = 2.0 * std::tan(20.0 * kDegree) * 1e-4;
  EXPECT_NEAR(backlash(pair, centre + 1e-4) / first_order, 1.0, 0.03);
  EXPECT_NEAR(backlash(pair, centre + 1e-6) / (first_order / 100.0), 1.0, 3e-4);
}

TEST(GearPair, EqualToothSumsShareACentre) {
  const CentreRange shared =
      shared_centres(gears(16.0, 46.0, 0.8e-3), gears(20.0, 42.0, 0.8e-3), 0.03e-3, 0.15e-3);
  ASSERT_FALSE(is_empty(shared));
  EXPECT_NEAR(backlash(gears(16.0, 46.0, 0.8e-3), shared.lowest), 0.03e-3, 1e-15);
  EXPECT_NEAR(backlash(gears(20.0, 42.0, 0.8e-3), shared.highest), 0.15e-3, 1e-15);
}

TEST(GearPair, OneToothMoreNeedsMoreBacklashThanIsAllowed) {
  // One tooth is half a module, 0.4 mm of centre distance: 0.29 mm of backlash and more.
  const GearPair first = gears(16.0, 46.0, 0.8e-3);
  const GearPair second = gears(21.0, 42.0, 0.8e-3);
  EXPECT_TRUE(is_empty(shared_centres(first, second, 0.03e-3, 0.15e-3)));
  EXPECT_FALSE(is_empty(shared_centres(first, second, 0.0, 0.4e-3)));
}

TEST(GearPair, UndercutLimitIsSeventeenTeethAtTwentyDegrees) {
  // 2/sin^2(20 deg) = 17.097
  EXPECT_NEAR(undercut_limit(gears(16.0, 46.0, 0.8e-3)), 17.097, 5e-4);
}

TEST(GearPair, TipsBelowTheBaseCircleAreReported) {
  EXPECT_TRUE(tooth_contact(gears(16.0, 46.0, 1e-3), 31e-3).clear);
  EXPECT_FALSE(tooth_contact(gears(12.0, 50.0, 1e-3), 31e-3).clear);
}

TEST(GearPair, RefusesValuesOutOfBounds) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (double GearPair::* const field :
       {&GearPair::spur, &GearPair::pinion, &GearPair::module, &GearPair::pressure_angle,
        &GearPair::addendum, &GearPair::friction, &GearPair::efficiency}) {
    for (const double bad : {nan, -1.0, 1e4}) {
      GearPair pair = gears(16.0, 46.0, 0.8e-3);
      pair.*field = bad;
      EXPECT_THROW(validate(pair), std::invalid_argument);
    }
  }
  EXPECT_THROW(validate(gears(16.5, 46.0, 0.8e-3)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(working_pressure_angle(gears(16.0, 46.0, 0.8e-3), 23e-3)),
               std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
