#include "layshaft/laws/two_speed.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>
#include <string>

#include "invented_two_speed.hpp"
#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::car_speed_kmh;
using testing::check_published;
using testing::invented_two_speed;
using testing::Seen;
using testing::sprung_two_speed;

/// A few roundings, relative.
constexpr double kRoundOff = 1e-12;

const std::string kInvented = "invented demo car, closed forms of the two-speed";

/// Contact speed squared by looking at every swing of a fine table.
double greatest_balance(const TwoSpeed& two_speed, const ShoeSetting& setting) {
  constexpr int kPoints = 20000;
  double greatest = 0.0;
  for (int k = 0; k <= kPoints; ++k) {
    const double swing = contact_swing(two_speed) * k / kPoints;
    greatest = max(greatest, hold_moment(two_speed, setting, swing) /
                                 centrifugal_gain(two_speed, setting, swing));
  }
  return greatest;
}

/// The table misses the peak by half a step at most: curvature * step^2 / 8, relative.
constexpr double kTableError = 1e-8;

TEST(TwoSpeed, GripOfTheInventedShoes) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeLaw<double> law = make_shoe_law(two_speed, two_speed.shoes[0]);
  check_published({"D-shoe", "grip, leading [-]", kInvented, Seen::kDerived, "shoe_grip"}, 0.970,
                  shoe_grip(law, 1.0, 0.25), 5e-4);
  check_published({"D-shoe", "grip, trailing [-]", kInvented, Seen::kDerived, "shoe_grip"}, 0.308,
                  shoe_grip(law, -1.0, 0.25), 5e-4);
  check_published(
      {"D-shoe", "locking friction [-]", kInvented, Seen::kDerived, "locking_friction, shoe_arms"},
      0.482, locking_friction(shoe_arms(two_speed)), 5e-4);
  const double capacity_gain = 2.0 * shoe_grip(law, 1.0, law.friction) * law.centrifugal_gain;
  check_published({"D-shoe", "capacity per speed squared [1e-6 N m s^2]", kInvented, Seen::kDerived,
                   "make_shoe_law, shoe_grip; grip times gain, two shoes"},
                  1.96, capacity_gain * 1e6, 0.005);
}

TEST(TwoSpeed, InventedCarShiftsAtTheSpeedsOfItsTable) {
  struct Row {
    double gap, up, down;  // [mm], [km/h], [km/h]
  };
  constexpr double kDigits = 0.0501;  // [km/h]; 53.05 is printed as 53.1
  for (const Row& row : {Row{4.8, 45.0, 40.5}, Row{4.5, 53.1, 46.2}, Row{4.2, 60.0, 51.3}}) {
    const TwoSpeed two_speed = invented_two_speed(row.gap * 1e-3);
    const ShoeLaw<double> law = make_shoe_law(two_speed, two_speed.shoes[0]);
    const std::string at = " at " + std::to_string(row.gap).substr(0, 3) + " mm [km/h]";
    check_published({"D-shoe", "upshift" + at, kInvented, Seen::kDerived, "make_shoe_law"}, row.up,
                    car_speed_kmh(sqrt(law.contact_speed_squared)), kDigits);
    check_published({"D-shoe", "downshift" + at, kInvented, Seen::kDerived, "make_shoe_law"},
                    row.down, car_speed_kmh(sqrt(law.release_speed_squared)), kDigits);
  }
}

TEST(TwoSpeed, CentrifugalMomentIsTheCrossProductOfPivotAndSwungMass) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const double a = two_speed.pivot_radius;
  const auto moment = [&](double mass, double x, double y, double swing) {
    // Swinging outwards turns the shoe clockwise about the pivot at (a, 0).
    const double across = y * std::cos(swing) - (x - a) * std::sin(swing);
    return mass * a * across;
  };
  for (const double swing : {0.0, 0.01, 0.028}) {
    const double by_hand = moment(6e-3, -3e-3, 11.3e-3, swing) + moment(1e-3, 0.0, 13.5e-3, swing);
    EXPECT_NEAR(centrifugal_gain(two_speed, two_speed.shoes[0], swing) / by_hand, 1.0, kRoundOff);
  }
}

