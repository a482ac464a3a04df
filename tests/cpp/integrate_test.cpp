#include "layshaft/network/integrate.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "published_check.hpp"
#include "switching_plants.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Clock;
using testing::ClutchChain;
using testing::LockingPair;
using testing::NoRecorder;
using testing::RubbedBlock;
using testing::run_plant;
using testing::Seen;

// Tolerance of a step; the global errors of these smooth stretches stay within ten times that.
constexpr IntegrationOptions kTight{1e-12, 1e-4, 200'000};
// The printed digits of problem O1.
constexpr double kClosedForm = 1e-9;

Integration<ClutchChain> run_chain(double end) {
  const ClutchChain plant;
  Integrator<ClutchChain, DormandPrince> integrator(plant, kTight);
  ModesOf<ClutchChain> start;
  start.switches = {1, 0};
  return integrator.run(0.0, {10.0, 0.0, 0.0, 0.0}, start, end, NoRecorder{});
}

void check_chain(const std::string& quantity, double expected, double computed) {
  check_published({"O1", quantity,
                   "closed form between events; the problem of the Modelica Standard "
                   "Library's example of coupled clutches",
                   Seen::kDerived, "Integrator"},
                  expected, computed, kClosedForm);
}

// Time of the n-th change of a coupling into `to`.
double change_time(const std::vector<Change>& changes, Change::Part part, int index, int to,
                   int number = 1) {
  for (const Change& change : changes) {
    if (change.part == part && change.index == index && change.to == to && --number == 0) {
      return change.time;
    }
  }
  return std::nan("");
}

TEST(ClutchChainO1, SpeedsAgreeWithTheClosedForm) {
  check_chain("w1(0.4) [rad/s]", 6.166326070702, run_chain(0.4).state(0));
  check_chain("w2(0.4) [rad/s]", 3.833673929298, run_chain(0.4).state(1));
  check_chain("w1(0.9) [rad/s]", 3.556500566630, run_chain(0.9).state(0));
  check_chain("w2(0.9) [rad/s]", 3.540059602869, run_chain(0.9).state(1));
  const auto at_opening = run_chain(1.25);
  check_chain("w1(1.25) [rad/s]", 2.928748386235, at_opening.state(0));
  const auto last = run_chain(1.5);
  check_chain("w1(1.5) [rad/s]", 3.247058272419, last.state(0));
  for (int node = 1; node < 4; ++node) {
    check_chain("w" + std::to_string(node + 1) + "(1.25..1.5) [rad/s]", 2.463187166650,
                last.state(node));
  }
}

TEST(ClutchChainO1, SwitchTimesAgreeWithTheClosedForm) {
  const auto run = run_chain(1.5);
  ASSERT_EQ(run.ending.status, Status::finished);
  const auto coupling = Change::Part::coupling;
  const int stuck = static_cast<int>(CouplingMode::stuck);
  const int forward = static_cast<int>(CouplingMode::slip_positive);
  const auto& changes = run.changes;
  check_chain("clutch 2 locks [s]", .709621474694, change_time(changes, coupling, 1, stuck));
  check_chain("clutch 1 locks [s]", .791662359155, change_time(changes, coupling, 0, stuck));
  check_chain("clutch 1 locks again [s]", .906850192798,
              change_time(changes, coupling, 0, stuck, 2));
  check_chain("clutch 3 locks [s]", 1.143967492473, change_time(changes, coupling, 2, stuck));
  check_chain("clutch 1 opens [s]", 1.25,
              change_time(changes, Change::Part::plant_switch, ClutchChain::clutch_1_engaged, 0));
  check_chain("clutch 1 breaks away [s]", .831108506138,
              change_time(changes, coupling, 0, forward));
  check_chain("clutch 1 breaks away again [s]", 1.000295859895,
              change_time(changes, coupling, 0, forward, 2));
}

TEST(ClutchChainO1, CommonSpeedWhenClutchOneLocks) {
  check_chain("common speed at .7916 s [rad/s]", 3.336952432611, run_chain(.791662359155).state(0));
}

TEST(ClutchChainO1, EachChangeIsListedOnce) {
  const auto run = run_chain(1.5);
  // Clutch 2 closes and locks; 1 locks, breaks away, locks, breaks away, opens (switch and
  // coupling); 3 closes and locks.
  EXPECT_EQ(run.changes.size(), 10U);
}

TEST(LockingPairO5, LocksOnceAtTheClosedForm) {
  const LockingPair plant(.02, .03, 2.0);
  Integrator<LockingPair, DormandPrince> integrator(plant, kTight);
  const auto run = integrator.run(0.0, {100.0, 0.0}, {}, 1.0, NoRecorder{});
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_NEAR(run.changes[0].time, 0.6, kClosedForm);
  EXPECT_NEAR(run.state(0), 40.0, kClosedForm);
  EXPECT_NEAR(run.state(1), 40.0, kClosedForm);
}

TEST(RubbedBlockO4, StickSlipPhasesLastAsInTheClosedForm) {
  // m = 1 kg, k = 100 N/m, belt .1 m/s, 6 N at rest, 4 N sliding.
  const RubbedBlock plant(100.0, 0.1, 6.0, 4.0);
  Integrator<RubbedBlock, DormandPrince> integrator(plant, kTight);
  ModesOf<RubbedBlock> start;
  start.couplings[0] = CouplingMode::stuck;
  const auto run = integrator.run(0.0, {0.0, 0.06 - 1e-3}, start, 2.0, NoRecorder{});
  ASSERT_GE(run.changes.size(), 4U);
  const double slip_phase = run.changes[1].time - run.changes[0].time;
  const double stick_phase = run.changes[2].time - run.changes[1].time;
  check_published(
      {"O4", "slip phase [s]", "closed form, e.g. Popov, Contact Mechanics and Friction",
       Seen::kDerived, "Integrator"},
      .406888787, slip_phase, 5e-10);
  check_published(
      {"O4", "stick phase [s]", "closed form, e.g. Popov, Contact Mechanics and Friction",
       Seen::kDerived, "Integrator"},
      .4, stick_phase, kClosedForm);
}

TEST(RubbedBlockO3, DecaysByAConstantEachCycleAndStops) {
  // T = 1 s; friction mu g, 4 mu g / k lost each cycle = 5 mm from x0 = .1 m: stops after 39.5 half
  // cycles.
  const double stiffness = square(2.0 * kPi);
  const double friction = stiffness * .005 / 4.0;
  const RubbedBlock plant(stiffness, 0.0, friction, friction);
  Integrator<RubbedBlock, DormandPrince> integrator(plant, kTight);
  const auto run = integrator.run(0.0, {0.0, 0.1}, {}, 30.0, NoRecorder{});
  // Amplitude after n half cycles of .5 s: .1 m - n 2.5 mm; the block stays where it is at
  // most 1.25 mm. The source counts n = 39.5 as rest; the first whole half cycle at or past it is
  // the 40th, with 0 left.
  ASSERT_EQ(run.changes.size(), 40U);
  for (int n = 1; n <= 40; ++n) {
    EXPECT_NEAR(run.changes[static_cast<std::size_t>(n - 1)].time, .5 * n, kClosedForm);
  }
  EXPECT_EQ(run.modes.couplings[0], CouplingMode::stuck);
  EXPECT_NEAR(run.state(1), 0.0, kClosedForm);
}

TEST(RubbedBlockO3, LosesThePrintedAmplitudeAtThePrintedFriction) {
  // Printed: mu = .00503 for 5 mm lost in a cycle of 1 s. Half of its last digit is a thousandth of
  // mu, and so of what is lost.
  const std::string source = "Rao, Mechanical Vibrations, Ex 2.14";
  const double friction = .00503 * 9.81;
  const RubbedBlock plant(square(2.0 * kPi), 0.0, friction, friction);
  const auto one_cycle = run_plant(plant, StateOf<RubbedBlock>(0.0, 0.1), 1.0, kTight);
  check_published({"O3", "amplitude lost in a cycle at mu .00503 [mm]", source, Seen::kFromMemory,
                   "Integrator"},
                  5.0, (.1 - one_cycle.state(1)) * 1e3, .005);
  const auto to_rest = run_plant(plant, StateOf<RubbedBlock>(0.0, 0.1), 30.0, kTight);
  // Printed 39.5 until the spring no longer moves it; a block stops at the end of a half cycle.
  check_published(
      {"O3", "half cycles to rest at mu .00503 [-]", source, Seen::kFromMemory, "Integrator"}, 39.5,
      static_cast<double>(to_rest.changes.size()), .5);
}

// A body whose acceleration is given as a function of time and speed.
struct PushedBody : testing::BarePlant<1, 1, 0, 0> {
  std::function<double(double time, double speed)> push;
  explicit PushedBody(std::function<double(double, double)> law) : push(std::move(law)) {
    network_data =
        testing::lossless<1, 1>(Vector<double, 1>(1.0), Eigen::Matrix<double, 1, 1>(1.0));
  }
  [[nodiscard]] BareLoads loads(const Positions&, double time, const State& y) const {
    return {Vector<double, 1>(push(time, y(0))), Vector<double, 1>(0.0), Vector<double, 1>(0.0)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>(0.0), Vector<double, 1>(0.0)};
  }
  [[nodiscard]] bool is_open(int, const Positions&) const { return true; }
};

TEST(Ending, StepBudgetKeepsWhatTheRunHas) {
  const ClutchChain plant;
  ModesOf<ClutchChain> start;
  start.switches = {1, 0};
  IntegrationOptions few = kTight;
  few.most_steps = 400;
  const auto cut = run_plant(plant, StateOf<ClutchChain>(10.0, 0.0, 0.0, 0.0), 1.5, few, start);
  EXPECT_EQ(cut.ending.status, Status::step_budget);
  EXPECT_EQ(cut.ending.steps, 400);
  EXPECT_GT(cut.ending.time, 0.4);
  EXPECT_LT(cut.ending.time, 1.5);
  // What it has is what the whole run had up to then, bit for bit.
  const auto whole = run_chain(1.5);
  ASSERT_FALSE(cut.changes.empty());
  for (std::size_t k = 0; k < cut.changes.size(); ++k) {
    EXPECT_EQ(cut.changes[k], whole.changes[k]);
  }
}

TEST(Ending, NonFiniteStateIsNamedAtTheFirstStep) {
  const PushedBody plant([](double time, double) { return time < 0.5 ? 1.0 : std::nan(""); });
  const auto run = run_plant(plant, StateOf<PushedBody>(0.0), 1.0, {1e-9, 1e-2, 1000});
  EXPECT_EQ(run.ending.status, Status::non_finite);
  EXPECT_EQ(run.ending.part, 0);
  EXPECT_LE(run.ending.time, 0.5);
  // The last good state is kept: uniform acceleration from rest.
  EXPECT_NEAR(run.state(0), run.ending.time, 1e-9);
}

TEST(Ending, SpeedThatRunsAwayInFiniteTimeIsAStatus) {
  // w' = w^2 from 1 rad/s is infinite at 1 s: no step goes past it.
  const PushedBody plant([](double, double speed) { return speed * speed; });
  const auto run = run_plant(plant, StateOf<PushedBody>(1.0), 2.0, {1e-9, 1e-2, 20'000});
  EXPECT_NE(run.ending.status, Status::finished);
  EXPECT_NE(run.ending.status, Status::step_budget);
  EXPECT_NEAR(run.ending.time, 1.0, 1e-6);
  EXPECT_TRUE(std::isfinite(run.state(0)));
}

TEST(Ending, StepThatCannotMeetTheToleranceIsAStatus) {
  // Shaken so fast from .5 s on that a step has to be smaller than the spacing of the times.
  const PushedBody plant(
      [](double time, double) { return time < 0.5 ? 0.0 : 1e30 * std::sin(1e25 * time); });
  const auto run = run_plant(plant, StateOf<PushedBody>(0.0), 2.0, {1e-9, 1e-2, 20'000});
  EXPECT_EQ(run.ending.status, Status::step_vanished);
  EXPECT_NEAR(run.ending.time, 0.5, 1e-9);
}

TEST(Ending, TwoPositionsThatBothRefuseToHoldAreChatter) {
  struct Fighting : Clock {
    Fighting() : Clock([](int, double time) { return 0.2 - time; }) {}
    [[nodiscard]] int next_switch(int k, const Positions& switches, double, const State&) const {
      return 1 - switches[static_cast<std::size_t>(k)];
    }
  };
  const Fighting plant;
  const auto run = run_plant(plant, StateOf<Fighting>::Zero(), 1.0, kTight);
  EXPECT_EQ(run.ending.status, Status::chatter);
  EXPECT_EQ(run.ending.part, 1);  // Switch 0 comes after the only coupling.
  EXPECT_NEAR(run.ending.time, 0.2, kClosedForm);
}

TEST(Ending, CouplingsWithoutAnAnswerAreNamedNoModes) {
  // Two rods without a limit on one body, at rest, to a ground that both cannot follow.
  struct Torn : testing::BarePlant<2, 2, 0, 0> {
    Torn() {
      Eigen::Matrix<double, 2, 2> slip;
      slip << 1, 0, 1, 0;
      network_data = testing::lossless<2, 2>(Vector<double, 2>::Ones(), slip);
      network_data.slip(1, 0) = 2.0;
      network_data.forward(1, 0) = network_data.backward(1, 0) = -1.0;
    }
    [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
      return {Vector<double, 2>(1.0, 0.0), Vector<double, 2>(0.0, 0.0),
              Vector<double, 2>(0.0, kNoLimit)};
    }
    [[nodiscard]] HoldLimits<2> hold_limits(const Positions& active, const BareLoads&, double time,
                                            const State& y) const {
      const BareLoads sliding = loads(active, time, y);
      return {sliding.low, sliding.high};
    }
  };
  const Torn plant;
  const auto run = run_plant(plant, StateOf<Torn>::Zero(), 1.0, kTight);
  EXPECT_EQ(run.ending.status, Status::no_modes);
  EXPECT_EQ(run.ending.time, 0.0);
}

TEST(Ending, EveryStatusHasItsName) {
  EXPECT_EQ(to_string(Status::finished), "finished");
  EXPECT_EQ(to_string(Status::step_budget), "step_budget");
  EXPECT_EQ(to_string(Status::non_finite), "non_finite");
  EXPECT_EQ(to_string(Status::no_modes), "no_modes");
  EXPECT_EQ(to_string(Status::chatter), "chatter");
  EXPECT_EQ(to_string(Status::step_vanished), "step_vanished");
  EXPECT_EQ(to_string(Status::goes_over), "goes_over");
  EXPECT_EQ(to_string(Status::leaves_ground), "leaves_ground");
}

}  // namespace
}  // namespace layshaft
