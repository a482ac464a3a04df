#include "layshaft/run/lap.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "invented_track.hpp"
#include "layshaft/network/integrate.hpp"
#include "layshaft/run/lap_recorder.hpp"
#include "layshaft/run/lap_sweep.hpp"
#include "layshaft/run/scalars.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using testing::plain_car;
using testing::ring;
using testing::tight_track;
using testing::TrackBuilder;
using testing::with_fields;

LapOptions options_at(double tolerance) {
  LapOptions options;
  options.integration.tolerance = tolerance;
  return options;
}

// Each step may err in each account by tolerance * (its scale + its size); signs differ.
double allowed_residual(const LapResult& run, double tolerance) {
  double share = 0.0;
  for (std::size_t which = account::engine_work; which < track_account::count; ++which) {
    share += 100.0 + std::abs(run.accounts[which]);
  }
  return tolerance * share * std::sqrt(static_cast<double>(run.ending.steps));
}

TEST(Lap, OfAConstantRadiusIsTheCircumferenceOverTheCornersSpeed) {
  for (const double radius : {4.0, 6.0, 10.0}) {
    const LapOptions options = options_at(1e-8);
    const LapResult run = lap(plain_car(1.5), ring(radius), options);
    ASSERT_TRUE(run.complete && run.repeats);
    // The foot is off the aim by what the eased throttle takes: a share of it in the correction
    // time.
    const double aim = std::sqrt(options.driver.corner_share * 1.5 * kStandardGravity * radius);
    EXPECT_NEAR(run.peaks.car_speed, aim, 0.06);
    EXPECT_NEAR(run.peaks.car_speed, run.least_speed, 1e-4);
    EXPECT_NEAR(run.time, 2.0 * kPi * radius / run.peaks.car_speed, 1e-5 * run.time);
    // The loads of the axles are those of balance to the rounding of their sharing: with the width
    // .02 of the weight, .02^2/4 (1/.44 - 1/.56)/.44 of the front's.
    constexpr double kRounding = 1.2e-4;
    EXPECT_NEAR(run.corners[0].most_grip,
                square(run.peaks.car_speed / aim) * options.driver.corner_share, kRounding);
  }
}

TEST(Lap, OfACarThatGoesOverEndsWhereItDoes) {
  const Car high = with_fields(trial_car(), {{"body.centre_height", 0.3}});
  LapOptions options = options_at(1e-6);
  options.standing = true;
  const LapResult run = lap(high, tight_track(), options);
  EXPECT_EQ(run.ending.status, Status::goes_over);
  EXPECT_FALSE(run.complete);
  EXPECT_TRUE(std::isnan(run.time));
  EXPECT_GT(run.lifted_time, 0.0);
  EXPECT_EQ(explain_lap(run).find("the car goes over"), 0U);
}

TEST(Lap, CrossesAStraightOnATriangleOfConstantThrustAndBrake) {
  // v^2 rises by 2 a1 and falls by 2 a2 for each metre; where both lines meet the foot changes.
  Car car = with_fields(plain_car(1.5), {{"clutch.axial.nut_turns", 0.5}});
  constexpr double kTorque = 0.15;  // At every speed [N*m].
  for (std::size_t k = 0; k < car.engine.torque.count; ++k) car.engine.torque.y[k] = kTorque;
  constexpr double kLength = 40.0;
  const Track track = TrackBuilder()
                          .straight(kLength)
                          .corner(4.0, 180.0)
                          .straight(kLength)
                          .corner(4.0, 180.0)
                          .build();
  LapOptions options = options_at(1e-7);
  options.driver = {
      .corner_share = 0.85, .brake_share = 0.8, .release_time = 0.0, .correction_time = 0.02};
  options.sectors = {kLength};
  const LapResult run = lap(car, track, options);
  ASSERT_TRUE(run.complete && run.repeats);

  const TrackCar plant(car, track, options.driver, {});
  const testing::MovingMass moving = testing::moving_mass(plant);
  const double up = charge_ratio(car.air) * kTorque * moving.crank / moving.mass;
  const double down = 0.8 * 1.5 * kStandardGravity;
  const double begin = run.begin(node::car);
  const double end = run.sector_speeds[0];
  const double top = std::sqrt(
      (2.0 * up * down * kLength + down * square(begin) + up * square(end)) / (up + down));
  EXPECT_GT(top, begin + 5.0);
  // The tyres' slip grows and goes with the forces, a hundredth of the speed at most.
  EXPECT_NEAR(run.peaks.car_speed, top, 0.01 * top);
  EXPECT_NEAR(run.sector_times[0], (top - begin) / up + (top - end) / down,
              0.01 * run.sector_times[0]);
}

