#include "layshaft/run/sweep.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <set>
#include <span>
#include <stdexcept>
#include <string>

#include "layshaft/car/fields.hpp"
#include "layshaft/car/track_car.hpp"
#include "layshaft/run/scalars.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

// Gap by first pinion, twelve runs.
SweepPlan gap_by_pinion() {
  SweepPlan plan{{"two_speed.gap", "first.pinion"}, {}};
  for (const double gap : {4.4e-3, 4.8e-3, 5.2e-3}) {
    for (const double pinion : {16.0, 17.0, 18.0, 19.0}) {
      plan.values.insert(plan.values.end(), {gap, pinion});
    }
  }
  return plan;
}

SweepOptions on_threads(unsigned threads) {
  SweepOptions options{{}, threads};
  options.launch.distance = 30.0;
  options.launch.distance_marks = {10.0, 30.0, 90.0};  // The last one is never reached.
  options.launch.speed_marks = {15.0};
  return options;
}

bool same_bits(std::span<const double> a, std::span<const double> b) {
  return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size_bytes()) == 0;
}

void expect_same(const SweepResult& a, const SweepResult& b) {
  EXPECT_TRUE(same_bits(a.scalars, b.scalars));
  EXPECT_TRUE(same_bits(a.distance_times, b.distance_times));
  EXPECT_TRUE(same_bits(a.distance_speeds, b.distance_speeds));
  EXPECT_TRUE(same_bits(a.speed_times, b.speed_times));
  EXPECT_EQ(a.status, b.status);
  EXPECT_EQ(a.messages, b.messages);
}

TEST(Sweep, ResultsAreTheSameBitsForAnyNumberOfThreads) {
  const SweepResult one = sweep(trial_car(), gap_by_pinion(), on_threads(1));
  ASSERT_EQ(one.runs, 12U);
  expect_same(one, sweep(trial_car(), gap_by_pinion(), on_threads(2)));
  expect_same(one, sweep(trial_car(), gap_by_pinion(), on_threads(5)));
  expect_same(one, sweep(trial_car(), gap_by_pinion(), on_threads(0)));
}

TEST(Sweep, ResultsAreTheSameBitsForAnySplitOfThePlan) {
  const SweepPlan plan = gap_by_pinion();
  const SweepResult whole = sweep(trial_car(), plan, on_threads(2));
  const std::size_t columns = scalars().size();
  for (const std::size_t cut : {1U, 5U, 11U}) {
    std::vector<double> joined;
    for (const auto& [from, to] : {std::pair{std::size_t{0}, cut}, std::pair{cut, whole.runs}}) {
      const SweepPlan part{plan.paths,
                           {plan.values.begin() + static_cast<std::ptrdiff_t>(2 * from),
                            plan.values.begin() + static_cast<std::ptrdiff_t>(2 * to)}};
      const SweepResult result = sweep(trial_car(), part, on_threads(1));
      EXPECT_EQ(result.scalars.size(), (to - from) * columns);
      joined.insert(joined.end(), result.scalars.begin(), result.scalars.end());
    }
    EXPECT_TRUE(same_bits(joined, whole.scalars));
  }
}

TEST(Sweep, EachRunIsTheLaunchOfThatCar) {
  const SweepPlan plan = gap_by_pinion();
  const SweepOptions options = on_threads(2);
  const SweepResult result = sweep(trial_car(), plan, options);
  for (const std::size_t run : {0U, 7U}) {
    Car car = with_field(trial_car(), "two_speed.gap", plan.values[2 * run]);
    car = with_field(car, "first.pinion", plan.values[2 * run + 1]);
    const LaunchResult launched = launch(car, options.launch);
    std::vector<double> row;
    for (const Scalar& scalar : scalars()) row.push_back(scalar.get(launched));
    const std::size_t columns = row.size();
    EXPECT_TRUE(same_bits(row, std::span(result.scalars).subspan(run * columns, columns)));
    EXPECT_EQ(result.distance_times[3 * run], launched.distance_times[0]);
    EXPECT_TRUE(std::isnan(result.distance_times[3 * run + 2]));
    EXPECT_EQ(result.speed_times[run], launched.speed_times[0]);
  }
}

TEST(Sweep, PointsThatFailAreNamedAndTheOthersReturned) {
  // Out of range; not a whole number; first gear taller than second; sound.
  const SweepPlan plan{{"two_speed.gap", "first.pinion"},
                       {0.5, 17.0, 4.8e-3, 17.5, 4.8e-3, 30.0, 4.8e-3, 17.0}};
  for (const unsigned threads : {1U, 2U}) {
    const SweepResult result = sweep(trial_car(), plan, on_threads(threads));
    for (std::size_t run = 0; run < 3; ++run) {
      EXPECT_EQ(result.status[run], RunStatus::refused);
      EXPECT_TRUE(std::isnan(result.scalars[run * scalars().size()]));
      EXPECT_TRUE(std::isnan(result.distance_times[3 * run]));
    }
    EXPECT_EQ(result.messages[0], "two_speed.shoe_1.gap = 0.5 m must be from 0.001 to 0.01 m");
    EXPECT_EQ(result.messages[1], "first.pinion = 17.5 must be a whole number from 8 to 200");
    EXPECT_NE(result.messages[2].find("spur / pinion of the second gear"), std::string::npos);
    EXPECT_EQ(result.status[3], RunStatus::finished);
    EXPECT_EQ(result.messages[3], "");
    EXPECT_TRUE(std::isfinite(result.distance_times[9]));
  }
}

