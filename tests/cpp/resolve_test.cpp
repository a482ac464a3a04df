#include "layshaft/network/resolve.hpp"

#include <gtest/gtest.h>

#include "switching_plants.hpp"

namespace layshaft {
namespace {

using testing::BarePlant;
using testing::lossless;

using enum CouplingMode;

/// Two bodies of inertia 1 in a row behind a ground: coupling 0 joins the first to the ground,
/// coupling 1 the second to the first.
struct Towed : BarePlant<2, 2, 0, 0> {
  Vector<double, 2> push;
  Vector<double, 2> sliding;
  Vector<double, 2> at_rest;

  Towed(const Vector<double, 2>& force, const Vector<double, 2>& slides,
        const Vector<double, 2>& holds)
      : push(force), sliding(slides), at_rest(holds) {
    Eigen::Matrix<double, 2, 2> slip;
    slip << 1.0, 0.0, -1.0, 1.0;
    network_data = lossless<2, 2>(Vector<double, 2>::Ones(), slip);
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
    return {push, -sliding, sliding};
  }
  [[nodiscard]] HoldLimits<2> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {-at_rest, at_rest};
  }
};

using Modes = std::array<CouplingMode, 2>;

Modes resolve(const Towed& plant, const Modes& before, const Fired& fired = {},
              const Vector<double, 2>& speeds = Vector<double, 2>::Zero()) {
  ModesOf<Towed> modes;
  modes.couplings = before;
  const auto result = ModeResolver<Towed>(plant).resolve(0.0, speeds, modes, fired);
  EXPECT_TRUE(result.found);
  return result.modes.couplings;
}

constexpr Modes kBothStuck{stuck, stuck};

TEST(Resolve, StandstillHoldsUpToTheLimitsAtRest) {
  // 2 N m on the second body load both couplings with 2.
  EXPECT_EQ(resolve(Towed({0.0, 2.0}, {1.5, 1.5}, {2.5, 2.5}), kBothStuck), kBothStuck);
  EXPECT_EQ(resolve(Towed({0.0, -2.0}, {1.5, 1.5}, {2.5, 2.5}), kBothStuck), kBothStuck);
}

TEST(Resolve, BreakawaySetsTheDirectionOfTheSlip) {
  EXPECT_EQ(resolve(Towed({0.0, 3.0}, {1.5, 9.0}, {2.5, 9.0}), kBothStuck),
            (Modes{slip_positive, stuck}));
  EXPECT_EQ(resolve(Towed({0.0, -3.0}, {1.5, 9.0}, {2.5, 9.0}), kBothStuck),
            (Modes{slip_negative, stuck}));
}

TEST(Resolve, BothBreakAwayAtOneInstant) {
  // 20 N m tear both: the second body pulls the first along with its sliding 9.
  EXPECT_EQ(resolve(Towed({0.0, 20.0}, {1.0, 9.0}, {2.0, 9.5}), kBothStuck),
            (Modes{slip_positive, slip_positive}));
}

TEST(Resolve, FallToTheSlidingLimitUnloadsTheNextCoupling) {
  // 20 N m tear coupling 1, which holds 5, more than the 2 that coupling 0 holds; but sliding it
  // passes on only 1, and coupling 0 stays.
  EXPECT_EQ(resolve(Towed({0.0, 20.0}, {2.0, 1.0}, {2.0, 5.0}), kBothStuck),
            (Modes{stuck, slip_positive}));
}

TEST(Resolve, LimitJustReachedStartsAsSliding) {
  // Exactly the limit at rest: solved as stuck it would hold, and fire again for ever.
  const Towed plant({0.0, 2.5}, {1.5, 9.0}, {2.5, 9.0});
  EXPECT_EQ(resolve(plant, kBothStuck), kBothStuck);
  EXPECT_EQ(resolve(plant, kBothStuck, {GuardKind::high_limit, 0}), (Modes{slip_positive, stuck}));
}

TEST(Resolve, TwoThatLetGoTogetherDoNotTakeTurns) {
  // A push just at the limit of coupling 0, which has let go a moment ago and has no slip yet;
  // coupling 1 cannot hold back at all and lets go now. Coupling 0 must not stick again for it.
  const Towed plant({2.0, 0.0}, {2.0, 0.0}, {2.0, 0.0});
  EXPECT_EQ(resolve(plant, {slip_positive, stuck}, {GuardKind::low_limit, 1}),
            (Modes{slip_positive, slip_negative}));
}

TEST(Resolve, SlipDecidesWhereThereIsAny) {
  const Towed plant({0.0, 0.0}, {1.0, 1.0}, {1.0, 1.0});
  EXPECT_EQ(resolve(plant, {slip_positive, slip_positive}, {}, {1.0, 0.5}),
            (Modes{slip_positive, slip_negative}));
}

TEST(Resolve, SlipThatVanishedSticksWhereTheLimitAllows) {
  const Fired vanished{GuardKind::slip, 0};
  EXPECT_EQ(resolve(Towed({0.5, 0.0}, {1.0, 1.0}, {1.0, 1.0}), {slip_positive, stuck}, vanished),
            kBothStuck);
  // More than the limit: it goes straight on to slip the other way.
  EXPECT_EQ(resolve(Towed({-3.0, 0.0}, {1.0, 9.0}, {1.0, 9.0}), {slip_positive, stuck}, vanished),
            (Modes{slip_negative, stuck}));
}

/// Two couplings between the same two bodies at gears a hundredth apart, as two gears of a car. The
/// losses of the second make it push so that its slip goes against its torque: stuck both, the
/// bodies stand; sliding, the second alone passes on next to nothing.
struct TwoGears : Towed {
  TwoGears() : Towed({-1e-4, -1e-4}, {1e6, 1e-9}, {1e6, 1e-9}) {
    network_data.slip << 1.0, -1.0, 1.0, -1.01;
    network_data.forward << 1.0, -1.0, 1.0, -0.9;
    network_data.backward = network_data.forward;
  }
};

TEST(Resolve, SlipThatPassedZeroWithinRoundOffGoesOnToTheOtherSide) {
  // The first holds: 2 lambda = -1.9 T for a torque T of the second, whose slip then gains
  // 1e-6 + 5e-4 T rad/s^2: more than zero whichever way its 1e-9 N m slide. Beside the 1e6 N m of
  // the first that is round-off; but the slip has risen through zero and cannot go back.
  ModesOf<Towed> before;
  before.couplings = {stuck, slip_negative};
  const auto found = ModeResolver<Towed>(TwoGears())
                         .resolve(0.0, Vector<double, 2>::Zero(), before, {GuardKind::slip, 1});
  ASSERT_TRUE(found.found);
  EXPECT_EQ(found.modes.couplings, (Modes{stuck, slip_positive}));
}

/// The same with a second that cannot slip forwards.
struct TwoGearsOneWay : TwoGears {
  [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
    return {push, {-1e6, 0.0}, {1e6, kNoLimit}};
  }
  [[nodiscard]] HoldLimits<2> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {{-1e6, 0.0}, {1e6, kNoLimit}};
  }
};