TEST(Lap, WorkOfTheEngineIsStoredOrLost) {
  for (const double tolerance : {1e-5, 1e-7}) {
    for (const bool standing : {false, true}) {
      LapOptions options = options_at(tolerance);
      options.standing = standing;
      const LapResult run = lap(trial_car(), tight_track(), options);
      ASSERT_TRUE(run.complete && run.repeats);
      EXPECT_LE(std::abs(run.energy_residual), allowed_residual(run, tolerance));
      EXPECT_GT(run.accounts[track_account::cornering_loss], 1.0);
    }
  }
}

TEST(Lap, OfAFlyingStartGivesBackAllEnergyOfMotion) {
  const LapResult run = lap(trial_car(), tight_track(), {});
  const double motion = 0.5 * trial_car().body.mass * square(run.end(node::car));
  EXPECT_NEAR(run.car_energy, 0.0, 1e-3 * motion);
  EXPECT_NEAR(run.accounts[account::grade_work], 0.0, 1e-12);
}

TEST(Lap, PaysForTheHeightItGains) {
  // 40 m at a tenth uphill raise 2.55 kg by 40 * 0.1/sqrt(1.01) = 3.98 m; the way down gives it
  // back.
  constexpr double kClimb = 40.0;
  const Track track = TrackBuilder()
                          .straight(kClimb, 1.0, 0.1)
                          .corner(5.0, 180.0)
                          .straight(kClimb, 1.0, -0.1)
                          .corner(5.0, 180.0)
                          .build();
  LapOptions options = options_at(1e-7);
  options.sample_spacing = kClimb;
  const LapResult run = lap(trial_car(), track, options);
  ASSERT_TRUE(run.complete && run.repeats && run.holds);
  const double raised = trial_car().body.mass * kStandardGravity * kClimb * 0.1 / std::sqrt(1.01);
  EXPECT_NEAR(run.samples[1].accounts[account::grade_work], raised, 1e-3);
  EXPECT_NEAR(run.accounts[account::grade_work], 0.0, 1e-3);
}

TEST(Lap, ThatRollsBackEndsAndSaysSo) {
  // Three tenths of the grip hold no car on four tenths of a grade: 0.3 * 1.6 * cos < sin.
  const Track track({{60.0, {0.2}, 0.2, 0.4}});
  for (const bool standing : {true, false}) {
    LapOptions options = options_at(1e-6);
    options.standing = standing;
    const LapResult run = lap(trial_car(), track, options);
    EXPECT_TRUE(run.rolls_back);
    EXPECT_FALSE(run.complete);
    EXPECT_NE(explain_lap(run).find("rolls backwards"), std::string::npos);
    for (std::size_t which = account::clutch_loss; which <= account::front_tyre_loss; ++which) {
      EXPECT_GE(run.accounts[which], -1e-6 * 100.0);
    }
    EXPECT_GE(run.accounts[track_account::cornering_loss], 0.0);
    EXPECT_LE(std::abs(run.energy_residual), allowed_residual(run, 1e-6));
  }
}

TEST(Lap, EndsAsItBegan) {
  const LapResult run = lap(trial_car(), tight_track(), {});
  ASSERT_TRUE(run.repeats);
  EXPECT_LE(run.period_error, 1e-4);
  const int drum = car_state::shoe_body;
  EXPECT_GT(run.begin(drum), 5.0);
  EXPECT_NEAR(run.end(drum), run.begin(drum), 0.01 * (10.0 + run.begin(drum)));
}

TEST(Lap, DrivenAgainFromItsEndTakesTheSameTime) {
  const Car car = trial_car();
  LapOptions options = options_at(1e-6);
  options.driver.corner_share = 0.94;  // With enough to spare that no corner takes a margin.
  const LapResult first = lap(car, tight_track(), options);
  const TrackCar plant(car, tight_track(), options.driver, {});
  LapResult second;
  LapRecorder recorder(plant, options, car.air.temperature, second);
  StateOf<TrackCar> begin = first.end;
  begin(track_state::distance) = 0.0;
  ModesOf<TrackCar> modes = first.first_modes;
  Integrator<TrackCar, Rosenbrock> integrator(plant, options.integration);
  (void)integrator.run(0.0, begin, modes, 100.0, recorder);
  recorder.finish();
  ASSERT_TRUE(second.complete);
  EXPECT_EQ(first.margin_rounds, 0);
  EXPECT_NEAR(second.time, first.time, 1e-4);
  EXPECT_EQ(second.events.size(), first.events.size());
}

