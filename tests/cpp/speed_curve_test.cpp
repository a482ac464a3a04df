#include "layshaft/car/speed_curve.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "invented_track.hpp"
#include "layshaft/car/track_car.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

// Its square is of the order of 1000.
constexpr double kRoundOff = 1e-9;

SpeedCurve curve_of(const Car& car, const Track& track) {
  return TrackCar(car, track, {}, {}).speed_curve();
}

TEST(SpeedCurve, IsAStraightLineInTheSquareWhereSquaresAre) {
  std::vector<double> squares;
  for (int k = 0; k < 40; ++k) squares.push_back(100.0 + 3.0 * k);
  const SpeedCurve curve(20.0, squares);
  for (const double at : {2.0, 3.3, 10.0, 17.9}) {
    EXPECT_NEAR(curve.at(at).square, 100.0 + 6.0 * at, kRoundOff);
    EXPECT_NEAR(curve.at(at).slope, 6.0, kRoundOff);
    EXPECT_NEAR(curve.at(at).bend, 0.0, kRoundOff);
    EXPECT_NEAR(curve.at(at).bend_slope, 0.0, kRoundOff);
  }
}

TEST(SpeedCurve, HasTheDerivativesItTells) {
  const Track track = testing::tight_track();
  const SpeedCurve curve = curve_of(trial_car(), track);
  constexpr double kStep = 1e-5;
  for (double at = 0.013; at < track.length(); at += 0.71) {
    const SpeedCurve::Point here = curve.at(at);
    const SpeedCurve::Point on = curve.at(at + kStep);
    const SpeedCurve::Point back = curve.at(at - kStep);
    // A cubic of size 2000 over cells of 0.25 m: third derivatives up to 2000/0.25^3.
    EXPECT_NEAR(here.slope, (on.square - back.square) / (2.0 * kStep), 1e-3);
    EXPECT_NEAR(here.bend, (on.slope - back.slope) / (2.0 * kStep), 6.0);
    EXPECT_NEAR(here.bend_slope, (on.bend - back.bend) / (2.0 * kStep),
                1e-3 * (1e3 + std::abs(here.bend_slope)));
  }
}

TEST(SpeedCurve, GoesOnRound) {
  const Track track = testing::tight_track();
  const SpeedCurve curve = curve_of(trial_car(), track);
  for (const double at : {0.0, 0.1, 45.0, track.length() - 0.1}) {
    EXPECT_NEAR(curve.at(at).square, curve.at(at + track.length()).square, 1e-6);
  }
}

}  // namespace
}  // namespace layshaft
