#include "layshaft/car/speed_plan.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "invented_track.hpp"
#include "layshaft/car/track_car.hpp"
#include "layshaft/laws/grip.hpp"
#include "layshaft/run/lap_recorder.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using testing::plain_car;
using testing::TrackBuilder;
using testing::with_fields;

constexpr double kFriction = 1.5;
constexpr double kGravity = kStandardGravity;

// Away from the ends of a braking line the spline reproduces it; its square is of the order of
// 1000.
constexpr double kRoundOff = 1e-9;

SpeedCurve curve_of(const Car& car, const Track& track, const TrackDriver& driver) {
  return TrackCar(car, track, driver, {}).speed_curve();
}

TEST(SpeedPlan, HoldsTheSpeedOfAConstantRadius) {
  // v^2 = share * mu g R.
  for (const double radius : {3.0, 5.0, 12.0}) {
    const TrackDriver driver{.corner_share = 0.9};
    const SpeedCurve curve = curve_of(plain_car(kFriction), testing::ring(radius), driver);
    EXPECT_NEAR(curve.at(1.0).square, 0.9 * kFriction * kGravity * radius, kRoundOff);
  }
}

TEST(SpeedPlan, BrakesOnAParabolaBeforeACorner) {
  const Track track = TrackBuilder().straight(60.0).corner(4.0, 180.0).build();
  const TrackDriver driver{.corner_share = 0.9, .brake_share = 0.8, .release_time = 0.0};
  const SpeedCurve curve = curve_of(plain_car(kFriction), track, driver);
  // v^2 = v0^2 + 2 share mu g s, from a place on the straight on.
  const double at_55 = curve.at(55.0).square;
  for (const double before : {5.0, 15.0, 25.0}) {
    EXPECT_NEAR(curve.at(55.0 - before).square, at_55 + 2.0 * 0.8 * kFriction * kGravity * before,
                1e-6);
  }
}

TEST(SpeedPlan, LetsTheBrakeOffWithinTheReleaseTime) {
  const Track track = TrackBuilder().straight(60.0).corner(4.0, 180.0).build();
  const TrackDriver quick{.release_time = 0.0};
  const TrackDriver slow{.release_time = 0.3};
  const Car car = plain_car(kFriction);
  // Slower in the last metres, with less to brake off, and on the same kind of line before.
  EXPECT_LT(curve_of(car, track, slow).at(58.0).square,
            curve_of(car, track, quick).at(58.0).square);
  EXPECT_GT(curve_of(car, track, slow).at(60.0).slope, curve_of(car, track, quick).at(60.0).slope);
  EXPECT_NEAR(curve_of(car, track, slow).at(30.0).slope, curve_of(car, track, quick).at(30.0).slope,
              1e-6);
}

TEST(SpeedPlan, RearAxleBearsTheBrakingThatLeavesItTheLoadItNeeds) {
  // Without yaw inertia: m (1 - front share) v^2 k = mu (m g (1 - front share) - m h/L d).
  const Car car = plain_car(kFriction);
  CarLaw law = Drivetrain(car).law();
  law.yaw.inertia = 0.0;
  constexpr double kSquare = 60.0;
  constexpr double kCurvature = 0.2;
  const double lever = car.body.centre_height / car.body.wheelbase;
  const double spare = kGravity - kSquare * kCurvature / kFriction;
  EXPECT_NEAR(unloading_deceleration(law, {kCurvature}, kSquare, 1.0),
              (1.0 - car.body.front_share) * spare / lever, kRoundOff);
  // Twice the speed is more than the grip at any load.
  EXPECT_EQ(unloading_deceleration(law, {kCurvature}, 4.0 * kSquare, 1.0), 0.0);
}

TEST(SpeedPlan, BrakesIntoACornerNoHarderThanTheRearAxleBears) {
  // Front tyres that could brake on where the rear ones need all their load.
  const Car car = with_field(trial_car(), "front_tyre.friction_peak", 1.9);
  const Track track = testing::tight_track();
  const TrackCar plant(car, track, {});
  double most = 0.0;
  for (double at = 0.0; at < track.length(); at += 0.05) {
    const SpeedCurve::Point aim = plant.speed_curve().at(at);
    StateOf<TrackCar> state = plant.rolling_state(std::sqrt(aim.square));
    state(track_state::distance) = at;
    TrackCar::Positions switches{};
    switches[track_switch::piece] = static_cast<std::int16_t>(track.piece_at(at));
    const CarLaw& law = plant.law(track.piece_at(at));
    state(car_state::load_transfer) = law.lever * law.mass * std::min(0.5 * aim.slope, 0.0);
    most = std::max(most, grip_taken(law, plant.activate(switches), state));
  }
  EXPECT_GT(most, 0.97);
  // The spline rounds the plan off.
  EXPECT_LT(most, 1.01);
}

