#include <gtest/gtest.h>

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include "layshaft/car/fields.hpp"
#include "layshaft/network/integrate.hpp"
#include "layshaft/run/launch.hpp"
#include "layshaft/run/launch_recorder.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using Integrate = Integrator<Drivetrain, Rosenbrock>;

// Runs the car and calls `look(segment, time, state)` every 20 ms.
template <class Look>
void look_along_a_run(const Car& car, const Pedals& pedals, double start_speed, Look look) {
  const Drivetrain plant(car, {pedals, 0.0});
  const StateOf<Drivetrain> start = plant.rolling_state(start_speed);
  ModesOf<Drivetrain> modes;
  modes.switches = plant.rolling_switches(start);
  Integrate integrator(plant, {1e-6, 1e-4, 200'000});
  double next = 0.0;
  const auto recorder = [&](const Integrate::SegmentView& segment) {
    for (; next <= segment.end; next += 0.02) look(segment, next, segment.state(next));
    return std::numeric_limits<double>::infinity();
  };
  const auto run = integrator.run(0.0, start, modes, 3.0, recorder);
  ASSERT_EQ(run.ending.status, Status::finished);
}

// Central differences with steps of 1e-6 of each state's scale: truncation and round-off meet near
// 1e-7.
constexpr double kDifferenceError = 2e-6;

// The tyres' slip bends over their own speeds, however small: steps of 1e-5 of them at most.
double step_of(const Drivetrain& plant, const StateOf<Drivetrain>& state, int which) {
  const double scale = plant.state_scale()(which);
  if (which != node::rear && which != node::front && which != node::car) return 1e-6 * scale;
  return std::clamp(1e-5 * std::abs(state(which)), 1e-9 * scale, 1e-6 * scale);
}

void expect_slopes(const Drivetrain& plant, const Drivetrain::Active& active,
                   const FrozenOf<Drivetrain>& frozen, double time,
                   const StateOf<Drivetrain>& state) {
  Drivetrain::Jacobian jacobian;
  StateOf<Drivetrain> time_slope;
  plant.linearise(active, frozen, time, state, jacobian, time_slope);
  const auto rates = [&](double at, const StateOf<Drivetrain>& y) {
    return rates_of(plant, active, frozen, at, y);
  };
  const StateOf<Drivetrain> scale = plant.state_scale();
  const auto pattern = Drivetrain::jacobian_pattern();
  for (int j = 0; j < scale.size(); ++j) {
    const double step = step_of(plant, state, j);
    StateOf<Drivetrain> above = state;
    StateOf<Drivetrain> below = state;
    above(j) += step;
    below(j) -= step;
    const StateOf<Drivetrain> slopes = (rates(time, above) - rates(time, below)) / (2.0 * step);
    for (int i = 0; i < scale.size(); ++i) {
      // In units of the states' scales; a stiff entry is large, so the error is relative to the
      // column.
      const double unit = scale(i) / scale(j);
      const double size =
          unit * (1.0 + slopes.cwiseQuotient(scale).cwiseAbs().maxCoeff() * scale(j));
      EXPECT_NEAR(jacobian(i, j), slopes(i), kDifferenceError * size)
          << "row " << i << ", column " << j << ", time " << time;
      const bool filled = pattern.filled[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
      if (!filled) {
        EXPECT_EQ(jacobian(i, j), 0.0) << "row " << i << ", column " << j;
      }
    }
  }
  const double step = 1e-6;
  const StateOf<Drivetrain> in_time =
      (rates(time + step, state) - rates(time - step, state)) / (2.0 * step);
  for (int i = 0; i < scale.size(); ++i) {
    EXPECT_NEAR(time_slope(i), in_time(i), 1e-6 * scale(i) * (1.0 + in_time.cwiseAbs().maxCoeff()));
  }
}

void expect_jacobian_of_differences(const Integrate::SegmentView& segment, double time,
                                    const StateOf<Drivetrain>& state) {
  // The transport speed |tread| has a kink at standstill, where no difference can be taken.
  if (time > 0.1 && std::abs(state(node::rear)) < 0.1) return;
  expect_slopes(segment.plant, segment.active, segment.frozen, time, state);
}

TEST(DrivetrainJacobian, IsTheSlopeOfTheRatesAtRandomStatesAlsoCrawlingEitherWayAndLifted) {
  constexpr std::array<std::array<double, 3>, 1> kPressed{{{0.0, 0.7, 0.2}}};
  const Car high = with_field(trial_car(), "body.centre_height", 0.2);
  const Drivetrain plant(high, {make_pedals(kPressed), 0.05});
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> share(-1.0, 1.0);
  const StateOf<Drivetrain> scale = plant.state_scale();
  for (int trial = 0; trial < 400; ++trial) {
    StateOf<Drivetrain> state;
    for (int i = 0; i < scale.size(); ++i) state(i) = scale(i) * share(random);
    // A quarter of them crawl, each body in its own way; loads from lifted in front to lifted
    // behind.
    const double pace = trial % 4 == 0 ? 0.02 : 20.0;
    state(node::car) = pace * share(random);
    state(node::rear) = pace * share(random) / plant.law().rear_tyre.radius;
    state(node::front) = pace * share(random) / plant.law().front_tyre.radius;
    state(car_state::load_transfer) = 30.0 * share(random);
    state(car_state::throttle) = 0.5 + 0.5 * share(random);
    ModesOf<Drivetrain> modes;
    for (CouplingMode& mode : modes.couplings) {
      mode = share(random) > 0.0 ? CouplingMode::slip_positive : CouplingMode::slip_negative;
    }
    modes.couplings[coupling::rear_belt] = CouplingMode::stuck;
    modes.couplings[coupling::front_belt] =
        trial % 2 == 0 ? CouplingMode::stuck : CouplingMode::slip_positive;
    modes.couplings[coupling::first] = CouplingMode::open;
    modes.switches = {1, 1, 1, 0};
    expect_slopes(plant, plant.activate(modes.switches), freeze(plant.network(), modes.couplings),
                  0.0, state);
  }
}

TEST(DrivetrainJacobian, IsTheSlopeOfTheRatesAllAlongALaunch) {
  const Car car = trial_car();
  look_along_a_run(car, driver_pedals(car.driver), 0.0, expect_jacobian_of_differences);
}

TEST(DrivetrainJacobian, IsTheSlopeOfTheRatesUnderTheBrake) {
  const Car car = with_field(with_field(trial_car(), "body.drag_area", 0.03), "front_axle", 1.0);
  Pedals pedals{};
  pedals.count = 3;
  pedals.time = {0.1, 0.4, 0.5};
  pedals.throttle = {0.6, 0.0, 0.0};
  pedals.brake = {0.0, 0.0, 0.15};
  look_along_a_run(car, pedals, 22.0, expect_jacobian_of_differences);
}

TEST(DrivetrainJacobian, HoldsWithHotPartsWhereFrictionFades) {
  const Car car =
      with_field(with_field(trial_car(), "two_speed_heat.fade_start_temperature", 285.0),
                 "clutch.heat.fade_start_temperature", 285.0);
  look_along_a_run(car, driver_pedals(car.driver), 0.0, expect_jacobian_of_differences);
}

TEST(Driver, FingerClutchAndTyreDoNotSwing) {
  // Every swinging mode from 5 km/h on decays by more than half in a period: Re < -0.11 Im. Before
  // that the tyre at standstill is a spring, whatever the driver does.
  const Car car = trial_car();
  look_along_a_run(
      car, driver_pedals(car.driver), 0.0,
      [](const Integrate::SegmentView& segment, double time, const StateOf<Drivetrain>& state) {
        if (state(node::car) < 5.0 / 3.6) return;
        Drivetrain::Jacobian jacobian;
        StateOf<Drivetrain> slope;
        segment.plant.linearise(segment.active, segment.frozen, time, state, jacobian, slope);
        for (const std::complex<double> mode : jacobian.eigenvalues()) {
          if (std::abs(mode.imag()) > 1.0) {
            EXPECT_LT(mode.real(), -0.11 * std::abs(mode.imag())) << "time " << time;
          }
        }
      });
}

}  // namespace
}  // namespace layshaft
