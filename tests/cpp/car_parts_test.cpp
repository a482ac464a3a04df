// The whole car as a list of parts gives the bits of its equations as `Drivetrain` writes them out.

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "car_parts/car_list.hpp"
#include "layshaft/car/drivetrain.hpp"
#include "layshaft/network/freeze.hpp"
#include "layshaft/network/part_plant.hpp"

namespace layshaft {
namespace {

using ListedCar = parts::PartPlant<CarList>;

parts::PassingShares<double> shares(const PassingShares<double>& of) {
  return {of.from_engine, of.from_road};
}

parts::Laws<CarList, double> laws_of(const Drivetrain& car) {
  using parts::End;
  const DrivetrainLaw<double>& law = car.law();
  const auto& inertia = car.network().inertia;
  const auto guard_scale = [](double squared) { return std::max(std::abs(squared), 1.0); };
  parts::Laws<CarList, double> laws;
  laws.of<parts::Engine>() = {law.engine, inertia(node::crank)};
  laws.of<parts::Clutch>() = {law.clutch, law.clutch_heat, law.air_temperature,
                              guard_scale(law.clutch.engagement_speed_squared),
                              inertia(node::bell)};
  laws.of<parts::FirstGear>() = {
      {law.first_ratio, law.first_efficiency, law.bell_to_first, shares(law.first_passing)},
      inertia(node::shaft)};
  auto& second = laws.of<parts::SecondGear>();
  second.gear = {law.second_ratio, law.second_efficiency, law.bell_to_second,
                 shares(law.second_passing)};
  second.shoes = law.shoes;
  for (std::size_t k = 0; k < parts::kShoes; ++k) {
    second.guard_scales[k] = guard_scale(law.shoes[k].contact_speed_squared);
  }
  second.heat = law.shoe_heat;
  second.air_temperature = law.air_temperature;
  laws.of<parts::Belt<End::rear>>() = {law.rear_ratio,    law.rear_efficiency,
                                       law.shaft_to_rear, shares(law.rear_passing),
                                       law.rear_jump,     law.rear_jump};
  laws.of<parts::Belt<End::front>>() = {law.front_ratio,    law.front_efficiency,
                                        law.shaft_to_front, shares(law.front_passing),
                                        law.front_jump,     law.front_back_jump};
  laws.of<parts::Brake>() = {law.brake_torque, law.brake_static_ratio, law.shaft_drag};
  laws.of<parts::Loading>() = {law.weight, law.downforce, law.front_share,
                               0.2 * kLeastPressed * law.weight, 0.02 * law.weight};
  laws.of<parts::LoadTransfer>() = {law.lever, law.mass, law.grade_force, law.load_transfer_rate};
  laws.of<parts::Axle<End::rear>>() = {law.rear_tyre, inertia(node::rear)};
  laws.of<parts::Axle<End::front>>() = {law.front_tyre, inertia(node::front)};
  laws.of<parts::Body>() = {law.mass, law.drag, law.grade_force};
  laws.of<parts::Rolling>() = {law.rear_tyre.rolling_resistance, law.front_tyre.rolling_resistance};
  laws.of<parts::Driver>() = {law.per_slip_target, law.anticipation, law.response_rate};
  laws.of<parts::FrictionHeat<parts::Pair::clutch>>() = law.clutch_heat;
  laws.of<parts::FrictionHeat<parts::Pair::shoes>>() = law.shoe_heat;
  laws.of<parts::ShoePower>() = {law.bell_to_second};
  return laws;
}

// Where the state of each place in the list stands in the hand-written order.
std::array<int, kDrivetrainStates> places() {
  std::array<int, kDrivetrainStates> found{};
  for (std::size_t i = 0; i < found.size(); ++i) {
    const std::string_view name = CarParts::kStateRows[i].name;
    found[i] = -1;
    for (std::size_t j = 0; j < kNodeNames.size(); ++j) {
      if (kNodeNames[j] == name) found[i] = static_cast<int>(j);
    }
    for (std::size_t j = 0; j < kAuxiliaryNames.size(); ++j) {
      if (kAuxiliaryNames[j] == name) found[i] = node::count + static_cast<int>(j);
    }
  }
  return found;
}

// A car somewhere in a run, with clutch, shoes, pedals and couplings in any position.
struct Trial {
  Drivetrain::State state;
  Drivetrain::Positions switches;
  ModesOf<Drivetrain> modes;
};

Trial draw(std::mt19937_64& source, int number) {
  std::uniform_real_distribution<double> any(-1.0, 1.0);
  const auto about = [&](double middle, double width) { return middle + width * any(source); };
  Trial trial;
  trial.state << about(3000, 1000), about(2500, 1000), about(900, 300), about(350, 100),
      about(350, 100), about(12, 5), about(0, 0.02), about(0, 0.02), about(0, 0.1), about(0, 0.1),
      about(0, 5), about(0.5, 0.5), about(50, 50), about(30, 30), about(150, 150), about(50, 50);
  // Now and then a crawl, either way.
  if (number % 5 == 0) trial.state.head<node::count>() *= about(0, 1e-3);
  const auto bit = [number](int shift) { return static_cast<std::int16_t>(number >> shift & 1); };
  trial.switches = {bit(0), bit(1), bit(2), static_cast<std::int16_t>(number % 3)};
  constexpr std::array kModes{CouplingMode::open, CouplingMode::stuck, CouplingMode::slip_positive,
                              CouplingMode::slip_negative};
  for (CouplingMode& mode : trial.modes.couplings) mode = kModes[source() % kModes.size()];
  // Forwards the one-way bearing has no limit to slide at.
  if (trial.modes.couplings[coupling::first] == CouplingMode::slip_positive) {
    trial.modes.couplings[coupling::first] = CouplingMode::stuck;
  }
  return trial;
}

constexpr double kTime = 0.4;

class ListOfTheCar : public ::testing::Test {
 protected:
  static Drivetrain made() {
    const std::array<std::array<double, 3>, 2> rows{{{0.0, 0.2, 0.1}, {1.0, 0.9, 0.3}}};
    return Drivetrain(demo_car(), {make_pedals(rows), 0.03});
  }
  ListedCar::Active active_of(const Trial& trial) const {
    ListedCar::Active active =
        listed.activate({trial.switches[0], trial.switches[1], trial.switches[2]});
    active.of<parts::PedalsAsked>() = car.activate(trial.switches).pedals;
    return active;
  }
  ListedCar::State sorted(const Drivetrain::State& state) const {
    ListedCar::State result;
    for (std::size_t i = 0; i < place.size(); ++i) result(static_cast<int>(i)) = state(place[i]);
    return result;
  }