TEST(SpeedPlan, AimsAtSomeSpeedWhereAnAxleHasLifted) {
  // Uphill the front axle of this car lifts: no speed is slow enough to turn it.
  const Car car = with_field(trial_car(), "body.front_share", 0.1);
  const Track track({{20.0, {}, 1.0, 0.0}, {10.0, {0.2}, 1.0, 0.5}, {20.0, {}, 1.0, 0.0}});
  const SpeedCurve curve = curve_of(car, track, {});
  for (double at = 0.0; at < track.length(); at += 0.05) {
    EXPECT_GE(curve.at(at).square, square(kSlowestAim) * (1.0 - kRoundOff)) << at;
  }
}

TEST(SpeedPlan, OneWayFrontAxleBrakesWithTheRearAlone) {
  const Car solid = plain_car(kFriction);
  const Car one_way = with_field(solid, "front_axle", 1.0);
  const auto law = [](const Car& car) { return Drivetrain(car).law(); };
  EXPECT_NEAR(brake_deceleration(law(solid), {0.0}, 100.0, 1.0, kNoLimit), kFriction * kGravity,
              1e-9);
  // mu g (1 - share)/(1 + mu h/wheelbase); four rounds leave the fifth power of mu h/wheelbase.
  const double lever = kFriction * one_way.body.centre_height / one_way.body.wheelbase;
  EXPECT_NEAR(brake_deceleration(law(one_way), {0.0}, 100.0, 1.0, kNoLimit),
              kFriction * kGravity * (1.0 - one_way.body.front_share) / (1.0 + lever),
              kGravity * std::pow(lever, 4));
}

TEST(SpeedPlan, AimsLowerWhereThereIsLessGrip) {
  const Car car = plain_car(kFriction);
  const Track dry({{40.0, {0.2}, 1.0, 0.0}});
  const Track wet({{40.0, {0.2}, 0.5, 0.0}});
  EXPECT_NEAR(curve_of(car, wet, {}).at(3.0).square, 0.5 * curve_of(car, dry, {}).at(3.0).square,
              kRoundOff);
}

// Cars whose friction is on its straight line, past it, and crosses from one to the other.
std::vector<Car> cars_with_load_sensitivity() {
  std::vector<Car> cars;
  for (const double downforce : {-0.1, -0.02, 0.0, 0.02, 0.13, 0.3}) {
    for (const double sensitivity : {0.0, 0.05, 0.3}) {
      for (const double reference : {1.0, 4.0, 14.0, 60.0}) {
        cars.push_back(with_fields(trial_car(), {{"body.downforce_area", downforce},
                                                 {"rear_tyre.load_sensitivity", sensitivity},
                                                 {"rear_tyre.reference_load", reference}}));
      }
    }
  }
  return cars;
}

// Force sideways that the grip of an axle can hold, less what the balance of moments needs of it,
// of the axle with less left [N]. Weight and downforce lie alike, so that each has its share of
// both.
double left_sideways(const CarLaw& law, double curvature, double share, double square) {
  const double pressed = law.loading.weight + law.loading.downforce * square;
  const double needed = law.mass * std::abs(curvature) * square;
  const auto left = [&](const TyreLaw<double>& tyre, double part) {
    return share * tyre_friction(tyre, part * pressed) * part * pressed - part * needed;
  };
  return std::min(left(law.front_tyre, law.loading.front_share),
                  left(law.rear_tyre, 1.0 - law.loading.front_share));
}