TEST(Lap, IsTheSameBitsTwice) {
  const LapResult first = lap(trial_car(), tight_track(), {});
  const LapResult second = lap(trial_car(), tight_track(), {});
  EXPECT_EQ(first.time, second.time);
  EXPECT_EQ(first.end, second.end);
  EXPECT_EQ(first.changes, second.changes);
}

TEST(Lap, TimeConvergesWithTheTolerance) {
  const double exact = lap(trial_car(), tight_track(), options_at(1e-9)).time;
  for (const double tolerance : {1e-4, 1e-5, 1e-6, 1e-7}) {
    // A step errs by the tolerance of its scales; over the lap some tens of that are left.
    EXPECT_NEAR(lap(trial_car(), tight_track(), options_at(tolerance)).time, exact,
                std::max(5.0 * tolerance, 1e-5))
        << tolerance;
  }
}

TEST(Lap, DoesNotDependOnTheSamples) {
  LapOptions options;
  const LapResult without = lap(trial_car(), tight_track(), options);
  options.sample_spacing = 0.5;
  const LapResult with = lap(trial_car(), tight_track(), options);
  EXPECT_EQ(with.time, without.time);
  EXPECT_EQ(with.ending.steps, without.ending.steps);
  ASSERT_GT(with.samples.size(), 300U);
  for (std::size_t k = 0; k < with.samples.size(); ++k) {
    EXPECT_NEAR(with.samples[k].state(track_state::distance), 0.5 * static_cast<double>(k), 1e-9);
  }
}

TEST(Lap, FromRestTakesLongerThanFlying) {
  LapOptions options;
  const double flying = lap(trial_car(), tight_track(), options).time;
  options.standing = true;
  const LapResult standing = lap(trial_car(), tight_track(), options);
  EXPECT_EQ(standing.begin(node::car), 0.0);
  EXPECT_GT(standing.time, flying + 0.5);
}

// Share of the grip used sideways by the axle that uses more, worked out from a sample and the
// track by the balance of moments: the rear's force about the front axle and the other way round.
double grip_used(const Car& car, const Track& track, const LapSample& sample) {
  const double at = sample.state(track_state::distance);
  const double squared = square(sample.state(node::car));
  const double sideways = car.body.mass * squared * track.curvature_at(at);
  // On the level the load moved is that of an acceleration, m a h/L.
  const double gain = sample.state(car_state::load_transfer) * car.body.wheelbase /
                      (car.body.mass * car.body.centre_height);
  const double to_front = (1.0 - car.body.front_share) * car.body.wheelbase;
  const double to_rear = car.body.front_share * car.body.wheelbase;
  // The heading is that of the chord between the axles.
  const double slope =
      (track.curvature_at(at + to_front) - track.curvature_at(at - to_rear)) / car.body.wheelbase;
  const double turn = car.body.yaw_inertia * (gain * track.curvature_at(at) + squared * slope);
  const auto share = [&](const Tyre& tyre, int load, double force) {
    const double pressed = sample.signals[static_cast<std::size_t>(load)];
    return std::abs(force) / (pressed * tyre_friction(make_tyre_law(tyre), pressed));
  };
  return std::max(share(car.rear_tyre, track_signal::rear_load,
                        (sideways * to_front - turn) / car.body.wheelbase),
                  share(car.front_tyre, track_signal::front_load,
                        (sideways * to_rear + turn) / car.body.wheelbase));
}

TEST(Lap, EntersNoCornerTooFast) {
  LapOptions options;
  options.driver = {.corner_share = 1.0, .brake_share = 1.0, .release_time = 0.0};
  options.sample_spacing = 0.1;
  const LapResult run = lap(trial_car(), tight_track(), options);
  ASSERT_TRUE(run.complete && run.holds);
  // A driver who plans with all of the grip has to learn to leave some.
  EXPECT_GT(run.margin_rounds, 0);
  // A round is one lap until the margins hold; from then on the lap has to repeat as well.
  EXPECT_LE(run.laps, run.margin_rounds + 4);
  for (const LapSample& sample : run.samples) {
    EXPECT_LE(grip_used(trial_car(), tight_track(), sample), 1.002);
  }
}

