// How corners are passed does not depend on where the line lies.

#include "layshaft/run/lap_corners.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "invented_track.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using testing::on_grid;
using testing::tight_track;
using testing::with_line_at;

LapOptions exact_options() {
  LapOptions options;
  options.integration.tolerance = 1e-7;
  return options;
}

// How far two distances lie from each other along the lap [m].
double apart(double a, double b, double lap) { return std::abs(std::remainder(a - b, lap)); }

// A lap repeats to a ten thousandth of the motion and a hundredth of the heat.
constexpr double kOfPlace = 0.05;   // [m]
constexpr double kOfSpeed = 0.003;  // [-]

void expect_same_passes(const Track& track, const LapResult& run, double line) {
  const LapResult moved = lap(trial_car(), with_line_at(track, line), exact_options());
  ASSERT_TRUE(moved.complete && moved.repeats && moved.holds);
  EXPECT_NEAR(moved.time, run.time, 2e-3);
  ASSERT_EQ(moved.corners.size(), run.corners.size());
  for (const CornerPass& pass : run.corners) {
    const auto same = std::ranges::find_if(moved.corners, [&](const CornerPass& other) {
      return apart(other.begin + line, pass.begin, track.length()) < 0.1;
    });
    ASSERT_NE(same, moved.corners.end()) << pass.begin << " from a line at " << line;
    const auto expect_place = [&](double CornerPass::* place) {
      EXPECT_LT(apart((*same).*place + line, pass.*place, track.length()), kOfPlace)
          << (*same).*place << ' ' << pass.*place << " from a line at " << line;
    };
    expect_place(&CornerPass::brake_distance);
    expect_place(&CornerPass::exit_distance);
    // A corner's begin is found on a grid of its own, of 5 cm.
    EXPECT_NEAR(same->entry_speed / pass.entry_speed, 1.0, 0.01);
    EXPECT_NEAR(same->least_speed / pass.least_speed, 1.0, kOfSpeed);
    EXPECT_NEAR(same->most_grip / pass.most_grip, 1.0, 0.01);
    EXPECT_NEAR(same->exit_crank / pass.exit_crank, 1.0, 0.01);
    EXPECT_EQ(same->bogs, pass.bogs);
  }
}

TEST(LapCorners, OfAFlyingLapDoNotDependOnWhereTheLineIs) {
  const Track track = tight_track();
  const LapResult run = lap(trial_car(), track, exact_options());
  ASSERT_TRUE(run.complete && run.repeats && run.holds);
  const CornerPass& tight = run.corners[0];
  ASSERT_LT(tight.brake_distance + 0.5, tight.begin);
  ASSERT_LT(tight.begin + 0.5, tight.exit_distance);
  // The line under the brake, in the corner before the foot goes down, and just behind that.
  for (const double line : {0.5 * (tight.brake_distance + tight.begin),
                            0.5 * (tight.begin + tight.exit_distance), tight.exit_distance + 0.5}) {
    expect_same_passes(track, run, on_grid(track, line));
  }
}

TEST(LapCorners, StandingLapDrivesOfACornerAcrossTheLineWhatLiesBeforeIt) {
  const Track track = with_line_at(tight_track(), 50.0);
  LapOptions options;
  options.standing = true;
  const LapResult run = lap(trial_car(), track, options);
  ASSERT_TRUE(run.complete);
  const CornerPass& across = run.corners.back();
  ASSERT_GT(across.end, track.length());
  EXPECT_LT(across.brake_distance, across.begin);
  EXPECT_GT(across.entry_speed, across.least_speed);
  EXPECT_GT(across.least_speed, 1.0);
  EXPECT_GE(across.least_distance, across.begin);
}

// One corner of a lap from rest, left with the foot down.
struct Exit {
  double crank_speed;   // [rad/s]
  double least_power;   // [-]
  double behind = 0.0;  // Looked at so far on [m],
  double slip = 0.0;    // with this slip of the rear tyres [-].
  bool clutch_holds = true;
};

