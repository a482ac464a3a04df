#include "layshaft/laws/flat_belt.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Published;
using testing::record_left_out;
using testing::Seen;

constexpr double kDegree = kPi / 180.0;
constexpr double kRpm = 2.0 * kPi / 60.0;

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-14;

Published khurmi(const std::string& id, const std::string& quantity, const std::string& example,
                 const std::string& law) {
  return {id, quantity, "Khurmi and Gupta, Theory of Machines, 14th ed. 2009, Ex " + example,
          Seen::kCompanion, law};
}

const std::string kPower = "carried_force; times speed";
const std::string kGain = "tensions_from_pretension, carried_force; one over the other";

TEST(FlatBelt, PowerOfAnOpenDriveMatchesAWorkedExample) {
  const SpanTensions tensions = tensions_from_tight(2500.0, tension_ratio(0.25, 160.0 * kDegree));
  const double speed = 0.3 * 200.0 * kRpm;
  check_published(khurmi("B1", "power [kW]", "11.4", kPower), 7.89,
                  carried_force(tensions) * speed / 1e3, 0.005);
  // 2500 N (1 - exp(-0.25 * 8 pi/9)) * 2 pi m/s = 7.8930 kW
  EXPECT_NEAR(carried_force(tensions) * speed / 1e3, 7.8930, 5e-5);
}

TEST(FlatBelt, RopeOnABollardMatchesAWorkedExample) {
  const SpanTensions tensions = tensions_from_tight(9000.0, tension_ratio(0.25, 2.5 * 2.0 * kPi));
  check_published(khurmi("B2", "slack side [N]", "11.5", "tension_ratio, tensions_from_tight"),
                  177.33, tensions.slack, 0.005);
  check_published(khurmi("B2", "power [kW]", "11.5", kPower), 2.772,
                  carried_force(tensions) * 0.15 * 20.0 * kRpm / 1e3, 5e-4);
}

TEST(FlatBelt, CrossedDriveMatchesAWorkedExample) {
  const PulleyPair pulleys{
      .in_radius = 0.225, .out_radius = 0.1, .centre = 1.95, .run = BeltRun::kCrossed};
  const double wrap = least_wrap(pulleys);
  const SpanTensions tensions = tensions_from_tight(1000.0, tension_ratio(0.25, wrap));
  const double power = carried_force(tensions) * 0.225 * 200.0 * kRpm / 1e3;
  check_published(khurmi("B3", "belt length [m]", "11.6", "belt_length"), 4.975,
                  belt_length(pulleys), 5e-4);
  // The book rounds the wrap to a whole degree (0.5 deg = 0.0087 rad) and cuts the power off.
  check_published(khurmi("B3", "wrap [rad]", "11.6", "least_wrap"), 3.473, wrap, 0.0087);
  check_published(khurmi("B3", "power [kW]", "11.6", kPower), 2.73, power, 0.01);
  EXPECT_NEAR(wrap, 3.4765, 5e-5);
  EXPECT_NEAR(power, 2.736, 5e-4);
}

TEST(FlatBelt, BestSpeedMatchesAWorkedExample) {
  const double linear_mass = 0.1 * 0.006 * 1000.0;  // 100 x 6 mm, 1000 kg/m3
  const double allowed = 2e6 * 0.1 * 0.006;
  const double speed = best_belt_speed(allowed, linear_mass);
  const double tight = allowed - centrifugal_tension(linear_mass, speed);
  const SpanTensions tensions = tensions_from_tight(tight, tension_ratio(0.3, 120.0 * kDegree));
  check_published(khurmi("B4", "best belt speed [m/s]", "11.10", "best_belt_speed"), 25.82, speed,
                  0.005);
  check_published(khurmi("B4", "power [kW]", "11.10", kPower), 9.64,
                  carried_force(tensions) * speed / 1e3, 0.005);
  EXPECT_NEAR(tight, 800.0, 1e-10);  // two thirds of 1200 N
}

TEST(FlatBelt, SlippingDriveMatchesAWorkedExample) {
  const PulleyPair pulleys{
      .in_radius = 0.6, .out_radius = 0.25, .centre = 4.0, .run = BeltRun::kOpen};
  const double speed = 0.6 * 200.0 * kRpm;
  const double tight = 2000.0 - centrifugal_tension(0.9, speed);
  const double force =
      carried_force(tensions_from_tight(tight, tension_ratio(0.3, least_wrap(pulleys))));
  // Book rounding of the tensions to whole newtons: 0.5 N on a radius of 0.6 and 0.25 m; the second
  // torque is cut off.
  check_published(khurmi("B5", "driving torque [N*m]", "11.11", "carried_force; times radius"),
                  657.0, force * 0.6, 0.3);
  check_published(khurmi("B5", "driven torque [N*m]", "11.11", "carried_force; times radius"),
                  273.0, force * 0.25, 1.0);
  check_published(khurmi("B5", "power [kW]", "11.11", kPower), 13.76, force * speed / 1e3, 0.005);
  const Published efficiency = khurmi("B5", "efficiency [%]", "11.11", "");
  record_left_out({efficiency.id, efficiency.quantity, efficiency.source, "93.8",
                   "the given belt speeds, one over the other; the force cancels"});
  EXPECT_NEAR(force * 0.6, 656.9, 0.05);
  EXPECT_NEAR(force * 0.25, 273.7, 0.05);
}