TEST(SpeedPlan, CornerLimitIsWhereTheGripIsUsedUpFirst) {
  constexpr double kShare = 0.9;
  int limited = 0;
  for (const Car& car : cars_with_load_sensitivity()) {
    const CarLaw law = Drivetrain(car).law();
    for (const double curvature : {0.02, -0.1, 0.3, 2.0}) {
      const double limit = corner_limit_squared(law, {curvature}, kShare);
      ASSERT_GT(limit, 0.0);
      const double until = std::min(limit, 80.0 * 80.0);
      for (int k = 0; k < 100; ++k) {
        EXPECT_GT(left_sideways(law, curvature, kShare, until * k / 100.0), 0.0);
      }
      if (limit > until) continue;
      const bool lifts =
          car.body.downforce_area < 0.0 &&
          law.loading.weight + law.loading.downforce * limit < 0.1000001 * law.loading.weight;
      if (lifts) continue;
      ++limited;
      const double size = law.mass * std::abs(curvature) * limit;
      EXPECT_NEAR(left_sideways(law, curvature, kShare, limit), 0.0, 1e-9 * size);
    }
  }
  EXPECT_GT(limited, 150);
}

TEST(SpeedPlan, CornerLimitIsTheBookFormulaWithoutLoadSensitivity) {
  for (const double downforce : {-0.1, 0.0, 0.05, 0.3}) {
    const Car car = with_field(plain_car(kFriction), "body.downforce_area", downforce);
    const CarLaw law = Drivetrain(car).law();
    for (const double curvature : {0.1, 0.4}) {
      // m v^2/R = mu (weight + downforce v^2), from first principles.
      const double friction = 0.9 * kFriction;
      const double left = law.mass * curvature - friction * law.loading.downforce;
      const double expected = left > 0.0 ? friction * law.loading.weight / left : HUGE_VAL;
      EXPECT_NEAR(corner_limit_squared(law, {curvature}, 0.9), expected, kRoundOff);
    }
  }
}

TEST(SpeedPlan, LiftLeavesATenthOfTheWeightOnTheRoad) {
  const Car car = with_field(trial_car(), "body.downforce_area", -0.1);
  const CarLaw law = Drivetrain(car).law();
  const double limit = corner_limit_squared(law, {0.0}, 1.0);
  EXPECT_NEAR(law.loading.weight + law.loading.downforce * limit, 0.1 * law.loading.weight,
              1e-12 * law.loading.weight);
}

TEST(SpeedPlan, BrakesOnAnExponentialWhereTheAirHelps) {
  // m dv/dt = -(share mu + roll)(W + D y) - drag y is a straight line in y = v^2, B = B0 + B1 y, so
  // y = (y1 + B0/B1) exp(2 B1 (s1 - s)) - B0/B1 before any place s1.
  constexpr double kShare = 0.8;
  const Car car = with_fields(plain_car(kFriction), {{"body.downforce_area", 0.04},
                                                     {"body.drag_area", 0.05},
                                                     {"rear_tyre.rolling_resistance", 0.02},
                                                     {"front_tyre.rolling_resistance", 0.02}});
  const Track track = TrackBuilder().straight(60.0).corner(3.0, 180.0).build();
  const TrackDriver driver{.brake_share = kShare, .release_time = 0.0};
  const SpeedCurve curve = curve_of(car, track, driver);
  const CarLaw law = Drivetrain(car).law();
  const double held = kShare * kFriction + 0.02;
  const double still = held * law.loading.weight / law.mass;
  const double growth = (held * law.loading.downforce + law.drag) / law.mass;
  const double at_58 = curve.at(58.0).square;
  for (const double before : {0.5, 1.0, 1.5, 2.0}) {
    const double expected =
        (at_58 + still / growth) * std::exp(2.0 * growth * before) - still / growth;
    // Where the pedal is not at its end yet: 1.2 times the standing grip.
    ASSERT_LT(law.loading.downforce * expected, 0.2 * law.loading.weight);
    EXPECT_NEAR(curve.at(58.0 - before).square, expected, 1e-6 * expected);
  }
}

