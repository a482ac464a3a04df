#include "layshaft/fit/observation.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>
#include <string>
#include <vector>

#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

Observation good() { return {"shift_speed", 15.0, 0.5, {{"two_speed.gap", 4.6e-3}}, {}}; }

template <class Change>
std::string refusal_of(Change change) {
  Observation observation = good();
  change(observation);
  try {
    validate(observation);
  } catch (const std::invalid_argument& refused) {
    return refused.what();
  }
  return "";
}

TEST(Observation, AGoodOneIsTaken) { EXPECT_NO_THROW(validate(good())); }

TEST(Observation, WhatIsRefusedIsNamedWithItsValueAndBound) {
  EXPECT_EQ(refusal_of([](Observation& each) { each.measure = "shift_sped"; }),
            "Observation.measure = shift_sped must be time or a scalar of a launch");
  EXPECT_EQ(refusal_of([](Observation& each) { each.error = 0.0; }),
            "Observation.error = 0 must be > 0");
  EXPECT_EQ(refusal_of([](Observation& each) { each.value = std::nan(""); }),
            "Observation.value = nan must be finite");
  for (const Setting& bad : {Setting{"two_speed.gap", -1.0}, Setting{"two_speed.gapp", 4.5e-3}}) {
    EXPECT_NE(refusal_of([&](Observation& each) { each.changes = {bad}; }).find("two_speed."),
              std::string::npos);
  }
  EXPECT_NE(refusal_of([](Observation& each) { each.options.distance = -1.0; }), "");
}

TEST(Observation, LaunchesThatAskForTheSameAreAlikeWhateverTheCar) {
  Observation other = good();
  other.changes.clear();
  other.measure = "time";
  EXPECT_EQ(good().options, other.options);
  other.options.start_speed = 1.0;
  EXPECT_NE(good().options, other.options);
}

TEST(Observation, AMeasureIsATimeOrHasAPlaceAmongTheScalars) {
  EXPECT_FALSE(scalar_of("time").has_value());
  EXPECT_EQ(scalars()[scalar_of("shift_speed").value()].name, "shift_speed");
  EXPECT_THROW((void)scalar_of("shift_sped"), std::invalid_argument);
}

TEST(Observation, ATimeIsToTheDistanceWhereThereIsNoMark) {
  LaunchOptions options;
  options.distance = 30.0;
  EXPECT_EQ(with_mark(options).distance_marks, std::vector{30.0});
  options.distance_marks = {10.0, 20.0};
  EXPECT_EQ(with_mark(options).distance_marks, options.distance_marks);
}

}  // namespace
}  // namespace layshaft
