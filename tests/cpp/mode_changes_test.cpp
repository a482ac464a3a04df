// The checklist of mode changes, on plants whose instants are known.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "layshaft/network/dormand_prince.hpp"
#include "layshaft/network/integrate.hpp"
#include "switching_plants.hpp"

namespace layshaft {
namespace {

using testing::Clock;
using testing::OneWayDrive;
using testing::RubbedBlock;
using testing::run_plant;

// One step of .3 s from 0 to the end of a short run, so that what lies inside a step is known.
constexpr IntegrationOptions kOneStep{1e-9, 0.3, 1000};
constexpr IntegrationOptions kTight{1e-12, 1e-4, 200'000};
// A root is located to a few roundings of the time.
constexpr double kRoundOff = 1e-15;
// Global error of a smooth stretch at kTight.
constexpr double kSolverError = 1e-10;

// Falls through zero at `instant` in position 0; holds in every other position.
Clock::Guard falls_at(double instant) {
  return [instant](int position, double time) { return position == 0 ? instant - time : 1.0; };
}

Integration<Clock> run_clock(const Clock& clock, double end = 0.3) {
  return run_plant(clock, StateOf<Clock>::Zero(), end, kOneStep);
}

TEST(ModeChanges, TwoAtOneInstantAreBothListedThere) {
  const auto run = run_clock(Clock(falls_at(0.17), falls_at(0.17)));
  ASSERT_EQ(run.changes.size(), 2U);
  EXPECT_NE(run.changes[0].index, run.changes[1].index);
  EXPECT_NEAR(run.changes[0].time, 0.17, kRoundOff);
  EXPECT_NEAR(run.changes[1].time, 0.17, kRoundOff);
}

TEST(ModeChanges, TwoInOneStepAreTakenInTheOrderOfTime) {
  // Between two looks, and with the later one first in the list.
  const auto run = run_clock(Clock(falls_at(0.17), falls_at(0.13)));
  ASSERT_EQ(run.changes.size(), 2U);
  EXPECT_EQ(run.changes[0].index, 1);
  EXPECT_NEAR(run.changes[0].time, 0.13, kRoundOff);
  EXPECT_EQ(run.changes[1].index, 0);
  EXPECT_NEAR(run.changes[1].time, 0.17, kRoundOff);
}

TEST(ModeChanges, OneSwitchThatComesAndGoesWithinAStepIsListedTwice) {
  const auto run = run_clock(Clock([](int position, double time) {
    if (position == 0) return 0.08 - time;
    return position == 1 ? 0.16 - time : 1.0;
  }));
  ASSERT_EQ(run.changes.size(), 2U);
  EXPECT_NEAR(run.changes[0].time, 0.08, kRoundOff);
  EXPECT_NEAR(run.changes[1].time, 0.16, kRoundOff);
}

TEST(ModeChanges, DipInsideAStepIsSeenThoughBothEndsHold) {
  const auto run = run_clock(Clock([](int position, double time) {
    return position == 0 ? (time - 0.15) * (time - 0.25) : 1.0;
  }));
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_NEAR(run.changes[0].time, 0.15, kRoundOff);
}

TEST(ModeChanges, RestartOnARootFiresOnce) {
  // The guard of the next position starts on its own root and rises: it must not fire there.
  const auto run = run_clock(
      Clock([](int position, double time) { return position == 0 ? 0.1 - time : time - 0.1; }));
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_NEAR(run.changes[0].time, 0.1, kRoundOff);
}

TEST(ModeChanges, GuardThatRisesFromItsRootAndFallsBeforeTheNextLookIsLocated) {
  // The next position holds for .4 ms, a thousandth of the step.
  const auto run = run_clock(Clock([](int position, double time) {
    if (position == 0) return 0.1 - time;
    return position == 1 ? (time - 0.1) * (0.1004 - time) : 1.0;
  }));
  ASSERT_EQ(run.changes.size(), 2U);
  EXPECT_NEAR(run.changes[0].time, 0.1, kRoundOff);
  EXPECT_NEAR(run.changes[1].time, 0.1004, kRoundOff);
}

TEST(ModeChanges, GrazingGuardDoesNotFire) {
  // Touches zero at a look, between two looks, and at the end of the step.
  for (const double instant : {0.1, 0.17, 0.3}) {
    const auto run =
        run_clock(Clock([instant](int, double time) { return square(time - instant); }), 0.9);
    EXPECT_TRUE(run.changes.empty());
    EXPECT_EQ(run.ending.status, Status::finished);
  }
}

TEST(ModeChanges, RootAtAStepsEndIsListedOnceAtThatEnd) {
  const auto run = run_clock(Clock(falls_at(0.3)), 0.9);
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_EQ(run.changes[0].time, 0.3);
}

TEST(ModeChanges, RootAtTheEndOfTheRunHasNotFallenYet) {
  const auto run = run_clock(Clock(falls_at(0.3)), 0.3);
  EXPECT_TRUE(run.changes.empty());
  EXPECT_EQ(run.ending.time, 0.3);
}

TEST(ModeChanges, RootAtTimeZeroIsListedOnceAtTimeZero) {
  for (const double instant : {0.0, -0.2}) {
    const auto run = run_clock(Clock(falls_at(instant)));
    ASSERT_EQ(run.changes.size(), 1U);
    EXPECT_EQ(run.changes[0].time, 0.0);
  }
}

TEST(ModeChanges, CornerAndRootAtOneInstantAreBothPassed) {
  struct CornerClock : Clock {
    using Clock::Clock;
    [[nodiscard]] double kink_time(const Positions& switches) const {
      return switches[1] == 0 ? 0.17 : std::numeric_limits<double>::infinity();
    }
    [[nodiscard]] Positions pass_kink(Positions switches) const {
      switches[1] = 1;
      return switches;
    }
  };
  const CornerClock clock(falls_at(0.17));
  const auto run = run_plant(clock, StateOf<CornerClock>::Zero(), 0.3, kOneStep);
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_NEAR(run.changes[0].time, 0.17, kRoundOff);
  EXPECT_EQ(run.modes.switches[0], 1);
  EXPECT_EQ(run.modes.switches[1], 1);
  EXPECT_EQ(run.ending.status, Status::finished);
}

TEST(ModeChanges, CornerThatLiesBeforeTheStartIsPassedAtTheStart) {
  struct EarlyCorner : Clock {
    EarlyCorner() : Clock([](int, double) { return 1.0; }) {}
    [[nodiscard]] double kink_time(const Positions& switches) const {
      return switches[1] < 3 ? -1.0 + switches[1] : std::numeric_limits<double>::infinity();
    }
    [[nodiscard]] Positions pass_kink(Positions switches) const {
      ++switches[1];
      return switches;
    }
  };
  // Kinks at -1, 0 and 1 s; the run starts at 0 and must never look back.
  double earliest = 0.0;
  const EarlyCorner plant;
  Integrator<EarlyCorner, DormandPrince> integrator(plant, kOneStep);
  const auto run =
      integrator.run(0.0, StateOf<EarlyCorner>::Zero(), {}, 0.5, [&](const auto& segment) {
        earliest = std::min(earliest, segment.end);
        return std::numeric_limits<double>::infinity();
      });
  EXPECT_EQ(earliest, 0.0);
  EXPECT_EQ(run.modes.switches[1], 2);
  EXPECT_EQ(run.ending.time, 0.5);
}

TEST(ModeChanges, StretchesOfARunMeetWithoutGapOrOverlap) {
  const Clock clock(falls_at(0.17), falls_at(0.4));
  Integrator<Clock, DormandPrince> integrator(clock, kOneStep);
  double reached = 0.0;
  const auto run = integrator.run(0.0, StateOf<Clock>::Zero(), {}, 1.0, [&](const auto& segment) {
    EXPECT_EQ(segment.begin, reached);
    EXPECT_GE(segment.end, segment.begin);
    reached = segment.end;
    return std::numeric_limits<double>::infinity();
  });
  EXPECT_EQ(reached, 1.0);
  EXPECT_EQ(run.changes.size(), 2U);
}

TEST(ModeChanges, EachSlipAndEachStickIsOneEntry) {
  // O4: a cycle lasts .8068887... s; from just before the first breakaway (at .01 s) 12 slips
  // begin and 11 end within 9.28 s: breakaways at .01 + n .80689, n = 0..11 (8.886); locks
  // .40689 later, the last at 9.293.
  const RubbedBlock plant(100.0, 0.1, 6.0, 4.0);
  ModesOf<RubbedBlock> start;
  start.couplings[0] = CouplingMode::stuck;
  const auto run = run_plant(plant, StateOf<RubbedBlock>(0.0, 0.06 - 1e-3), 9.28, kTight, start);
  EXPECT_EQ(run.changes.size(), 12U + 11U);
  for (std::size_t k = 1; k < run.changes.size(); ++k) {
    EXPECT_EQ(run.changes[k].from, run.changes[k - 1].to);
    EXPECT_GT(run.changes[k].time, run.changes[k - 1].time);
  }
}

TEST(ModeChanges, OneWayBearingAtExactlyZeroTorqueStaysShutAndQuiet) {
  for (const double mesh : {1.0, 0.95}) {
    const OneWayDrive plant([](double) { return 0.0; }, mesh);
    const auto run = run_plant(plant, StateOf<OneWayDrive>(5.0, 5.0), 1.0, kTight);
    EXPECT_TRUE(run.changes.empty());
    EXPECT_EQ(run.state, (StateOf<OneWayDrive>(5.0, 5.0)));
  }
}

TEST(ModeChanges, OneWayBearingLetsGoAsItsTorquePassesZeroAndTakesUpAgain) {
  // Torque cos t on the shaft: shut until pi/2, at sin(pi/2)/2 = .5 rad/s. Then the load rolls on
  // at .5 and the shaft turns with sin t - .5; it is back at .5 where sin t = 1 again, at 2 pi +
  // pi/2, where the torque is zero and about to fall: it grazes there. With a push of .1 more the
  // bearing takes up earlier, worked below.
  const OneWayDrive plant([](double time) { return std::cos(time) + 0.1; });
  const auto run = run_plant(plant, StateOf<OneWayDrive>(0.0, 0.0), 8.0, kTight);
  const double lets_go = std::acos(-0.1);
  ASSERT_GE(run.changes.size(), 2U);
  EXPECT_NEAR(run.changes[0].time, lets_go, kSolverError);
  EXPECT_EQ(run.changes[0].to, static_cast<int>(CouplingMode::slip_negative));
  const double again = run.changes[1].time;
  // Back at one speed: the shaft's momentum since it let go is zero.
  const double momentum = std::sin(again) - std::sin(lets_go) + 0.1 * (again - lets_go);
  EXPECT_NEAR(momentum, 0.0, kSolverError);
  EXPECT_EQ(run.changes[1].to, static_cast<int>(CouplingMode::stuck));
  EXPECT_NEAR(run.changes[2].time, lets_go + 2.0 * kPi, kSolverError);
  EXPECT_EQ(run.changes.size(), 3U);
}

TEST(ModeChanges, EachEntryNamesItsCause) {
  EXPECT_EQ(run_clock(Clock(falls_at(0.1))).changes[0].cause, Cause::switched);
  const OneWayDrive plant([](double time) { return std::cos(time) + 0.1; });
  const auto run = run_plant(plant, StateOf<OneWayDrive>(0.0, 0.0), 7.0, kTight);
  EXPECT_EQ(run.changes[0].cause, Cause::limit_reached);
  EXPECT_EQ(run.changes[1].cause, Cause::slip_vanished);
  EXPECT_EQ(to_string(run.changes[0].cause), "limit reached");
  EXPECT_EQ(to_string(CouplingMode::slip_negative), "slip_negative");
}

}  // namespace
}  // namespace layshaft