TEST(Resolve, SlipThatPassedZeroWithinRoundOffSticksAtItsStop) {
  ModesOf<TwoGearsOneWay> before;
  before.couplings = {stuck, slip_negative};
  const auto found = ModeResolver<TwoGearsOneWay>(TwoGearsOneWay())
                         .resolve(0.0, Vector<double, 2>::Zero(), before, {GuardKind::slip, 1});
  ASSERT_TRUE(found.found);
  EXPECT_TRUE(is_stuck(found.modes.couplings[1]));
}

/// Two gears, the second of which can hold nothing to speak of; what the round-off of 1e6 N m lets
/// it hold has the sign against its losses whichever way these are taken.
struct TwoGearsOneFree : Towed {
  TwoGearsOneFree() : Towed({-1e-8, -1e-8}, {1e6, 1e-40}, {1e6, 1e-40}) {
    network_data.slip << 1.0, -1.0, 1.0, -1.01;
    network_data.forward << 1.0, -1.0, 1.0, -0.9;
    network_data.backward << 1.0, -1.0, 1.0, -1.1;
  }
};

TEST(Resolve, ATorqueOfRoundOffHasNoDirection) {
  // Holding still: T1 + T2 = -1e-8 and T1 + (1 -+ 0.1) T2 = 1e-8, so T2 = -+2e-7 N m.
  EXPECT_TRUE(is_stuck(resolve(TwoGearsOneFree(), kBothStuck)[0]));
}

/// A body that a one-way bearing keeps from turning forwards.
struct OneWay : BarePlant<1, 1, 0, 0> {
  double push;
  explicit OneWay(double force) : push(force) {
    network_data = lossless<1, 1>(Vector<double, 1>::Ones(), Eigen::Matrix<double, 1, 1>(1.0));
  }
  [[nodiscard]] BareLoads loads(const Positions&, double, const State&) const {
    return {Vector<double, 1>(push), Vector<double, 1>(0.0), Vector<double, 1>(kNoLimit)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads&, double,
                                          const State&) const {
    return {Vector<double, 1>(0.0), Vector<double, 1>(kNoLimit)};
  }
};

TEST(Resolve, AOneWayBearingNeverSlipsAgainstItsStop) {
  // Its own slip vanishes at the instant at which another part switches, give or take round-off.
  for (const double slip : {-1e-7, 1e-7}) {
    ModesOf<OneWay> free;
    free.couplings = {slip_negative};
    const auto held =
        ModeResolver<OneWay>(OneWay(1.0))
            .resolve(0.0, StateOf<OneWay>(slip), free, Fired{GuardKind::plant_switch, 0});
    ASSERT_TRUE(held.found);
    EXPECT_EQ(held.modes.couplings[0], slip > 0.0 ? stuck : slip_negative);
    const auto let_go =
        ModeResolver<OneWay>(OneWay(-1.0))
            .resolve(0.0, StateOf<OneWay>(slip), free, Fired{GuardKind::plant_switch, 0});
    ASSERT_TRUE(let_go.found);
    EXPECT_EQ(let_go.modes.couplings[0], slip_negative);
  }
}

}  // namespace
}  // namespace layshaft
