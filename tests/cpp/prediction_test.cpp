#include "layshaft/fit/prediction.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <stdexcept>

#include "trial_car.hpp"

namespace layshaft {
namespace {

LaunchOptions to(double distance) {
  LaunchOptions options;
  options.distance = distance;
  return options;
}

Observation seen(std::string measure, Point changes, double distance = 30.0) {
  return {std::move(measure), 15.0, 0.5, std::move(changes), to(distance)};
}

double shift_speed(const Car& car, double distance = 30.0) {
  return launch(car, to(distance)).shift.peak.car_speed;
}

TEST(Prediction, WhatIsPredictedIsWhatALaunchAloneShows) {
  const std::array observations{seen("shift_speed", {{"two_speed.gap", 4.6e-3}}),
                                seen("time", {}, 20.0),
                                seen("shift_speed", {{"two_speed.gap", 4.4e-3}})};
  const std::array points{Point{}, Point{{"two_speed.spring_rate", 1500.0}}};
  const std::vector<double> shown = predict(trial_car(), observations, points);
  ASSERT_EQ(shown.size(), 6U);
  LaunchOptions timed = to(20.0);
  timed.distance_marks = {20.0};
  for (std::size_t i = 0; i < 2; ++i) {
    Car car = trial_car();
    for (const Setting& setting : points[i]) car = with_field(car, setting.path, setting.value);
    EXPECT_EQ(shown[3 * i], shift_speed(with_field(car, "two_speed.gap", 4.6e-3)));
    EXPECT_EQ(shown[3 * i + 1], launch(car, timed).distance_times[0]);
    EXPECT_EQ(shown[3 * i + 2], shift_speed(with_field(car, "two_speed.gap", 4.4e-3)));
  }
  EXPECT_NE(shown[0], shown[2]);
  EXPECT_NE(shown[0], shown[3]);
}

TEST(Prediction, OneThreadAndManyPredictTheSameBits) {
  const std::array observations{seen("shift_speed", {}), seen("peak_engine_speed", {})};
  const std::array points{Point{}, Point{{"two_speed.gap", 4.6e-3}}};
  EXPECT_EQ(predict(trial_car(), observations, points, 1),
            predict(trial_car(), observations, points, 3));
}

TEST(Prediction, WhatItChangedWinsOverAPointAndAShoeOverItsPair) {
  const std::array observations{
      seen("shift_speed", {{"two_speed.gap", 4.6e-3}}),
      seen("shift_speed", {{"two_speed.shoe_1.gap", 4.5e-3}, {"two_speed.gap", 4.6e-3}})};
  const std::array points{Point{{"two_speed.gap", 4.2e-3}}};
  const std::vector<double> shown = predict(trial_car(), observations, points);
  const Car both = with_field(trial_car(), "two_speed.gap", 4.6e-3);
  EXPECT_EQ(shown[0], shift_speed(both));
  EXPECT_EQ(shown[1], shift_speed(with_field(both, "two_speed.shoe_1.gap", 4.5e-3)));
}

TEST(Prediction, ACarThatIsRefusedShowsNothingAndTheOthersDo) {
  const std::array observations{seen("shift_speed", {})};
  const std::array points{Point{{"two_speed.gap", -1.0}}, Point{}};
  const std::vector<double> shown = predict(trial_car(), observations, points);
  EXPECT_TRUE(std::isnan(shown[0]));
  EXPECT_EQ(shown[1], shift_speed(trial_car()));
}

TEST(Prediction, ABadObservationIsRefusedBeforeAnyWork) {
  const std::array points{Point{}};
  const std::array observations{seen("shift_speed", {}), seen("shift_sped", {})};
  EXPECT_THROW((void)predict(trial_car(), observations, points), std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