TEST(Lap, OfAnyOvalIsDrivenWithinTheGrip) {
  for (const double straight : {10.0, 45.0, 80.0}) {
    for (const double radius : {1.0, 2.4, 5.2}) {
      for (const double blend : {0.05, 0.15, 0.5}) {
        const LapResult run = lap(trial_car(), testing::oval(straight, radius, blend), {});
        EXPECT_EQ(explain_lap(run), "") << straight << ' ' << radius << ' ' << blend;
        EXPECT_LE(run.corners[0].most_grip, kAllGrip);
      }
    }
  }
}

TEST(Lap, GetsQuickerWithDownforceAndSlowerWithASlowHand) {
  const auto time = [](std::string_view path, double value) {
    const LapResult run = lap(with_field(trial_car(), path, value), tight_track(), {});
    EXPECT_EQ(explain_lap(run), "") << path << " = " << value;
    return run.time;
  };
  double before = 100.0;
  for (const double area : {0.0, 0.02, 0.05, 0.08, 0.13, 0.2, 0.3}) {
    const double now = time("body.downforce_area", area);
    EXPECT_LT(now, before) << area;
    before = now;
  }
  before = 0.0;
  for (const double response : {0.04, 0.08, 0.12, 0.2}) {
    const double now = time("driver.response_time", response);
    EXPECT_GT(now, before) << response;
    before = now;
  }
}

TEST(Lap, ThatIsTooFastForACornerSaysSo) {
  // Without a brake down a slope of a third the car comes too fast whatever the driver leaves.
  const Car car = with_field(trial_car(), "brake.torque", 0.0);
  const Track track = TrackBuilder()
                          .straight(60.0, 1.0, -0.3)
                          .corner(3.0, 180.0)
                          .straight(60.0, 1.0, 0.1)
                          .corner(3.0, 180.0)
                          .build();
  const LapResult run = lap(car, track, {});
  ASSERT_TRUE(run.complete);
  EXPECT_FALSE(run.holds);
  EXPECT_GT(run.most_grips[0], kAllGrip);
  EXPECT_NE(explain_lap(run).find("cannot be slowed down enough for the corner at 60"),
            std::string::npos);
}

TEST(Lap, ShiftsUpOnTheStraightAndDownUnderTheBrake) {
  const LapResult run = lap(trial_car(), tight_track(), {});
  int up = 0;
  int down = 0;
  for (const LapEvent& event : run.events) {
    up += event.kind == LapEvent::Kind::upshift ? 1 : 0;
    down += event.kind == LapEvent::Kind::downshift ? 1 : 0;
  }
  EXPECT_GE(up, 1);
  EXPECT_EQ(up, down);
  for (const CornerPass& corner : run.corners) {
    EXPECT_LT(corner.brake_distance, corner.begin);
    EXPECT_LT(corner.least_speed, corner.entry_speed);
    EXPECT_GT(corner.exit_distance, corner.begin);
  }
}

TEST(Lap, DropsTheClutchInACornerThatIsSlowEnough) {
  // A stiffer clutch spring opens at an engine speed that the tightest corner falls below.
  const Car car = with_field(trial_car(), "clutch.axial.nut_turns", 3.5);
  const LapResult run = lap(car, tight_track(), {});
  ASSERT_TRUE(run.complete);
  int opened = 0;
  int bitten = 0;
  for (const LapEvent& event : run.events) {
    opened += event.kind == LapEvent::Kind::clutch_opens ? 1 : 0;
    bitten += event.kind == LapEvent::Kind::clutch_bites ? 1 : 0;
  }
  EXPECT_GE(opened, 1);
  EXPECT_EQ(opened, bitten);
}