TEST(SpeedPlan, NeverRisesTowardsACornerAndStaysWithinWhatPowerReaches) {
  for (const double downforce : {-0.1, 0.02, 0.1304, 0.2, 0.3}) {
    for (const double blend : {0.05, 0.15, 0.5}) {
      for (const double radius : {1.0, 2.4, 5.2}) {
        const Car car = with_field(trial_car(), "body.downforce_area", downforce);
        const SpeedCurve curve = curve_of(car, testing::oval(40.0, radius, blend), {});
        const double top = power_limit_squared(Drivetrain(car).law());
        double before = curve.at(20.0).square;
        // Behind it the curve feels the places in the blend, which may be slower than the corner:
        // there the car has to be turned.
        const double until = 40.0 - 2.0 * kSpeedGrid;
        for (double at = 20.0; at < until; at += 0.05) {
          const double square = curve.at(at).square;
          EXPECT_GT(square, 0.0);
          EXPECT_LE(square, std::min(before, top) + kRoundOff);
          before = square;
        }
      }
    }
  }
}

TEST(SpeedPlan, PowerLimitIsWhereDragTakesAllPower) {
  const CarLaw law = Drivetrain(trial_car()).law();
  const double speed = std::sqrt(power_limit_squared(law));
  const double pressed = law.loading.weight + law.loading.downforce * speed * speed;
  const double held = law.drag * speed * speed + 0.03 * pressed;
  EXPECT_NEAR(held * speed, engine_peak(law.engine).power, 1e-6 * held * speed);
}

TEST(SpeedPlan, BrakesNoHarderThanTheBrakeCan) {
  // 0.1 N*m on the shaft is F = T i/r on the road; 12 of 13 parts of it are planned with, of those
  // the driver's share.
  constexpr double kTorque = 0.1;
  const Car car = with_field(plain_car(kFriction), "brake.torque", kTorque);
  const CarLaw law = Drivetrain(car).law();
  const double force = 12.0 / 13.0 * kTorque * law.rear_ratio / law.rear_tyre.radius;
  EXPECT_NEAR(brake_pedal(law).most_force, force, 1e-12);
  const SpeedCurve curve =
      curve_of(car, testing::oval(60.0, 4.0, 0.5), {.brake_share = 0.5, .release_time = 0.0});
  EXPECT_NEAR(curve.at(50.0).slope, -2.0 * 0.5 * force / law.mass, 1e-6);
  EXPECT_EQ(brake_pedal(Drivetrain(with_field(car, "brake.torque", 0.0)).law()).at_grip, 0.0);
}

TEST(Approaches, HoldEachCornerWithTheWayToIt) {
  const Track track = testing::oval(20.0, 4.0, 0.5);
  const Approaches approaches(track);
  ASSERT_EQ(approaches.count(), 2U);
  const double half = 0.5 * track.length();
  EXPECT_EQ(approaches.at(1.0), 0U);
  EXPECT_EQ(approaches.at(25.0), 0U);
  EXPECT_EQ(approaches.at(half + 1.0), 1U);
  EXPECT_EQ(approaches.at(half + 25.0), 1U);
}

TEST(Approaches, KnowTheCornerThatLiesAcrossTheLine) {
  // Half of the second bend lies before the line, half behind it.
  constexpr double kArc = kPi * 4.0;
  const Track track({{0.5 * kArc, {0.25}, 1.0, 0.0},
                     {20.0, {}, 1.0, 0.0},
                     {kArc, {0.25}, 1.0, 0.0},
                     {20.0, {}, 1.0, 0.0},
                     {0.5 * kArc, {0.25}, 1.0, 0.0}});
  const Approaches approaches(track);
  ASSERT_EQ(approaches.count(), 2U);
  EXPECT_EQ(approaches.at(0.1), 1U);
  EXPECT_EQ(approaches.at(0.5 * kArc + 1.0), 0U);
  EXPECT_EQ(approaches.at(track.length() - 0.1), 1U);
}

TEST(Approaches, AreOneWhereThereIsNoCorner) {
  const Approaches approaches(Track({{50.0, {}, 1.0, 0.0}}));
  EXPECT_EQ(approaches.count(), 1U);
  EXPECT_EQ(approaches.at(30.0), 0U);
}

TEST(TrackDriver, RefusesSharesAndTimesOutOfBounds) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NO_THROW(validate(TrackDriver{}));
  EXPECT_THROW(validate(TrackDriver{.corner_share = 1.1}), std::invalid_argument);
  EXPECT_THROW(validate(TrackDriver{.brake_share = nan}), std::invalid_argument);
  EXPECT_THROW(validate(TrackDriver{.release_time = -0.1}), std::invalid_argument);
  EXPECT_THROW(validate(TrackDriver{.correction_time = 0.0}), std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