TEST(TwoSpeed, SwingingOutLengthensTheRadiusOfTheMass) {
  // The moment is the derivative of the kinetic energy m R^2 w^2 / 2 with the swing.
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeSetting bare{.gap = 4.5e-3, .slug_mass = 0.0};
  const auto half_inertia = [](double swing) {
    const double x = 12e-3 + (-15e-3) * std::cos(swing) + 11.3e-3 * std::sin(swing);
    const double y = 11.3e-3 * std::cos(swing) + 15e-3 * std::sin(swing);
    return 0.5 * 6e-3 * (x * x + y * y);
  };
  constexpr double kStep = 1e-4;
  const double slope = (half_inertia(0.02 + kStep) - half_inertia(0.02 - kStep)) / (2.0 * kStep);
  constexpr double kTruncation = 1e-7;  // step^2, relative
  EXPECT_NEAR(centrifugal_gain(two_speed, bare, 0.02) / slope, 1.0, kTruncation);
}

TEST(TwoSpeed, TravelStiffensTheHoldAndOutwardMotionSoftensIt) {
  TwoSpeed two_speed = sprung_two_speed(4.571e-3);  // 1 mm of preload
  const ShoeSetting setting = two_speed.shoes[0];
  const double contact = contact_swing(two_speed);
  check_published(
      {"D-shoe", "hold at contact over hold on the seat [-]", kInvented, Seen::kDerived,
       "hold_moment; one over the other"},
      1.22, hold_moment(two_speed, setting, contact) / hold_moment(two_speed, setting, 0.0), 0.005);
  check_published(
      {"D-shoe", "centrifugal gain at contact over that on the seat [-]", kInvented, Seen::kDerived,
       "centrifugal_gain; one over the other"},
      1.035,
      centrifugal_gain(two_speed, setting, contact) / centrifugal_gain(two_speed, setting, 0.0),
      5e-4);
}

TEST(TwoSpeed, PlainSpringLetsGoAndTakesBackAtOneSpeed) {
  for (const double gap : {3.5e-3, 4.5e-3, 5.5e-3}) {
    const TwoSpeed two_speed = sprung_two_speed(gap);
    const ShoeLaw<double> law = make_shoe_law(two_speed, two_speed.shoes[0]);
    EXPECT_EQ(law.contact_speed_squared, law.release_speed_squared);
    const double by_hand =
        928.0 * (5.571e-3 - gap + 8e-3 * contact_swing(two_speed)) / law.centrifugal_gain;
    EXPECT_NEAR(law.contact_speed_squared / by_hand, 1.0, kRoundOff);
  }
}

TEST(TwoSpeed, DetentLetsGoOnTheSeatWhenThePreloadIsHigh) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeSetting setting = two_speed.shoes[0];
  const double on_seat = 928.0 * 1.071e-3 / centrifugal_gain(two_speed, setting, 0.0);
  EXPECT_NEAR(contact_speed_squared(two_speed, setting) / on_seat, 1.0, kRoundOff);
  EXPECT_LT(release_speed_squared(two_speed, setting), on_seat);
}

TEST(TwoSpeed, DetentWithLittlePreloadLosesItsHoldOnTheWay) {
  // Between the seat and contact the hold first grows with the travel, then fades: the shoe snaps
  // out from inside, later than either end would tell.
  const TwoSpeed two_speed = invented_two_speed(5.3e-3);
  const ShoeSetting setting = two_speed.shoes[0];
  const double contact = contact_speed_squared(two_speed, setting);
  const double on_seat =
      hold_moment(two_speed, setting, 0.0) / centrifugal_gain(two_speed, setting, 0.0);
  EXPECT_GT(contact, 1.01 * on_seat);
  EXPECT_GT(contact, 1.01 * release_speed_squared(two_speed, setting));
  EXPECT_NEAR(contact / greatest_balance(two_speed, setting), 1.0, kTableError);
}

TEST(TwoSpeed, ContactSpeedIsTheGreatestBalanceOverTheSwing) {
  for (const double gap : {3.0e-3, 4.2e-3, 4.9e-3, 5.1e-3, 5.5e-3, 5.7e-3}) {
    for (const double ratio : {0.0, 0.3, 0.65, 0.9, 0.999, 1.0}) {
      TwoSpeed two_speed = invented_two_speed(gap);
      two_speed.detent_ratio = ratio;
      const ShoeSetting setting = two_speed.shoes[0];
      EXPECT_NEAR(contact_speed_squared(two_speed, setting) / greatest_balance(two_speed, setting),
                  1.0, kTableError)
          << "gap " << gap << ", detent ratio " << ratio;
      EXPECT_GE(contact_speed_squared(two_speed, setting),
                release_speed_squared(two_speed, setting));
    }
  }
}

