#include "layshaft/laws/load_transfer.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Published;
using testing::Seen;

/// A few roundings of numbers near 10.
constexpr double kRoundOff = 1e-13;

const MassLayout kDemo{.mass = 2.55, .wheelbase = 0.29, .height = 0.035, .front_share = 0.44};

TEST(LoadTransfer, StandingLoadsShareTheWeight) {
  const AxleLoads<double> loads = axle_loads(make_load_transfer_law(kDemo, 10.0), 0.0);
  EXPECT_NEAR(loads.front, 11.22, kRoundOff);  // 25.5 N * 0.44
  EXPECT_NEAR(loads.rear, 14.28, kRoundOff);
}

TEST(LoadTransfer, SpeedingUpMovesLoadToTheRearAndBrakingToTheFront) {
  const LoadTransferLaw<double> law = make_load_transfer_law(kDemo, 10.0);
  const AxleLoads<double> up = axle_loads(law, 5.8);
  const AxleLoads<double> down = axle_loads(law, -5.8);
  // 2.55 kg * 5.8 m/s2 * 0.035/0.29 = 1.785 N
  EXPECT_NEAR(up.front, 11.22 - 1.785, kRoundOff);
  EXPECT_NEAR(up.rear, 14.28 + 1.785, kRoundOff);
  EXPECT_NEAR(down.front, 11.22 + 1.785, kRoundOff);
  EXPECT_NEAR(down.rear, 14.28 - 1.785, kRoundOff);
}

TEST(LoadTransfer, NoLoadIsLost) {
  const LoadTransferLaw<double> law = make_load_transfer_law(kDemo);
  for (const double acceleration : {-20.0, 0.0, 13.0}) {
    const AxleLoads<double> loads = axle_loads(law, acceleration);
    EXPECT_NEAR(loads.front + loads.rear, 2.55 * kStandardGravity, kRoundOff);
  }
}

TEST(LoadTransfer, DriveLimitMatchesTheClosedForm) {
  const MassLayout car{.mass = 1800.0, .wheelbase = 2.6, .height = 0.7, .front_share = 0.5};
  const std::string source = "closed form m a = mu (R -/+ m a h/b)";
  const Published front{"Y5", "front drive [m/s2]", source, Seen::kDerived, "drive_limit"};
  const Published rear{"Y5", "rear drive [m/s2]", source, Seen::kDerived, "drive_limit"};
  constexpr double kDigits = 5e-5;  // half of the last digit given
  check_published(front, 2.8890, drive_limit(car, GripAxle::front, 0.7, 9.81), kDigits);
  check_published(rear, 4.2309, drive_limit(car, GripAxle::rear, 0.7, 9.81), kDigits);
  EXPECT_NEAR(drive_limit(car, GripAxle::both, 0.7, 9.81), 6.867, kRoundOff);
}

TEST(LoadTransfer, AtTheDriveLimitTheAxleForceIsItsGrip) {
  for (const GripAxle axle : {GripAxle::front, GripAxle::rear}) {
    const double limit = drive_limit(kDemo, axle, 1.2);
    const AxleLoads<double> loads = axle_loads(make_load_transfer_law(kDemo), limit);
    const double load = axle == GripAxle::front ? loads.front : loads.rear;
    EXPECT_NEAR(2.55 * limit, 1.2 * load, kRoundOff);
  }
}

TEST(LoadTransfer, StoppingDistancesMatchATextbookExample) {
  // Feet and seconds throughout; the formulas hold in any consistent units. The centre of gravity
  // lies 4 ft before the rear axle, so the front axle carries 4/9.5.
  const MassLayout car{.mass = 1.0, .wheelbase = 9.5, .height = 2.0, .front_share = 4.0 / 9.5};
  constexpr double kGravity = 32.2;  // [ft/s2]
  constexpr double kSpeed = 44.0;    // 30 mph in ft/s
  struct Row {
    GripAxle braked;
    double friction;
    double distance;  // [ft]
    double digits;    // half of the last printed digit
  };
  for (const Row& row :
       {Row{GripAxle::rear, 0.1, 530.0, 0.5}, Row{GripAxle::rear, 0.6, 97.5, 0.05},
        Row{GripAxle::front, 0.1, 699.0, 0.5}, Row{GripAxle::front, 0.6, 104.0, 0.5},
        Row{GripAxle::both, 0.1, 301.0, 0.5}, Row{GripAxle::both, 0.6, 50.1, 0.05}}) {
    const double limit = brake_limit(car, row.braked, row.friction, kGravity);
    const Published published{"Y6",
                              "stop with " + std::string(to_string(row.braked)) + ", mu " +
                                  std::to_string(row.friction) + " [ft]",
                              "Bevan, The Theory of Machines, 3rd ed., Ex 8.6", Seen::kCompanion,
                              "brake_limit, stopping_distance"};
    check_published(published, row.distance, stopping_distance(kSpeed, limit), row.digits);
  }
}

TEST(LoadTransfer, RefusesValuesOutOfBounds) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (double MassLayout::* const field :
       {&MassLayout::mass, &MassLayout::wheelbase, &MassLayout::height, &MassLayout::front_share}) {
    for (const double bad : {nan, -1.0}) {
      MassLayout layout = kDemo;
      layout.*field = bad;
      EXPECT_THROW(static_cast<void>(make_load_transfer_law(layout)), std::invalid_argument);
    }
  }
}

}  // namespace
}  // namespace layshaft