TEST(Lap, TellsAnExitThatBogsFromOneThatPulls) {
  // Full-throttle power at the engine speed of the exit over the most there is: an exit is weak
  // below the share that is asked for, and pulls above it.
  const EngineLaw<double> engine = Drivetrain(trial_car()).law().engine;
  double most = 0.0;
  for (double speed = 1.0; speed < 6000.0; speed += 1.0) {
    most = std::max(most, engine_torque(engine, speed, 1.0) * speed);
  }
  const LapResult first = lap(trial_car(), tight_track(), {});
  for (std::size_t i = 0; i < first.corners.size(); ++i) {
    const CornerPass& corner = first.corners[i];
    const double power = engine_torque(engine, corner.exit_crank, 1.0) * corner.exit_crank / most;
    // Of the peak, 15 rad/s off it at most, 1e-5 is lost.
    EXPECT_NEAR(corner.exit_power, power, 1e-4);
    for (const bool weak : {false, true}) {
      LapOptions options;
      options.least_power = power * (weak ? 1.001 : 0.999);
      const CornerPass pass = lap(trial_car(), tight_track(), options).corners[i];
      EXPECT_EQ(pass.bogs || pass.tyres_limit, weak) << i;
    }
  }
}

TEST(Lap, DoesNotBogWhereTheClutchBitesWhenNoPowerIsAskedFor) {
  LapOptions options;
  options.least_power = 0.0;
  // With the stiffer spring the clutch opens in the corners, and bites again before their exits.
  for (const double turns : {0.5, 4.5}) {
    const Car car = with_field(trial_car(), "clutch.axial.nut_turns", turns);
    const double bites = std::sqrt(Drivetrain(car).law().clutch.engagement_speed_squared);
    const LapResult run = lap(car, tight_track(), options);
    ASSERT_TRUE(run.complete);
    for (const CornerPass& corner : run.corners) {
      EXPECT_GT(corner.exit_crank, bites);
      EXPECT_FALSE(corner.bogs || corner.tyres_limit);
    }
  }
}

TEST(Lap, TellsThePlaceOfAShift) {
  // The car shifts up some 15 m after the tight corner; there lies a fast one.
  const Track track =
      TrackBuilder().straight(3.0).corner(25.0, 90.0).straight(20.0).corner(4.0, 180.0).build();
  const LapResult run = lap(trial_car(), track, {});
  ASSERT_FALSE(run.events.empty());
  int in_corner = 0;
  for (const LapEvent& event : run.events) {
    const auto& corner = run.corners[static_cast<std::size_t>(event.corner)];
    const bool inside = event.at.distance >= corner.begin && event.at.distance <= corner.end;
    EXPECT_EQ(event.place == Place::in_corner, inside);
    if (event.place == Place::before_corner) {
      EXPECT_GE(event.at.distance, corner.begin - 2.0);
    }
    in_corner += inside ? 1 : 0;
  }
  EXPECT_GE(in_corner, 1);
}

TEST(Lap, TimesOfEngineSpeedsAddUpToTheLap) {
  const LapResult run = lap(trial_car(), tight_track(), {});
  double sum = 0.0;
  for (const double time : run.crank_times) sum += time;
  EXPECT_NEAR(sum, run.time, 1e-9);
}

TEST(Lap, SectorsEndWhereTheyWereAskedTo) {
  LapOptions options;
  options.sectors = {30.0, 90.0};
  options.sample_spacing = 30.0;
  const LapResult run = lap(trial_car(), tight_track(), options);
  ASSERT_EQ(run.sector_times.size(), 3U);
  EXPECT_EQ(run.sector_times[2], run.time);
  EXPECT_NEAR(run.sector_times[0], run.samples[1].time, 1e-9);
  EXPECT_NEAR(run.sector_times[1], run.samples[3].time, 1e-9);
  EXPECT_NEAR(run.sector_speeds[1], run.samples[3].state(node::car), 1e-6);
}

TEST(Lap, IsDoubtfulWhereItsTimesMayBeOff) {
  LapOptions options;
  options.sectors = {30.0, 90.0};
  const LapResult fine = lap(trial_car(), tight_track(), options);
  EXPECT_GT(fine.time_error, 0.0);
  EXPECT_LE(fine.time_error, kSureTime);
  EXPECT_FALSE(fine.doubtful);
  options.integration.tolerance = 0.03;
  const LapResult coarse = lap(trial_car(), tight_track(), options);
  EXPECT_GT(coarse.time_error, kSureTime);
  EXPECT_TRUE(coarse.doubtful);
}