TEST(TwoSpeed, DetentWithAllItsHoldLeftIsThePlainSpring) {
  TwoSpeed detent = invented_two_speed(4.5e-3);
  detent.detent_ratio = 1.0;
  const TwoSpeed spring = sprung_two_speed(4.5e-3);
  EXPECT_EQ(contact_speed_squared(detent, detent.shoes[0]),
            contact_speed_squared(spring, spring.shoes[0]));
}

TEST(TwoSpeed, ScrewInIsLaterWhicheverWayTheReadingGoes) {
  TwoSpeed falling = invented_two_speed(4.5e-3);
  TwoSpeed rising = falling;
  rising.reading_direction = ReadingDirection::rises_as_screw_goes_in;
  rising.zero_preload_reading = 4.5e-3 - 1.071e-3;
  EXPECT_NEAR(contact_speed_squared(rising, rising.shoes[0]) /
                  contact_speed_squared(falling, falling.shoes[0]),
              1.0, kRoundOff);
  EXPECT_GT(contact_speed_squared(falling, {.gap = 4.4e-3, .slug_mass = 1e-3}),
            contact_speed_squared(falling, {.gap = 4.5e-3, .slug_mass = 1e-3}));
  EXPECT_LT(contact_speed_squared(rising, {.gap = 4.4e-3, .slug_mass = 1e-3}),
            contact_speed_squared(rising, {.gap = 4.5e-3, .slug_mass = 1e-3}));
}

TEST(TwoSpeed, SquaredShiftSpeedsAreLinearInTheGap) {
  // Exactly so: the second difference is round-off, and the line meets zero at zero preload.
  const auto squares = [](const TwoSpeed& two_speed, auto law) {
    return std::array{law(two_speed, {.gap = 4.2e-3, .slug_mass = 1e-3}),
                      law(two_speed, {.gap = 4.4e-3, .slug_mass = 1e-3}),
                      law(two_speed, {.gap = 4.6e-3, .slug_mass = 1e-3})};
  };
  const auto reading_at_zero = [](const std::array<double, 3>& w2) {
    return (w2[0] * 4.6e-3 - w2[2] * 4.2e-3) / (w2[0] - w2[2]);
  };
  using Law = double (*)(const TwoSpeed&, const ShoeSetting&);
  const TwoSpeed detent = invented_two_speed(4.5e-3);
  const auto up = squares(detent, Law(contact_speed_squared));
  const auto down = squares(detent, Law(release_speed_squared));
  EXPECT_NEAR((up[0] - 2.0 * up[1] + up[2]) / up[1], 0.0, kRoundOff);
  EXPECT_NEAR((down[0] - 2.0 * down[1] + down[2]) / down[1], 0.0, kRoundOff);
  EXPECT_NEAR(reading_at_zero(up), 5.571e-3, kRoundOff);
  EXPECT_NEAR(reading_at_zero(down), 5.571e-3 + 8e-3 * contact_swing(detent), kRoundOff);
}

TEST(TwoSpeed, UnequalShoesDifferByTheirClosedForm) {
  // dw/w = du/(2 u_e) - dm A/(2 S), A = a times the slug's distance from the line to the pivot.
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeSetting setting = two_speed.shoes[0];
  const auto speed = [&](double gap, double slug) {
    return sqrt(contact_speed_squared(two_speed, {.gap = gap, .slug_mass = slug}));
  };
  const double at = speed(setting.gap, setting.slug_mass);
  constexpr double kTruncation = 1e-6;  // relative steps of 1e-3
  const double by_gap = (speed(4.499e-3, 1e-3) - speed(4.501e-3, 1e-3)) / 2e-6 / at;
  EXPECT_NEAR(by_gap * 2.0 * 1.071e-3, 1.0, kTruncation);
  const double by_slug = (speed(4.5e-3, 1.001e-3) - speed(4.5e-3, 0.999e-3)) / 2e-6 / at;
  const double gain = centrifugal_gain(two_speed, setting, 0.0);
  EXPECT_NEAR(by_slug * 2.0 * gain / (-12e-3 * 13.5e-3), 1.0, kTruncation);
}

TEST(TwoSpeed, UnequalPlainShoesDifferByTheHoldAtContact) {
  const TwoSpeed two_speed = sprung_two_speed(4.5e-3);
  const auto speed = [&](double gap) {
    return sqrt(contact_speed_squared(two_speed, {.gap = gap, .slug_mass = 1e-3}));
  };
  constexpr double kTruncation = 1e-6;  // relative steps of 1e-3
  const double by_gap = (speed(4.499e-3) - speed(4.501e-3)) / 2e-6 / speed(4.5e-3);
  const double at_contact = 1.071e-3 + 8e-3 * contact_swing(two_speed);
  EXPECT_NEAR(by_gap * 2.0 * at_contact, 1.0, kTruncation);
}

