#include "layshaft/network/freeze.hpp"

#include <gtest/gtest.h>

#include <random>

namespace layshaft {
namespace {

constexpr int kNodes = 4;
constexpr int kRows = 4;
using Chain = Network<kNodes, kRows>;
using Speeds = Vector<double, kNodes>;
using Modes = std::array<CouplingMode, kRows>;

// A few roundings of a solve of three rows.
constexpr double kRoundOff = 1e-12;

// Four bodies in a row; the last coupling joins the same bodies as the first one.
Chain chain() {
  Chain network;
  network.inertia << 0.5, 1.0, 2.0, 0.25;
  network.slip << 1, -1, 0, 0, 0, 1, -1, 0, 0, 0, 1, -1, 1, -1, 0, 0;
  network.forward = network.backward = network.slip;
  return network;
}

// The first coupling passes on .9 of what it takes, either way.
Chain lossy_chain() {
  Chain network = chain();
  network.forward(0, 0) = 1.0 / 0.9;
  network.backward(0, 0) = 0.9;
  return network;
}

Modes some_stuck(unsigned pattern) {
  Modes modes{};
  for (unsigned i = 0; i < kRows; ++i) {
    modes[i] = ((pattern >> i) & 1U) != 0U ? CouplingMode::stuck : CouplingMode::open;
  }
  return modes;
}

Speeds random_speeds(std::mt19937_64& random) {
  std::uniform_real_distribution<double> between(-10.0, 10.0);
  return {between(random), between(random), between(random), between(random)};
}

double momentum(const Chain& network, const Speeds& speeds) { return network.inertia.dot(speeds); }

double energy(const Chain& network, const Speeds& speeds) {
  return 0.5 * network.inertia.dot(speeds.cwiseProduct(speeds));
}

TEST(Freeze, LockUpKeepsMomentumAndNeverMakesEnergy) {
  const Chain network = chain();
  std::mt19937_64 random(5);
  for (unsigned pattern = 0; pattern < 16; ++pattern) {
    const Modes modes = some_stuck(pattern);
    const Speeds before = random_speeds(random);
    const Speeds after = without_stuck_slip(network, modes, before);
    EXPECT_NEAR(momentum(network, after), momentum(network, before), 40.0 * kRoundOff);
    EXPECT_LE(energy(network, after), energy(network, before) * (1.0 + kRoundOff));
    for (int i = 0; i < kRows; ++i) {
      if (is_stuck(modes[static_cast<std::size_t>(i)])) {
        EXPECT_NEAR(network.slip.row(i).dot(after), 0.0, 20.0 * kRoundOff);
      }
    }
  }
}

TEST(Freeze, BodyThatNoLockedCouplingTouchesKeepsItsSpeed) {
  const Speeds after = without_stuck_slip(chain(), some_stuck(1U), Speeds(1.0, 2.0, 3.0, 4.0));
  EXPECT_EQ(after(2), 3.0);
  EXPECT_EQ(after(3), 4.0);
  // .5 kg m^2 at 1 and 1 kg m^2 at 2 rad/s: 2.5/1.5 rad/s together.
  EXPECT_NEAR(after(0), 2.5 / 1.5, kRoundOff);
}

TEST(Freeze, StuckCouplingsMoveAsOneBody) {
  // All but the last body stuck: a torque of 7 on the first turns .5 + 1 + 2 = 3.5 kg m^2.
  const auto frozen = freeze(chain(), some_stuck(3U));
  const Speeds rates = frozen.accelerate * Speeds(7.0, 0.0, 0.0, 0.0);
  for (int i = 0; i < 3; ++i) EXPECT_NEAR(rates(i), 2.0, kRoundOff);
  EXPECT_NEAR(rates(3), 0.0, kRoundOff);
  const Vector<double, kRows> torques = frozen.hold * Speeds(7.0, 0.0, 0.0, 0.0);
  EXPECT_NEAR(torques(0), 6.0, kRoundOff);  // What the second and third body need.
  EXPECT_NEAR(torques(1), 4.0, kRoundOff);
  EXPECT_NEAR(torques(2), 0.0, kRoundOff);
}

TEST(Freeze, TwoCouplingsOfTheSameBodiesShareTheTorqueEvenly) {
  const auto frozen = freeze(chain(), some_stuck(8U + 3U));
  const Vector<double, kRows> torques = frozen.hold * Speeds(7.0, 0.0, 0.0, 0.0);
  EXPECT_NEAR(torques(0), 3.0, kRoundOff);
  EXPECT_NEAR(torques(3), 3.0, kRoundOff);
}

TEST(Freeze, LossIsPaidByTheSideThatDrives) {
  // Forward: body 2 gets T, body 1 pays T/.9. One speed w' = (7 - T/.9)/.5 = T/1.
  Modes modes{};
  modes[0] = CouplingMode::stuck;
  const Speeds push(7.0, 0.0, 0.0, 0.0);
  const auto forward = freeze(lossy_chain(), modes);
  const double torque = 14.0 / (1.0 + 1.0 / (0.9 * 0.5));
  EXPECT_NEAR((forward.hold * push)(0), torque, kRoundOff);
  EXPECT_NEAR((forward.accelerate * push)(1), torque, kRoundOff);
  EXPECT_NEAR((forward.accelerate * push)(0), torque, kRoundOff);
  // Backward: body 2 pays T, body 1 gets .9 T. (7 - T)/1 = .9 T/.5.
  modes[0] = CouplingMode::stuck_back;
  const Speeds other(0.0, 7.0, 0.0, 0.0);
  const auto backward = freeze(lossy_chain(), modes);
  const double back = -7.0 / (1.0 + 0.9 / 0.5);
  EXPECT_NEAR((backward.hold * other)(0), back, kRoundOff);
  EXPECT_NEAR((backward.accelerate * other)(0), -0.9 * back / 0.5, kRoundOff);
}

TEST(Freeze, SlidingCouplingPushesWithTheLimitOfItsSide) {
  Modes modes{};
  modes[0] = CouplingMode::slip_positive;
  modes[1] = CouplingMode::slip_negative;
  const auto frozen = freeze(lossy_chain(), modes);
  EXPECT_EQ(frozen.high_weight(0), 1.0);
  EXPECT_EQ(frozen.low_weight(0), 0.0);
  EXPECT_EQ(frozen.low_weight(1), 1.0);
  EXPECT_EQ(frozen.push(0, 0), 1.0 / 0.9);
  EXPECT_EQ(frozen.push(1, 1), 1.0);
  EXPECT_EQ(frozen.push.row(2).norm(), 0.0);
  EXPECT_EQ(frozen.hold.norm(), 0.0);
}

}  // namespace
}  // namespace layshaft