TEST(Lap, IsDrivenNoMoreThanFourTimesTheMostLapsOverAllMargins) {
  LapOptions options;
  options.driver = {.corner_share = 1.0, .brake_share = 1.0, .release_time = 0.0};
  options.most_laps = 2;
  const LapResult run = lap(trial_car(), tight_track(), options);
  EXPECT_GT(run.margin_rounds, 0);
  EXPECT_LE(run.laps, 8);
}

TEST(Lap, IsWarnedOfWhereMuchOfTheGripIsLeft) {
  EXPECT_TRUE(lap_warnings(0.0, 0.05).empty());
  const auto warnings = lap_warnings(0.0, 0.114);
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_EQ(warnings[0].code, "leaves_grip");
  EXPECT_EQ(warnings[0].text.find("The driver leaves 11 % of the grip at a corner"), 0U);
  EXPECT_EQ(lap_warnings(0.2, 0.0)[0].code, "wheelie");
}

TEST(Lap, OfACarThatDoesNotPullAwayIsGivenUpAfterHalfAMinute) {
  // With the throttle left shut the engine idles below the speed at which the clutch bites.
  const Car car = with_field(trial_car(), "driver.throttle", 0.0);
  LapOptions options;
  options.standing = true;
  const LapResult run = lap(car, tight_track(), options);
  EXPECT_TRUE(run.stands);
  EXPECT_FALSE(run.complete);
  EXPECT_GT(run.ending.time, kStandsFor);
  EXPECT_LT(run.ending.time, kStandsFor + 20.0);
  EXPECT_EQ(explain_lap(run).find("the car stands at 0.0 m"), 0U);
  // A car that rolls out comes on until then.
  options.standing = false;
  const LapResult rolled = lap(car, tight_track(), options);
  EXPECT_TRUE(rolled.stands);
  EXPECT_GT(rolled.end(track_state::distance), 1.0);
  EXPECT_GT(rolled.ending.time, kStandsFor);
}

TEST(Lap, SaysWhyItWasNotFinished) {
  LapOptions options;
  options.longest_time = 0.5;
  const LapResult run = lap(trial_car(), tight_track(), options);
  EXPECT_FALSE(run.complete);
  EXPECT_TRUE(std::isnan(run.time));
  EXPECT_NE(explain_lap(run).find("longest time"), std::string::npos);
}

TEST(LapSweep, IsTheSameBitsForAnyNumberOfThreads) {
  const SweepPlan plan{{"two_speed.gap"}, {4.4e-3, 4.8e-3, -1.0, 5.0e-3}};
  const auto swept = [&](unsigned threads) {
    return lap_sweep(trial_car(), tight_track(), plan, {{}, threads});
  };
  const SweepResult one = swept(1);
  const SweepResult three = swept(3);
  ASSERT_EQ(one.runs, 4U);
  EXPECT_EQ(one.status[2], RunStatus::refused);
  EXPECT_EQ(one.status, three.status);
  for (const std::size_t run : {0U, 1U, 3U}) {
    EXPECT_EQ(one.distance_times[run], three.distance_times[run]);
    EXPECT_EQ(
        one.distance_times[run],
        lap(with_field(trial_car(), "two_speed.gap", plan.values[run]), tight_track(), {}).time);
    for (std::size_t k = 0; k < lap_scalars().size(); ++k) {
      const std::size_t at = run * lap_scalars().size() + k;
      if (!std::isnan(one.scalars[at])) {
        EXPECT_EQ(one.scalars[at], three.scalars[at]);
      }
    }
  }
}

TEST(LapSweep, StopsWhenAskedTo) {
  const SweepPlan plan{{"two_speed.gap"}, std::vector<double>(400, 4.8e-3)};
  const SweepResult result = lap_sweep(trial_car(), tight_track(), plan, {{}, 1},
                                       [](std::size_t, std::size_t) { return false; });
  EXPECT_EQ(result.status.back(), RunStatus::not_run);
}

TEST(LapOptions, RefuseWhatMakesNoLap) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refuses = [](const LapOptions& options) {
    EXPECT_THROW((void)lap(trial_car(), tight_track(), options), std::invalid_argument);
  };
  refuses({.sample_spacing = -1.0});
  refuses({.sectors = {30.0, 20.0}});
  refuses({.sectors = {1e4}});
  refuses({.before_corner = nan});
  refuses({.least_power = 1.5});
  refuses({.longest_time = 0.0});
  refuses({.most_laps = 1});
}

}  // namespace
}  // namespace layshaft