TEST(TwoSpeed, ShoesWithUnequalScrewsDifferByAConstantTorque) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeLaw<double> early = make_shoe_law(two_speed, {.gap = 4.6e-3, .slug_mass = 1e-3});
  const ShoeLaw<double> late = make_shoe_law(two_speed, {.gap = 4.5e-3, .slug_mass = 1e-3});
  const double by_hand = shoe_grip(early, 1.0, 0.25) * 928.0 * 0.65 * 0.1e-3;
  for (const double speed : {1100.0, 1500.0, 2000.0}) {
    const double difference =
        shoe_torque(early, speed, 1.0, 1.0) - shoe_torque(late, speed, 1.0, 1.0);
    EXPECT_NEAR(difference, by_hand, kRoundOff);
  }
}

TEST(TwoSpeed, SelfLockingIsRefusedWhicheverWayTheShoesLie) {
  for (const auto orientation : {ShoeOrientation::leading, ShoeOrientation::trailing}) {
    TwoSpeed two_speed = invented_two_speed(4.5e-3);
    two_speed.orientation = orientation;
    const double locking = locking_friction(shoe_arms(two_speed));
    two_speed.static_friction = 0.999 * locking;
    EXPECT_NO_THROW(validate(two_speed));
    two_speed.static_friction = locking;
    EXPECT_THROW(validate(two_speed), std::invalid_argument);
  }
}

/// Its pivot lies outside the drum and its lining near the pivot, so friction turns the shoe the
/// other way round: e_f < 0.
TwoSpeed turned_two_speed(ShoeOrientation orientation) {
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  two_speed.orientation = orientation;
  two_speed.pivot_radius = 32e-3;
  two_speed.arc_start = 0.05;
  two_speed.arc_end = 0.25;
  return two_speed;
}

TEST(TwoSpeed, SelfLockingInTheOtherSenseOfSlipIsRefusedByName) {
  const TwoSpeed leading = turned_two_speed(ShoeOrientation::leading);
  // By hand: J1 = cos .05 - cos .25 = .029838, J2 = .1 - (sin .5 - sin .1)/4 = .0051016,
  // J3 = (sin^2 .25 - sin^2 .05)/2 = .029355; e_N = 5.471 mm, e_f = -11.48 mm, ratio .4765.
  const ShoeArms arms = shoe_arms(leading);
  EXPECT_NEAR(arms.normal_arm, 5.471e-3, 1e-6);
  EXPECT_NEAR(arms.friction_arm, -11.48e-3, 1e-5);
  const auto why = [](TwoSpeed two_speed, double friction) -> std::string {
    two_speed.static_friction = friction;
    try {
      validate(two_speed);
    } catch (const std::invalid_argument& refused) {
      return refused.what();
    }
    return "";
  };
  EXPECT_EQ(why(leading, 0.476), "");
  EXPECT_NE(why(leading, 0.478).find("with the drum slower than the hub"), std::string::npos);
  const TwoSpeed trailing = turned_two_speed(ShoeOrientation::trailing);
  EXPECT_EQ(why(trailing, 0.476), "");
  EXPECT_NE(why(trailing, 0.478).find("with the drum faster than the hub"), std::string::npos);
  EXPECT_NE(why(invented_two_speed(4.5e-3), 1.5).find("with the drum faster"), std::string::npos);
}

TEST(TwoSpeed, ShoeThatSpeedPullsInAtContactIsRefused) {
  // Its centre 17 mm beyond the pivot and 2 mm across: it crosses the line at a swing of 2/17 rad.
  // The slug lies as the shoe does.
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  two_speed.drum_radius = 48e-3;
  two_speed.arc_start = 0.35;
  two_speed.arc_end = 1.25;
  two_speed.friction = two_speed.static_friction = 0.1;
  two_speed.shoe_centre_along = two_speed.slug_centre_along = two_speed.pivot_radius + 17e-3;
  two_speed.shoe_centre_across = two_speed.slug_centre_across = 2e-3;
  const double arm = shoe_arms(two_speed).normal_arm;
  const double crossing = std::atan(2.0 / 17.0);
  two_speed.clearance = 0.999 * crossing * arm;
  EXPECT_NO_THROW(validate(two_speed));
  two_speed.clearance = 1.001 * crossing * arm;
  EXPECT_THROW(validate(two_speed), std::invalid_argument);
}

