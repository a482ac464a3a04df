#include "layshaft/car/speed_curve.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "invented_track.hpp"
#include "layshaft/car/track_car.hpp"

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

TEST(SpeedCurve, IsAStraightLineInTheSquareWhereSquaresAre) {
  std::vector<double> squares;
  for (int k = 0; k < 40; ++k) squares.push_back(100.0 + 3.0 * k);
  const SpeedCurve curve(20.0, squares);
  for (const double at : {2.0, 3.3, 10.0, 17.9}) {
    EXPECT_NEAR(curve.at(at).square, 100.0 + 6.0 * at, kRoundOff);
    EXPECT_NEAR(curve.at(at).slope, 6.0, kRoundOff);
    EXPECT_NEAR(curve.at(at).bend, 0.0, kRoundOff);
  }
}

TEST(SpeedCurve, HasTheDerivativesItTells) {
  const Track track = testing::tight_track();
  const SpeedCurve curve = curve_of(demo_car(), track, {});
  constexpr double kStep = 1e-5;
  for (double at = 0.013; at < track.length(); at += 0.71) {
    const SpeedCurve::Point here = curve.at(at);
    const SpeedCurve::Point on = curve.at(at + kStep);
    const SpeedCurve::Point back = curve.at(at - kStep);
    // A cubic of size 6400 over cells of 0.25 m: third derivatives up to 6400/0.25^3.
    EXPECT_NEAR(here.slope, (on.square - back.square) / (2.0 * kStep), 1e-3);
    EXPECT_NEAR(here.bend, (on.slope - back.slope) / (2.0 * kStep), 20.0);
  }
}

TEST(SpeedCurve, GoesOnRound) {
  const Track track = testing::tight_track();
  const SpeedCurve curve = curve_of(demo_car(), track, {});
  for (const double at : {0.0, 0.1, 45.0, track.length() - 0.1}) {
    EXPECT_NEAR(curve.at(at).square, curve.at(at + track.length()).square, 1e-6);
  }
}

TEST(SpeedCurve, HoldsTheSpeedOfAConstantRadius) {
  // v^2 = share * mu g R.
  for (const double radius : {3.0, 5.0, 12.0}) {
    const TrackDriver driver{.corner_share = 0.9};
    const SpeedCurve curve = curve_of(plain_car(kFriction), testing::ring(radius), driver);
    EXPECT_NEAR(curve.at(1.0).square, 0.9 * kFriction * kGravity * radius, kRoundOff);
  }
}

TEST(SpeedCurve, BrakesOnAParabolaBeforeACorner) {
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

TEST(SpeedCurve, LetsTheBrakeOffWithinTheReleaseTime) {
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

TEST(SpeedCurve, OneWayFrontAxleBrakesWithTheRearAlone) {
  const Car solid = plain_car(kFriction);
  const Car one_way = with_field(solid, "front_axle", 1.0);
  const auto law = [](const Car& car) { return Drivetrain(car).law(); };
  EXPECT_NEAR(brake_deceleration(law(solid), 0.0, 100.0, 1.0), kFriction * kGravity, 1e-9);
  // mu g (1 - share)/(1 + mu h/wheelbase); four rounds leave the fifth power of mu h/wheelbase.
  const double lever = kFriction * one_way.body.centre_height / one_way.body.wheelbase;
  EXPECT_NEAR(brake_deceleration(law(one_way), 0.0, 100.0, 1.0),
              kFriction * kGravity * (1.0 - one_way.body.front_share) / (1.0 + lever),
              kGravity * std::pow(lever, 4));
}

TEST(SpeedCurve, AimsLowerWhereThereIsLessGrip) {
  const Car car = plain_car(kFriction);
  const Track dry({{40.0, {0.2}, 1.0, 0.0}});
  const Track wet({{40.0, {0.2}, 0.5, 0.0}});
  EXPECT_NEAR(curve_of(car, wet, {}).at(3.0).square, 0.5 * curve_of(car, dry, {}).at(3.0).square,
              kRoundOff);
}

TEST(TrackDriver, RefusesSharesAndTimesOutOfBounds) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NO_THROW(validate(TrackDriver{}));
  EXPECT_THROW(validate(TrackDriver{.corner_share = 1.1}), std::invalid_argument);
  EXPECT_THROW(validate(TrackDriver{.brake_share = nan}), std::invalid_argument);
  EXPECT_THROW(validate(TrackDriver{.release_time = -0.1}), std::invalid_argument);
  EXPECT_THROW(validate(TrackDriver{.speed_band = 0.0}), std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
