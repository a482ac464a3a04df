#include "layshaft/car/track_car.hpp"

#include <gtest/gtest.h>

#include <Eigen/Eigenvalues>
#include <cmath>

#include "invented_track.hpp"
#include "layshaft/network/integrate.hpp"
#include "layshaft/run/launch.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using testing::plain_car;
using testing::tight_track;
using testing::TrackBuilder;
using testing::with_fields;
using Integrate = Integrator<TrackCar, Rosenbrock>;

// Drives from `speed` for some time and calls `look(segment, time, state)` every 20 ms.
template <class Look>
Integration<TrackCar> look_along(const TrackCar& plant, double speed, double time, Look look) {
  const StateOf<TrackCar> start = plant.rolling_state(speed);
  ModesOf<TrackCar> modes;
  modes.switches = plant.rolling_switches(start);
  Integrate integrator(plant, {1e-7, 1e-4, 200'000});
  double next = 0.0;
  const auto recorder = [&](const Integrate::SegmentView& segment) {
    for (; next <= segment.end; next += 0.02) look(segment, next, segment.state(next));
    return std::numeric_limits<double>::infinity();
  };
  return integrator.run(0.0, start, modes, time, recorder);
}

// Central differences with steps of 1e-6 of each state's scale: truncation and round-off meet near
// 1e-7; in the distance of 1e-7, as the aim leaps up within a quarter of a metre at the end of a
// corner. Its third derivative jumps where its grid has a knot: there it is not looked at.
constexpr double kDifferenceError = 5e-6;

void expect_jacobian_of_differences(const Integrate::SegmentView& segment, double time,
                                    const StateOf<TrackCar>& state) {
  if (time > 0.1 && std::abs(state(node::rear)) < 0.1) return;
  const TrackCar& plant = segment.plant;
  const double length = plant.track().length();
  const double cell = length / std::ceil(length / kSpeedGrid);
  constexpr double kAcross = 2e-6;  // Twice the step in the distance [m].
  if (std::abs(std::remainder(double(state(track_state::distance)), cell)) < kAcross) return;
  TrackCar::Jacobian jacobian;
  StateOf<TrackCar> time_slope;
  plant.linearise(segment.active, segment.frozen, time, state, jacobian, time_slope);
  EXPECT_EQ(time_slope, StateOf<TrackCar>::Zero().eval());
  const auto rates = [&](const StateOf<TrackCar>& y) {
    return rates_of(plant, segment.active, segment.frozen, time, y);
  };
  const StateOf<TrackCar> scale = plant.state_scale();
  const auto pattern = TrackCar::jacobian_pattern();
  for (int j = 0; j < scale.size(); ++j) {
    const double step = (j == track_state::distance ? 1e-7 : 1e-6) * scale(j);
    StateOf<TrackCar> above = state;
    StateOf<TrackCar> below = state;
    above(j) += step;
    below(j) -= step;
    const StateOf<TrackCar> slopes = (rates(above) - rates(below)) / (2.0 * step);
    for (int i = 0; i < scale.size(); ++i) {
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
}

TEST(TrackJacobian, IsTheSlopeOfTheRatesAllAlongALap) {
  const TrackCar plant(trial_car(), tight_track(), {}, {});
  EXPECT_EQ(look_along(plant, 15.0, 14.0, expect_jacobian_of_differences).ending.status,
            Status::finished);
}

TEST(TrackJacobian, HoldsWithAOneWayFrontAxleGradeAndLessGrip) {
  const Track track = TrackBuilder()
                          .straight(20.0, 0.8, 0.05)
                          .corner(5.0, 120.0, 0.7)
                          .straight(15.0, 1.0, -0.05)
                          .build();
  const TrackCar plant(with_field(trial_car(), "front_axle", 1.0), track, {}, {});
  EXPECT_EQ(look_along(plant, 10.0, 4.0, expect_jacobian_of_differences).ending.status,
            Status::finished);
}

TEST(TrackDriver, PedalsCarAndTyresDoNotSwing) {
  // Every swinging mode under the aiming foot decays by more than half in a period: Re < -0.11 Im.
  // At a place held: how far cars that aim at the same curve drift apart along it is the curve's.
  const TrackCar plant(trial_car(), tight_track(), {}, {});
  look_along(
      plant, 15.0, 14.0,
      [](const Integrate::SegmentView& segment, double time, const StateOf<TrackCar>& state) {
        if (!segment.active.parts.of<parts::Foot>().aims) return;
        TrackCar::Jacobian jacobian;
        StateOf<TrackCar> slope;
        segment.plant.linearise(segment.active, segment.frozen, time, state, jacobian, slope);
        jacobian.col(track_state::distance).setZero();
        for (const std::complex<double> mode : jacobian.eigenvalues()) {
          if (std::abs(mode.imag()) > 1.0) {
            EXPECT_LT(mode.real(), -0.11 * std::abs(mode.imag())) << "time " << time;
          }
        }
      });
}

// The throttle asked for by an aiming foot, and the share of it by the wish at which its guard
// falls, in a car that moves so.
void expect_no_jump(double speed, double acceleration) {
  const TrackCar plant(trial_car(), testing::tight_track(), {});
  StateOf<TrackCar> state = plant.rolling_state(speed);
  TrackCar::Positions switches = plant.rolling_switches(state);
  switches[track_switch::foot] = foot::aiming;
  const TrackCar::Active active = plant.activate(switches);
  const double wish = kFullWish - plant.switch_guard(track_switch::foot, switches, 0.0, state);
  const auto& law = active.laws->of<parts::Foot>();
  const auto asked = parts::Foot::run<double>(
      law, active.parts.of<parts::Foot>(),
      {0.0, speed, acceleration,
       holding_wish(law, state(car_state::throttle), state(track_state::pedal),
                    state(car_state::rear_slip)),
       1.0});
  EXPECT_DOUBLE_EQ(asked[0], law.full_throttle * throttle_asked(wish));
}

TEST(TrackDriver, ThrottleAskedForDoesNotJumpWhereTheFootGoesDown) {
  EXPECT_NEAR(throttle_asked(kFullWish), 1.0, 1e-15);
  const TrackCar plant(trial_car(), testing::tight_track(), {});
  const StateOf<TrackCar> state = plant.rolling_state(5.0);
  const TrackCar::Active active = plant.activate(plant.rolling_switches(state));
  const auto loads = plant.loads(active, 0.0, state);
  const double mass = active.laws->of<parts::Foot>().mass;
  expect_no_jump(5.0, (loads.applied(node::car) - loads.high(coupling::rolling)) / mass);
  // Held by its rolling drag, which would slow it down if it rolled.
  expect_no_jump(0.0, 0.0);
}

TEST(TrackDriver, CarThatStandsPullsAwayWhereTheAimFalls) {
  const TrackCar plant(trial_car(), testing::tight_track(), {});
  // A slow hand that wants to be early, at half a g.
  const FootLaw<double> foot{.per_acceleration = 1.0 / 5.0,
                             .correction_rate = 1.0 / 0.5,
                             .lag = 0.5,
                             .full_throttle = 1.0,
                             .pedal_at_grip = 0.5,
                             .per_throttle = 1.0,
                             .per_pedal = 2.0,
                             .per_slip_target = 5.0,
                             .mass = 2.5};
  int falling = 0;
  for (double distance = 1.0; distance < plant.track().length(); distance += 1.0) {
    const SpeedCurve::Point aim = plant.speed_curve().at(distance);
    const Motion<double> standing{
        .distance = distance, .speed = 0.0, .acceleration = 0.0, .held = 0.0, .left = 1.0};
    // All the speed that is missing, within the correction time.
    EXPECT_NEAR(foot_wish(foot, plant.speed_curve(), standing), std::sqrt(aim.square) / 0.5 / 5.0,
                1e-12)
        << distance;
    falling += aim.slope < -5.0 ? 1 : 0;
  }
  EXPECT_GT(falling, 10);
}

TEST(TrackDriver, HoldsTheBrakeAgainstASteadySlip) {
  // The slip at which half is left of what is asked asks for twice as much brake.
  const FootLaw<double> foot{.per_acceleration = 0.2,
                             .correction_rate = 2.0,
                             .lag = 0.1,
                             .full_throttle = 1.0,
                             .pedal_at_grip = 0.5,
                             .per_throttle = 1.0,
                             .per_pedal = 2.0,
                             .per_slip_target = 5.0,
                             .mass = 2.5};
  EXPECT_DOUBLE_EQ(holding_wish(foot, 0.0, 0.2, 0.0), -0.4);
  EXPECT_DOUBLE_EQ(holding_wish(foot, 0.0, 0.2, -0.2), -0.8);
  EXPECT_DOUBLE_EQ(holding_wish(foot, 0.3, 0.0, 0.2), 0.3);
  const parts::FingerLaw<double> finger{
      .per_slip_target = 5.0, .anticipation = 0.015, .response_rate = 10.0};
  EXPECT_DOUBLE_EQ(0.8 * parts::eased_opening(finger, 0.2, 0.0), 0.4);
}

TEST(TrackDriver, EasesOnlyWhatMakesTheTyresSlip) {
  const parts::FingerLaw<double> finger{
      .per_slip_target = 5.0, .anticipation = 0.015, .response_rate = 10.0};
  // Slipping the other way, or about to.
  EXPECT_EQ(parts::eased_opening(finger, -0.2, 0.0), 1.0);
  EXPECT_EQ(parts::eased_opening(finger, 0.1, -20.0), 1.0);
  // The slope is continuous where that ends: none.
  const auto left = [&](double slip) {
    return parts::eased_opening(finger, Dual<double, 1>(slip, {1.0}), Dual<double, 1>(0.0));
  };
  EXPECT_EQ(left(-1e-9).slopes[0], 0.0);
  EXPECT_NEAR(left(1e-9).slopes[0], 0.0, 1e-7);
  EXPECT_DOUBLE_EQ(left(0.2).slopes[0], -2.0 * 5.0 / 4.0);
}

TEST(TrackCar, OnAStraightIsTheCarOfALaunch) {
  // Both with the throttle fully open from the start on and no corner in sight.
  const Car car = trial_car();
  constexpr double kTime = 2.0;
  const Track track({{500.0, {}, 1.0, 0.0}});
  const TrackCar plant(car, track, {}, {});
  const auto lap = look_along(plant, 5.0, kTime, [](auto&&...) {});
  LaunchOptions options;
  options.start_speed = 5.0;
  options.longest_time = kTime;
  options.distance = 1000.0;
  options.integration.tolerance = 1e-7;
  options.pedals = make_pedals(std::array<std::array<double, 3>, 1>{{{0.0, 1.0, 0.0}}});
  const LaunchResult run = launch(car, options);
  for (int i = 0; i < car_state::count; ++i) {
    // Both are within some tens of tolerances of the truth.
    EXPECT_NEAR(lap.state(i), run.state(i),
                1e-5 * (plant.state_scale()(i) + std::abs(run.state(i))));
  }
  EXPECT_NEAR(lap.state(track_state::distance), run.accounts[account::distance], 1e-5);
}

TEST(TrackCar, CoastsInACornerByTheDragOfItsTyres) {
  // Nothing but the drag of cornering: M v dv/ds = -B v^4 with B = m^2/(R^2 W c), so that
  // 1/v^2 = 1/v0^2 + 2 B s/M. M holds all that turns with the wheels.
  constexpr double kRadius = 8.0;
  constexpr double kSpeed = 9.0;
  constexpr double kStiffness = 40.0;
  const Car car = with_fields(plain_car(2.5), {{"driver.throttle", 0.0},
                                               {"clutch.axial.nut_turns", 6.0},
                                               {"rear_tyre.cornering_stiffness", kStiffness},
                                               {"front_tyre.cornering_stiffness", kStiffness}});
  const TrackCar plant(car, testing::ring(kRadius), {.corner_share = 1.0}, {});
  const auto run = look_along(plant, kSpeed, 14.0, [](auto&&...) {});
  ASSERT_EQ(run.ending.status, Status::finished);
  const CarLaw& law = plant.law(0);
  const auto& inertia = plant.network().inertia;
  const double shaft = law.rear_ratio / law.rear_tyre.radius;  // Shaft speed over car speed.
  const double mass =
      law.mass + inertia(node::rear) / square(law.rear_tyre.radius) +
      inertia(node::front) / square(law.front_tyre.radius) +
      square(shaft) * (inertia(node::shaft) + square(law.first_ratio) * inertia(node::bell));
  const double drag = square(law.mass / kRadius) / (law.loading.weight * kStiffness);
  const double distance = run.state(track_state::distance);
  const double expected = 1.0 / std::sqrt(1.0 / square(kSpeed) + 2.0 * drag * distance / mass);
  EXPECT_LT(expected, 0.8 * kSpeed);
  // The wheels lag the car by their slip: inertia force over load over stiffness, 1e-3 of a share.
  EXPECT_NEAR(run.state(node::car), expected, 2e-3 * expected);
  EXPECT_NEAR(run.accounts[track_account::cornering_loss],
              0.5 * mass * (square(kSpeed) - square(run.state(node::car))), 0.01);
}

TEST(TrackCar, GainsByThrustLessWeightAlongTheRoadOverAllThatMovesWithFootDown) {
  // dv/dt = (F - m g sin(slope))/M with F = T i1 i_r/r: no loss, no drag, clutch and first gear
  // hold. A tenth uphill is 2.5 N of 2.55 kg.
  const Car car = with_fields(plain_car(3.0), {{"engine.power_scale", 0.5}});
  for (const double grade : {0.0, 0.1, -0.1}) {
    const TrackCar plant(car, Track({{300.0, {}, 1.0, grade}}), {}, {});
    const double uphill = car.body.mass * kStandardGravity * grade / std::hypot(1.0, grade);
    int seen = 0;
    look_along(
        plant, 12.0, 0.5,
        [&](const Integrate::SegmentView& segment, double time, const StateOf<TrackCar>& state) {
          if (time < 0.2 || !is_stuck(segment.modes.couplings[coupling::clutch])) return;
          ++seen;
          const testing::MovingMass moving = testing::moving_mass(plant);
          const double force = moving.crank * engine_torque(plant.law(0).engine, state(node::crank),
                                                            state(car_state::throttle));
          // Slip of a hundredth at most: mu over stiffness.
          EXPECT_NEAR(segment.rates(time, state)(node::car), (force - uphill) / moving.mass,
                      0.01 * force / moving.mass)
              << "grade " << grade;
        });
    EXPECT_GT(seen, 5);
  }
}

TEST(Corner, HoldsTheCarBackWhicheverWayItRolls) {
  const auto law = parts::Corner::law_of(trial_car(), make_car_law(trial_car(), 0.0));
  const auto drag = [&](double speed, double curvature, double transfer = 0.0) {
    const TurnCurve turn(testing::ring(5.0), Drivetrain(trial_car()).law());
    const parts::Corner::Active<double> piece{0.0, {curvature, 0.0, 0.0, 0.0}, &turn};
    return parts::Corner::run<double>(law, piece, {14.0, 11.0, speed, 0.0, transfer})[2];
  };
  for (const double curvature : {0.2, -0.2}) {
    // 12.75 N sideways, of which the axles carry .44 and .56 as they do of 25 N: q = .51 at both,
    // over a stiffness of 12; at 5 m/s the tyres roll by all but a part in twenty thousand.
    EXPECT_NEAR(drag(5.0, curvature),
                0.51 * 0.51 * 25.0 / 12.0 * 5.0 / std::hypot(5.0, kRollsAlong), 1e-12);
    EXPECT_EQ(drag(-5.0, curvature), -drag(5.0, curvature));
  }
  EXPECT_EQ(drag(0.0, 0.2), 0.0);
  // Nor where the load is still on its way from the braking that stopped it.
  EXPECT_EQ(drag(0.0, 0.2, -4.0), 0.0);
}

TEST(TrackCar, BrakesByTheDriversShareOfTheGripBeforeACorner) {
  const Track track = TrackBuilder().straight(40.0).corner(4.0, 180.0).build();
  const TrackDriver driver{.brake_share = 0.8, .release_time = 0.0};
  const TrackCar plant(plain_car(1.5), track, driver, {});
  const double aim = std::sqrt(plant.speed_curve().at(10.0).square);
  int seen = 0;
  // By 24 m throttle and gears have settled.
  look_along(
      plant, aim, 1.7,
      [&](const Integrate::SegmentView& segment, double time, const StateOf<TrackCar>& state) {
        if (state(track_state::distance) < 24.0 || state(track_state::distance) > 36.0) return;
        ++seen;
        EXPECT_TRUE(segment.active.parts.of<parts::Foot>().aims);
        // The pedals follow a line with a constant slope: what is left is their lag times
        // the growth of the share.
        EXPECT_NEAR(segment.rates(time, state)(node::car), -0.8 * 1.5 * kStandardGravity,
                    0.01 * 1.5 * kStandardGravity);
      });
  EXPECT_GT(seen, 10);
}

}  // namespace
}  // namespace layshaft