TEST(FlatBelt, PretensionAndFrictionRaiseThePowerAsInAWorkedExample) {
  const PulleyPair pulleys{
      .in_radius = 0.2, .out_radius = 0.125, .centre = 2.0, .run = BeltRun::kOpen};
  const double wrap = least_wrap(pulleys);
  const SpanTensions before = tensions_from_tight(1200.0, tension_ratio(0.4, wrap));
  const double pretension = 0.5 * (before.tight + before.slack);
  const SpanTensions tighter = tensions_from_pretension(1.1 * pretension, tension_ratio(0.4, wrap));
  const SpanTensions rougher = tensions_from_pretension(pretension, tension_ratio(0.44, wrap));
  const double force = carried_force(before);
  check_published(khurmi("B7", "power [kW]", "11.16", kPower), 8.48, force * 10.0 / 1e3, 0.005);
  check_published(khurmi("B7", "gain by +10 % pretension [%]", "11.16", kGain), 10.00,
                  100.0 * (carried_force(tighter) / force - 1.0), 0.005);
  check_published(khurmi("B7", "gain by +10 % friction [%]", "11.16", kGain), 7.6,
                  100.0 * (carried_force(rougher) / force - 1.0), 0.05);
}

TEST(FlatBelt, ExactLengthIsAStringPulledAroundTwoCircles) {
  // Equal pulleys: two centre distances and one circumference.
  const PulleyPair equal{
      .in_radius = 0.01, .out_radius = 0.01, .centre = 0.05, .run = BeltRun::kOpen};
  EXPECT_NEAR(belt_length(equal), 0.1 + 2.0 * kPi * 0.01, kRoundOff);
  EXPECT_NEAR(belt_length_three_terms(equal), belt_length(equal), kRoundOff);
  EXPECT_NEAR(least_wrap(equal), kPi, kRoundOff);
  // Crossed, radii 0.5 C sin(30 deg) each: spans C cos 30 deg, wraps 240 deg.
  const PulleyPair crossed{
      .in_radius = 0.25, .out_radius = 0.25, .centre = 1.0, .run = BeltRun::kCrossed};
  EXPECT_NEAR(belt_length(crossed), std::sqrt(3.0) + 0.5 * 4.0 / 3.0 * kPi, 10.0 * kRoundOff);
}

TEST(FlatBelt, SwappingThePulleysChangesNoLength) {
  for (const BeltRun run : {BeltRun::kOpen, BeltRun::kCrossed}) {
    const PulleyPair one{.in_radius = 0.2, .out_radius = 0.1, .centre = 0.7, .run = run};
    const PulleyPair other{.in_radius = 0.1, .out_radius = 0.2, .centre = 0.7, .run = run};
    EXPECT_EQ(belt_length(one), belt_length(other));
    EXPECT_EQ(least_wrap(one), least_wrap(other));
  }
}

TEST(FlatBelt, ThreeTermsFallShortByTheNextTerm) {
  for (const BeltRun run : {BeltRun::kOpen, BeltRun::kCrossed}) {
    const PulleyPair pulleys{.in_radius = 0.2, .out_radius = 0.1, .centre = 2.0, .run = run};
    const double offset = run == BeltRun::kOpen ? 0.1 : 0.3;
    const double next = std::pow(offset, 4) / (12.0 * 8.0);
    // The term after it is smaller by the square of offset/centre, at most 2.3 %.
    EXPECT_NEAR((belt_length(pulleys) - belt_length_three_terms(pulleys)) / next, 1.0, 0.025);
  }
}

TEST(FlatBelt, CentreIsFoundBackFromTheLength) {
  const PulleyPair pulleys{
      .in_radius = 0.2, .out_radius = 0.1, .centre = 0.7, .run = BeltRun::kOpen};
  EXPECT_NEAR(centre_for_length(0.2, 0.1, belt_length(pulleys)), 0.7, kRoundOff);
  EXPECT_NEAR(centre_for_length_three_terms(0.2, 0.1, belt_length_three_terms(pulleys)), 0.7,
              kRoundOff);
}

TEST(FlatBelt, RefusesPulleysThatOverlapAndBeltsTooShort) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (double PulleyPair::* const field :
       {&PulleyPair::in_radius, &PulleyPair::out_radius, &PulleyPair::centre}) {
    for (const double bad : {nan, 0.0, -1.0}) {
      PulleyPair pulleys{.in_radius = 0.2, .out_radius = 0.1, .centre = 0.7, .run = BeltRun::kOpen};
      pulleys.*field = bad;
      EXPECT_THROW(static_cast<void>(belt_length(pulleys)), std::invalid_argument);
    }
  }
  const PulleyPair overlapping{
      .in_radius = 0.2, .out_radius = 0.1, .centre = 0.29, .run = BeltRun::kOpen};
  EXPECT_THROW(validate(overlapping), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(centre_for_length(0.2, 0.1, 1.5)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(centre_for_length_three_terms(0.2, 0.1, 0.9)),
               std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