TEST(Sweep, RunThatStopsEarlySaysWhereAndKeepsWhatItHas) {
  SweepOptions options = on_threads(1);
  options.launch.integration.most_steps = 200;
  const SweepResult result = sweep(trial_car(), {{"body.mass"}, {2.5, 2.6}}, options);
  for (std::size_t run = 0; run < 2; ++run) {
    EXPECT_EQ(result.status[run], RunStatus::early);
    EXPECT_EQ(result.messages[run].find("step budget used up after "), 0U);
    EXPECT_TRUE(std::isfinite(result.distance_times[3 * run]));
    EXPECT_TRUE(std::isnan(result.distance_times[3 * run + 1]));
  }
}

TEST(Sweep, ProgressThatSaysNoStopsTheSweepAndMarksTheRest) {
  SweepPlan plan{{"body.mass"}, {}};
  for (int k = 0; k < 400; ++k) plan.values.push_back(2.4 + 1e-3 * k);
  std::size_t calls = 0;
  const SweepResult result =
      sweep(trial_car(), plan, on_threads(1), [&](std::size_t done, std::size_t total) {
        ++calls;
        EXPECT_LE(done, total);
        EXPECT_EQ(total, 400U);
        return false;
      });
  EXPECT_EQ(calls, 2U);  // The one that stopped it, and the last.
  const auto unrun = std::count(result.status.begin(), result.status.end(), RunStatus::not_run);
  EXPECT_GT(unrun, 0);
  for (std::size_t run = 0; run < result.runs; ++run) {
    const bool ran = result.status[run] == RunStatus::finished;
    EXPECT_EQ(std::isfinite(result.distance_times[3 * run]), ran);
  }
}

TEST(Sweep, ProgressThatThrowsStopsTheSweepAndIsPassedOn) {
  SweepPlan plan{{"body.mass"}, std::vector<double>(100'000, 2.5)};
  EXPECT_THROW(static_cast<void>(sweep(
                   trial_car(), plan, on_threads(1),
                   [](std::size_t, std::size_t) -> bool { throw std::runtime_error("stop"); })),
               std::runtime_error);
}

TEST(Sweep, ProgressEndsAtTheTotal) {
  std::size_t last = 0;
  static_cast<void>(
      sweep(trial_car(), gap_by_pinion(), on_threads(2), [&](std::size_t done, std::size_t) {
        EXPECT_GE(done, last);
        last = done;
        return true;
      }));
  EXPECT_EQ(last, 12U);
}

TEST(Sweep, PlanIsRefusedBeforeAnyWork) {
  const auto refused = [](const SweepPlan& plan) {
    EXPECT_THROW(static_cast<void>(sweep(trial_car(), plan, on_threads(1))), std::invalid_argument);
  };
  refused({{}, {}});
  refused({{"two_speed.gpa"}, {4.8e-3}});
  refused({{"two_speed.gap", "first.pinion"}, {4.8e-3, 17.0, 4.9e-3}});
  EXPECT_EQ(sweep(trial_car(), {{"body.mass"}, {}}, on_threads(1)).runs, 0U);
}

TEST(Sweep, EveryWayToEndIsExplained) {
  EXPECT_EQ(explain({Status::finished, 1.0, -1, 5}), "");
  EXPECT_EQ(explain({Status::non_finite, 0.5, node::crank, 5})
                .find("a state stopped being a number (engine speed) after 0.5 s; "),
            0U);
  EXPECT_EQ(explain({Status::non_finite, 0.5, car_state::throttle, 5})
                .find("a state stopped being a number (throttle opening reached)"),
            0U);
  EXPECT_EQ(explain({Status::chatter, 0.5, coupling::second, 5})
                .find("modes change without end (second gear)"),
            0U);
  // A switch is told from the coupling of its number.
  EXPECT_EQ(
      explain_on_track({Status::chatter, 0.5, TrackCar::kCouplings + track_switch::shoes + 1, 5})
          .find("modes change without end (shoe 2)"),
      0U);
  EXPECT_EQ(explain_on_track({Status::chatter, 0.5, TrackCar::kCouplings + track_switch::foot, 5})
                .find("modes change without end (the driver's foot)"),
            0U);
  // The switches of a launch have other numbers than those of a lap.
  EXPECT_EQ(explain({Status::chatter, 0.5, coupling::count + plant_switch::pedals, 5})
                .find("modes change without end (line that the pedals follow)"),
            0U);
  EXPECT_EQ(explain_on_track({Status::non_finite, 0.5, track_state::pedal, 5})
                .find("a state stopped being a number (brake pedal reached)"),
            0U);
  EXPECT_EQ(explain_on_track(
                {Status::implausible, 0.5, car_state::count + track_account::cornering_loss, 5})
                .find("energy came from nowhere (work against the drag of corners so far)"),
            0U);
  for (const Status status : {Status::step_budget, Status::no_modes, Status::step_vanished,
                              Status::goes_over, Status::leaves_ground}) {
    EXPECT_NE(explain({status, 0.5, -1, 5}).find(" after 0.5 s; "), std::string::npos);
  }
}

TEST(Scalars, NamesAreUniqueAndEachHasUnitAndMeaning) {
  std::set<std::string_view> names;
  for (const Scalar& scalar : scalars()) {
    EXPECT_TRUE(names.insert(scalar.name).second) << scalar.name;
    EXPECT_FALSE(scalar.unit.empty()) << scalar.name;
    EXPECT_FALSE(scalar.meaning.empty()) << scalar.name;
  }
}

}  // namespace
}  // namespace layshaft