CornerPass left_at(const Exit& exit) {
  const TrackCar plant(trial_car(), testing::oval(20.0, 4.0, 0.5), {});
  LapOptions options;
  options.least_power = exit.least_power;
  std::vector<CornerPass> passes;
  LapCorners corners(plant, options, passes);
  StateOf<TrackCar> state = plant.rolling_state(8.0);
  state(node::crank) = exit.crank_speed;
  corners.begin(true);
  state(track_state::distance) = 15.0;
  corners.note_foot(false, state);
  state(track_state::distance) = 24.0;
  corners.enter(24.0, [](double) { return 9.0; });
  corners.look(state, 0.9, true);
  state(track_state::distance) = 30.0;
  corners.note_foot(true, state);
  state(track_state::distance) += exit.behind;
  state(car_state::rear_slip) = exit.slip;
  corners.look(state, 0.9, exit.clutch_holds);
  return passes[0];
}

TEST(LapCorners, TakeDownFootAndSpeed) {
  const CornerPass pass = left_at({3000.0, 0.0});
  EXPECT_EQ(pass.brake_distance, 15.0);
  EXPECT_EQ(pass.entry_speed, 9.0);
  EXPECT_EQ(pass.least_speed, 8.0);
  EXPECT_EQ(pass.most_grip, 0.9);
  EXPECT_EQ(pass.exit_distance, 30.0);
  EXPECT_EQ(pass.exit_crank, 3000.0);
}

TEST(LapCorners, ExitBehindTheLineIsLaterThanOneBeforeIt) {
  const TrackCar plant(trial_car(), testing::oval(20.0, 4.0, 0.5), {});
  std::vector<CornerPass> passes;
  LapCorners corners(plant, {}, passes);
  const auto move = [&](double distance) {
    StateOf<TrackCar> state = plant.rolling_state(8.0);
    state(track_state::distance) = distance;
    corners.enter(distance, [](double) { return 9.0; });
    corners.look(state, 0.9, true);
    return state;
  };
  // Off since before the line, down behind it; then a lift in the second and last corner.
  corners.begin(false);
  corners.note_foot(true, move(2.0));
  corners.note_foot(false, move(54.0));
  corners.note_foot(true, move(60.0));
  ASSERT_EQ(passes.size(), 2U);
  EXPECT_TRUE(std::isnan(passes[0].exit_distance));
  EXPECT_EQ(passes[1].exit_distance, 2.0);
}

TEST(LapCorners, EngineThatTurnsTooFastDoesNotBog) {
  const EngineLaw<double> engine = Drivetrain(trial_car()).law().engine;
  double most = 0.0;
  double fastest = 0.0;
  for (double speed = 1.0; speed < 6000.0; speed += 1.0) {
    const double power = engine_torque(engine, speed, 1.0) * speed;
    if (power > most) fastest = speed;
    most = std::max(most, power);
  }
  // A tenth off the speed of the most power on either side there is less of it.
  const CornerPass slow = left_at({0.9 * fastest, 1.0});
  const CornerPass fast = left_at({1.1 * fastest, 1.0});
  EXPECT_LT(slow.exit_power, 1.0);
  EXPECT_LT(fast.exit_power, 1.0);
  EXPECT_TRUE(slow.bogs);
  EXPECT_FALSE(fast.bogs);
}

// The driver keeps 1 - 1/(1 + (slip/target)^2) of the throttle back.
TEST(LapCorners, BogWhereTheEngineLimitsAndNotTheTyres) {
  const double target = trial_car().driver.slip_target;
  const auto seen = [&](double behind, double kept_back, bool clutch_holds) {
    Exit exit{.crank_speed = 1500.0, .least_power = 1.0};
    exit.behind = behind;
    exit.slip = target * std::sqrt(kept_back / (1.0 - kept_back));
    exit.clutch_holds = clutch_holds;
    return left_at(exit);
  };
  EXPECT_TRUE(seen(1.0, 0.99 * kKeptBack, true).bogs);
  const CornerPass spins = seen(1.0, 1.01 * kKeptBack, true);
  EXPECT_FALSE(spins.bogs);
  EXPECT_TRUE(spins.tyres_limit);
  // A clutch that slips is what the engine is too weak for, and further on the exit is over.
  for (const CornerPass& pass : {seen(1.0, 0.5, false), seen(kExit + 0.1, 0.5, true)}) {
    EXPECT_TRUE(pass.bogs);
    EXPECT_FALSE(pass.tyres_limit);
  }
}

}  // namespace
}  // namespace layshaft
