#include "layshaft/fit/question.hpp"

#include <gtest/gtest.h>

#include <stdexcept>

#include "trial_car.hpp"

namespace layshaft {
namespace {

TEST(Question, LinesNameWhatIsToBeLearnedAndWhatWasSeen) {
  const Question question = read_question(
      trial_car(),
      "unknown two_speed.friction 0.02\n\n"
      "seen shift_speed 18.5 0.5 two_speed.gap 4.2e-3  first.pinion 17\nseen time 4.2 0.02");
  ASSERT_EQ(question.unknowns.size(), 1U);
  EXPECT_EQ(question.unknowns[0].path, "two_speed.friction");
  EXPECT_EQ(question.unknowns[0].doubt, 0.02);
  EXPECT_EQ(question.unknowns[0].guess, trial_car().two_speed.friction);
  ASSERT_EQ(question.seen.size(), 2U);
  EXPECT_EQ(question.seen[0].measure, "shift_speed");
  EXPECT_EQ(question.seen[0].value, 18.5);
  EXPECT_EQ(question.seen[0].error, 0.5);
  EXPECT_EQ(question.seen[0].changes, (Point{{"two_speed.gap", 4.2e-3}, {"first.pinion", 17.0}}));
  EXPECT_EQ(question.seen[1].measure, "time");
  EXPECT_TRUE(question.seen[1].changes.empty());
}

TEST(Question, NothingAsksNothing) {
  EXPECT_TRUE(read_question(trial_car(), "").unknowns.empty());
  EXPECT_TRUE(read_question(trial_car(), "\n \n").seen.empty());
}

TEST(Question, ALineOfAnotherKindIsRefused) {
  for (const char* line :
       {"unknown two_speed.friction", "unknown two_speed.friction 0.02 1", "unknown x 0.02",
        "unknown two_speed.friction wide", "seen shift_speed 18",
        "seen shift_speed 18 1 first.spur", "seen shift_speed fast 1", "heard shift_speed 18 1"}) {
    EXPECT_THROW((void)read_question(trial_car(), line), std::invalid_argument) << line;
  }
}

}  // namespace
}  // namespace layshaft