TEST(TwoSpeed, NoSlidingShoeOfAnyValidShapeMakesEnergy) {
  std::mt19937 source(20);  // NOLINT: the same shapes every time
  const auto draw = [&source](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(source);
  };
  int valid = 0;
  int turned = 0;
  for (int k = 0; k < 20000; ++k) {
    TwoSpeed two_speed = invented_two_speed(4.5e-3);
    two_speed.orientation = draw(0, 1) < 0.5 ? ShoeOrientation::leading : ShoeOrientation::trailing;
    two_speed.pivot_radius = draw(3e-3, 50e-3);
    two_speed.drum_radius = draw(15e-3, 60e-3);
    two_speed.arc_start = draw(0.0, 3.0);
    two_speed.arc_end = draw(two_speed.arc_start, kPi);
    two_speed.shoe_centre_along = draw(-1.0, 1.0) * two_speed.drum_radius;
    two_speed.shoe_centre_across = draw(0.0, 1.0) * two_speed.drum_radius;
    two_speed.slug_centre_along = draw(-1.0, 1.0) * two_speed.drum_radius;
    two_speed.clearance = draw(0.05e-3, 2e-3);
    two_speed.friction = draw(0.05, 1.0);
    two_speed.static_friction = two_speed.friction * draw(1.0, 1.3);
    try {
      validate(two_speed);
    } catch (const std::invalid_argument&) {
      continue;
    }
    ++valid;
    turned += shoe_arms(two_speed).friction_arm < 0.0 ? 1 : 0;
    const ShoeLaw<double> law = make_shoe_law(two_speed, two_speed.shoes[0]);
    const double speed = 1.5 * std::sqrt(std::max(law.release_speed_squared, 1.0));
    for (const double direction : {1.0, -1.0}) {
      // Loss = torque * |slip|; hot linings grip less.
      EXPECT_GT(shoe_torque(law, speed, direction, 1.0), 0.0);
      EXPECT_GT(shoe_torque(law, speed, direction, 0.3), 0.0);
      EXPECT_GT(shoe_static_torque(law, speed, direction, 1.0), 0.0);
    }
  }
  EXPECT_GT(valid, 2000);
  EXPECT_GT(turned, 50);
}

TEST(TwoSpeed, ImpossibleSetUpsAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](auto change) {
    TwoSpeed two_speed = invented_two_speed(4.5e-3);
    EXPECT_NO_THROW(validate(two_speed));
    change(two_speed);
    EXPECT_THROW(validate(two_speed), std::invalid_argument);
  };
  refused([](TwoSpeed& t) { t.shoe_mass = 0.0; });
  refused([nan](TwoSpeed& t) { t.shoe_centre_along = nan; });
  refused([](TwoSpeed& t) { t.shoe_centre_across = 0.0; });
  refused([nan](TwoSpeed& t) { t.slug_centre_along = nan; });
  refused([](TwoSpeed& t) { t.slug_centre_across = 0.021; });
  refused([](TwoSpeed& t) { t.pivot_radius = -1e-3; });
  refused([](TwoSpeed& t) { t.drum_radius = 0.0; });
  refused([](TwoSpeed& t) { t.arc_start = -0.1; });
  refused([](TwoSpeed& t) { t.arc_end = 3.2; });
  refused([nan](TwoSpeed& t) { t.friction = nan; });
  refused([](TwoSpeed& t) { t.static_friction = 0.24; });
  refused([](TwoSpeed& t) { t.clearance = 0.0; });
  refused([](TwoSpeed& t) { t.clearance = 3e-3; });
  refused([nan](TwoSpeed& t) { t.spring_rate = nan; });
  refused([](TwoSpeed& t) { t.screw_arm = 0.0; });
  refused([nan](TwoSpeed& t) { t.zero_preload_reading = nan; });
  refused([](TwoSpeed& t) { t.screw_pitch = 0.0; });
  refused([](TwoSpeed& t) { t.detent_ratio = 1.01; });
  refused([](TwoSpeed& t) { t.detent_ratio = -0.01; });
  refused([nan](TwoSpeed& t) { t.shoes[1].gap = nan; });
  refused([](TwoSpeed& t) { t.shoes[0].slug_mass = -1e-4; });
}

}  // namespace
}  // namespace layshaft
