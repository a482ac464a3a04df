#include "layshaft/network/described.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace layshaft {
namespace {

constexpr IntegrationOptions kTight{1e-12, 1e-4, 200'000};
// Straight lines are exact for the stepper: round-off of some hundred steps.
constexpr double kRoundOff = 1e-11;

DescribedNetwork two_bodies() {
  DescribedNetwork network;
  network.bodies = {{.inertia = 0.02, .speed = 100.0}, {.inertia = 0.03}};
  network.couplings = {{.slip = {1.0, -1.0}, .pressure = {.constant = 2.0}}};
  return network;
}

template <class Change>
std::string refusal(Change change) {
  DescribedNetwork network = two_bodies();
  change(network);
  try {
    validate(network);
  } catch (const std::invalid_argument& error) {
    return error.what();
  }
  return "accepted";
}

TEST(DescribedNetworkLocks, AtTheSpeedThatMomentumGives) {
  // t = I1 I2 dw/[T (I1 + I2)] = .6 s at 40 rad/s; heat I1 I2 dw^2/[2 (I1 + I2)] = 60 J.
  const std::array times{0.0, 1.0};
  const DescribedRun run = run_described(two_bodies(), times, kTight);
  ASSERT_EQ(run.ending.status, Status::finished);
  ASSERT_EQ(run.states.size(), 2U);
  EXPECT_EQ(run.states[0](0), 100.0);
  EXPECT_NEAR(run.states[1](0), 40.0, 40.0 * kRoundOff);
  EXPECT_NEAR(run.states[1](1), 40.0, 40.0 * kRoundOff);
  EXPECT_NEAR(run.losses[1][0], 60.0, 60.0 * kRoundOff);
  ASSERT_EQ(run.changes.size(), 1U);
  EXPECT_NEAR(run.changes[0].time, 0.6, kRoundOff);
}

TEST(DescribedNetworkOneWay, CarriesNothingBackwards) {
  DescribedNetwork network = two_bodies();
  network.couplings[0].one_way = true;
  network.bodies[0].speed = 0.0;
  network.bodies[1].speed = 50.0;
  const std::array times{1.0};
  const DescribedRun run = run_described(network, times, kTight);
  EXPECT_EQ(run.states[0](0), 0.0);
  EXPECT_EQ(run.states[0](1), 50.0);
  EXPECT_TRUE(run.changes.empty());
}

TEST(DescribedNetworkOpen, StaysOpenUntilItsClosingTime) {
  DescribedNetwork network = two_bodies();
  network.couplings[0].closed_from = 0.5;
  const std::array times{0.4, 2.0};
  const DescribedRun run = run_described(network, times, kTight);
  EXPECT_EQ(run.states[0](1), 0.0);
  ASSERT_EQ(run.changes.size(), 2U);
  EXPECT_EQ(run.changes[0].time, 0.5);
  EXPECT_NEAR(run.changes[1].time, 1.1, kRoundOff);
}

TEST(DescribedNetworkIsRefused, WithTheFieldItsValueAndTheBound) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(refusal([](DescribedNetwork&) {}), "accepted");
  const auto inertia = [](double value) {
    return refusal([value](DescribedNetwork& network) { network.bodies[1].inertia = value; });
  };
  EXPECT_NE(inertia(0.0).find("inertia"), std::string::npos);
  EXPECT_NE(inertia(nan).find("inertia"), std::string::npos);
  const auto efficiency = [](double value) {
    return refusal([value](DescribedNetwork& network) { network.couplings[0].efficiency = value; });
  };
  EXPECT_EQ(efficiency(1.0), "accepted");
  EXPECT_NE(efficiency(1.01).find("efficiency"), std::string::npos);
  EXPECT_NE(efficiency(0.0).find("efficiency"), std::string::npos);
  EXPECT_NE(
      refusal([](DescribedNetwork& network) { network.couplings[0].slip[2] = 1.0; }).find("slip"),
      std::string::npos);
  EXPECT_NE(refusal([](DescribedNetwork& network) { network.bodies.resize(9); }).find("bodies"),
            std::string::npos);
}

TEST(DescribedRunIsRefused, WithoutTimesOrWithTimesThatGoBack) {
  const std::array backwards{1.0, 0.5};
  EXPECT_THROW((void)run_described(two_bodies(), backwards, kTight), std::invalid_argument);
  EXPECT_THROW((void)run_described(two_bodies(), {}, kTight), std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