  Drivetrain car = made();
  ListedCar listed{laws_of(car), "brake"};
  std::array<int, kDrivetrainStates> place = places();
  std::mt19937_64 source{3};
};

TEST_F(ListOfTheCar, HasItsNetworkAndStates) {
  EXPECT_EQ(listed.network().inertia, car.network().inertia);
  EXPECT_EQ(listed.network().slip, car.network().slip);
  EXPECT_EQ(listed.network().forward, car.network().forward);
  EXPECT_EQ(listed.network().backward, car.network().backward);
  EXPECT_EQ(listed.network().travel, car.network().travel);
  EXPECT_EQ(listed.state_scale(), sorted(car.state_scale()));
  EXPECT_EQ(listed.torque_scale(), car.torque_scale());
  EXPECT_EQ(listed.slip_scale(), car.slip_scale());
}

TEST_F(ListOfTheCar, GivesItsRatesAndLimitsToTheBit) {
  for (int k = 0; k < 1000; ++k) {
    const Trial trial = draw(source, k);
    const auto frozen = freeze(car.network(), trial.modes.couplings);
    const auto by_hand = car.activate(trial.switches);
    const auto active = active_of(trial);
    const ListedCar::State state = sorted(trial.state);
    const Drivetrain::State rates =
        rates_of<Drivetrain, Drivetrain::Active, double>(car, by_hand, frozen, kTime, trial.state);
    EXPECT_EQ(
        (rates_of<ListedCar, ListedCar::Active, double>(listed, active, frozen, kTime, state)),
        sorted(rates));
    const auto expected =
        car.hold_limits(by_hand, car.loads(by_hand, kTime, trial.state), kTime, trial.state);
    const auto hold = listed.hold_limits(active, listed.loads(active, kTime, state), kTime, state);
    EXPECT_EQ(hold.low, expected.low);
    EXPECT_EQ(hold.high, expected.high);
  }
}

TEST_F(ListOfTheCar, GivesItsJacobianToRoundOff) {
  for (int k = 0; k < 1000; ++k) {
    const Trial trial = draw(source, k);
    const auto frozen = freeze(car.network(), trial.modes.couplings);
    Drivetrain::Jacobian expected;
    Drivetrain::State expected_slope;
    car.linearise(car.activate(trial.switches), frozen, kTime, trial.state, expected,
                  expected_slope);
    ListedCar::Jacobian jacobian;
    ListedCar::State slope;
    listed.linearise(active_of(trial), frozen, kTime, sorted(trial.state), jacobian, slope);
    for (int i = 0; i < kDrivetrainStates; ++i) {
      const int row = place[static_cast<std::size_t>(i)];
      const double largest = expected.row(row).cwiseAbs().maxCoeff();
      for (int j = 0; j < kDrivetrainStates; ++j) {
        // Sums in another order.
        EXPECT_NEAR(jacobian(i, j), expected(row, place[static_cast<std::size_t>(j)]),
                    1e-14 * largest)
            << i << ", " << j;
      }
      EXPECT_NEAR(slope(i), expected_slope(row), 1e-14 * std::abs(expected_slope(row)));
    }
  }
}

}  // namespace
}  // namespace layshaft
