// An axle off the ground: who carries, what the car does, and how a run says so.

#include "layshaft/car/pitch.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/car/warnings.hpp"
#include "layshaft/laws/load_transfer.hpp"
#include "layshaft/run/launch.hpp"
#include "layshaft/run/simulation.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

// A few roundings of loads of some ten newtons [N].
constexpr double kRoundOff = 1e-13;

TEST(SharedLoads, AddUpToTheBitAndAreNeverNegative) {
  for (const double pressed : {0.3, 20.0, 80.0}) {
    for (double front = -300.0; front <= 300.0; front += 0.37) {
      const AxleLoads<double> loads = shared_loads(pressed, front, 0.4);
      EXPECT_EQ(loads.front + loads.rear, pressed);
      EXPECT_GT(loads.front, 0.0);
      EXPECT_GT(loads.rear, 0.0);
    }
  }
}

TEST(SharedLoads, AreThoseOfBalanceButForTheRounding) {
  // At 20 N, of which 8.8 N in front, width 0.4 N: 0.04 (1/8.8 - 1/11.2) = 0.000974 N more, less a
  // next term of 0.4^4/16/8.8^3 = 2e-6 N.
  EXPECT_NEAR(shared_loads(20.0, 8.8, 0.4).front, 8.800974, 3e-6);
  // Where an axle just lifts: half the width, less 0.16/80 N.
  EXPECT_NEAR(shared_loads(20.0, 0.0, 0.4).front, 0.198, 1e-6);
  EXPECT_NEAR(shared_loads(20.0, 20.0, 0.4).rear, 0.198, 1e-6);
  // Far beyond: 0.04 (1/10 - 1/30) N are left.
  EXPECT_NEAR(shared_loads(20.0, -10.0, 0.4).front, 0.04 * (1.0 / 10.0 - 1.0 / 30.0), 3e-6);
}

Car tall_car(double height, double friction) {
  Car car = with_field(trial_car(), "body.centre_height", height);
  car.rear_tyre.friction_peak = car.front_tyre.friction_peak = friction;
  return car;
}

LaunchOptions sampled() {
  LaunchOptions options;
  options.sample_interval = 1e-3;
  return options;
}

TEST(LiftedAxle, ForcesStayWithinTheGripOfTheLoadsAndTheLoadsWithinTheWeight) {
  for (const double height : {0.035, 0.12, 0.3}) {
    const Car car = tall_car(height, 1.5);
    const LaunchResult run = launch(car, sampled());
    const double weight = car.body.mass * kStandardGravity;
    const double downforce = 0.5 * moist_density(car.air) * car.body.downforce_area;
    ASSERT_GT(run.samples.size(), 100U);
    for (const Sample& sample : run.samples) {
      const double pressed = weight + downforce * square(sample.state(node::car));
      const std::array loads{sample.signals[car_signal::rear_load],
                             sample.signals[car_signal::front_load]};
      const std::array forces{sample.signals[car_signal::rear_force],
                              sample.signals[car_signal::front_force]};
      EXPECT_NEAR(loads[0] + loads[1], pressed, kRoundOff * pressed);
      for (std::size_t k = 0; k < 2; ++k) {
        EXPECT_GT(loads[k], 0.0);
        const TyreLaw<double> law = make_tyre_law(k == 0 ? car.rear_tyre : car.front_tyre);
        const double grip = tyre_friction(law, loads[k]) * loads[k];
        // Friction falls with the load: while that grows, what is strained may hold a little more.
        EXPECT_LE(std::abs(forces[k]), 1.01 * grip);
      }
    }
  }
}

TEST(LiftedAxle, HighCarGoesOverAndTheRunSaysWhenAndWhatToDo) {
  const LaunchResult run = launch(tall_car(0.3, 1.5), {});
  EXPECT_EQ(run.ending.status, Status::goes_over);
  EXPECT_EQ(run.end, LaunchEnd::early);
  EXPECT_GE(run.peaks.pitch, kPitchOver);
  EXPECT_GT(run.lifted_time, 0.0);
  EXPECT_LE(run.lifted_time, run.ending.time);
  const LaunchResult low = launch(trial_car(), {});
  EXPECT_EQ(low.ending.status, Status::finished);
  EXPECT_EQ(low.peaks.pitch, 0.0);
  EXPECT_EQ(low.lifted_time, 0.0);
}

TEST(LiftedAxle, ShortWheelieIsReportedAndTheRunGoesOn) {
  LaunchOptions options;
  options.longest_time = 1.5;
  options.pedals = make_pedals(
      std::array<std::array<double, 3>, 3>{{{0.0, 1.0, 0.0}, {0.2, 1.0, 0.0}, {0.25, 0.0, 0.0}}});
  const LaunchResult run = launch(tall_car(0.12, 1.6), options);
  EXPECT_EQ(run.ending.status, Status::finished);
  EXPECT_GT(run.peaks.pitch, kPitchWarned);
  EXPECT_LT(run.peaks.pitch, kPitchOver);
  ASSERT_EQ(pitch_warnings(run.peaks.pitch).size(), 1U);
  EXPECT_EQ(pitch_warnings(run.peaks.pitch)[0].code, "wheelie");
  EXPECT_LT(run.lifted_time, run.ending.time);
}

TEST(LiftedAxle, BrakedHighCarGoesOverItsFrontAxle) {
  LaunchOptions options;
  options.start_speed = 15.0;
  options.pedals = make_pedals(std::array<std::array<double, 3>, 1>{{{0.0, 0.0, 1.0}}});
  EXPECT_EQ(launch(tall_car(0.3, 1.5), options).ending.status, Status::goes_over);
  EXPECT_EQ(launch(trial_car(), options).ending.status, Status::finished);
}

TEST(LiftedAxle, LiftTakesTheCarOffTheRoadAndTheRunEnds) {
  Car car = trial_car();
  car.body.downforce_area = -0.1;
  LaunchOptions options;
  options.distance = 1000.0;
  options.start_speed = 16.0;
  options.grade = -0.75;  // Down a 3-4-5 triangle: 0.8 of the weight press, 0.6 pull.
  const LaunchResult run = launch(car, options);
  EXPECT_EQ(run.ending.status, Status::leaves_ground);
  // 5 % of the load are left: (rho/2) 0.1 m^2 v^2 = 0.95 * 0.8 m g; a step past it at most.
  const double off =
      std::sqrt(0.95 * 0.8 * car.body.mass * kStandardGravity / (0.05 * moist_density(car.air)));
  EXPECT_GE(run.state(node::car), off);
  EXPECT_LT(run.state(node::car), off + 0.2);
}

// A car of 1 kg and 0.3 m between its axles, the centre of mass in their middle 0.1 m above the
// road, whose load is moved by so much force [N].
struct Held {
  CarLaw law = Drivetrain(trial_car()).law();
  StateOf<Drivetrain> state = StateOf<Drivetrain>::Zero();
  explicit Held(double along) {
    law.mass = 1.0;
    law.loading.weight = 10.0;
    law.wheelbase = 0.3;
    law.lever = 1.0 / 3.0;
    law.loading.front_share = 0.5;
    state(car_state::load_transfer) = along / 3.0;
  }
  [[nodiscard]] PitchAfter after(double time) const {
    return follow_pitch(law, {}, 0.0, time, [this](double) { return state; });
  }
};

TEST(Pitch, StaysAtNoneWhileBothAxlesCarry) {
  // The front axle lifts at transfer 5 N: 15 N along the road.
  for (const double along : {-14.9, 0.0, 14.9}) {
    const PitchAfter after = Held(along).after(1.0);
    EXPECT_EQ(after.pitch, Pitch{});
    EXPECT_EQ(after.lifted, 0.0);
  }
}

TEST(Pitch, GrowsAsAHyperbolicCosineWhileItIsSmall) {
  // 18 N along, 3 above balance: moment 0.1 m * 3 N = 0.3 N*m, I = 0.01 + 0.15 * 0.3 = 0.055
  // kg*m^2, rate^2 = (18 * 0.15 + 10 * 0.1)/0.055 = 67.27 1/s^2: q = (0.3/3.7) (cosh(8.202 t) - 1).
  const double growth = std::sqrt(3.7 / 0.055);
  for (const double time : {0.02, 0.05, 0.1}) {
    const double expected = 0.3 / 3.7 * (std::cosh(growth * time) - 1.0);
    // Sine and cosine bend by q^2/2 of it, at most 4e-4; steps of 1 ms err by less than 1e-4.
    const double up = Held(18.0).after(time).pitch.angle;
    EXPECT_NEAR(up, expected, 1e-3 * expected) << time;
    // Alike in front and behind.
    EXPECT_NEAR(Held(-18.0).after(time).pitch.angle, -up, 1e-12);
  }
}

TEST(Pitch, EndsWhereItPassesThirtyDegreesAndNotBefore) {
  const PitchAfter after = Held(18.0).after(5.0);
  EXPECT_GE(after.pitch.angle, kPitchOver);
  EXPECT_LT(after.pitch.angle, kPitchOver + 0.01);
  // The small-angle law passes 30 degrees, 0.5236 rad, at acosh(1 + 6.458)/8.202 = 0.329 s; the
  // bending of sine and cosine holds it up by some hundredths.
  EXPECT_NEAR(after.over, 0.329, 0.02);
  EXPECT_NEAR(after.lifted, after.over, 1e-12);
}

TEST(Pitch, ComesDownAgainWhenTheForceIsTakenAway) {
  Held held(18.0);
  const Pitch up = held.after(0.1).pitch;
  EXPECT_GT(up.angle, 0.0);
  held.state.setZero();
  const PitchAfter down = follow_pitch(held.law, up, 0.1, 1.0, [&](double) { return held.state; });
  EXPECT_EQ(down.pitch, Pitch{});
  EXPECT_GT(down.lifted, 0.0);
  EXPECT_LT(down.lifted, 0.5);
}

TEST(LiftedAxle, SimulationFailsWhereTheLaunchGoesOverAlsoAfterItWasSavedInTheAir) {
  const Car car = tall_car(0.3, 1.5);
  const LaunchResult run = launch(car, {});
  ASSERT_EQ(run.ending.status, Status::goes_over);
  SimulationSetup setup;
  setup.car = car;
  setup.options.own_driver = true;
  Simulation whole(setup);
  whole.step_to(10.0);
  EXPECT_NEAR(whole.time(), run.ending.time, 1e-12);
  EXPECT_EQ(whole.failure().find("the car goes over"), 0U);
  Simulation first(setup);
  first.step_to(run.ending.time - 0.05);
  EXPECT_TRUE(first.failure().empty());
  Simulation second(setup);
  second.load(first.save());
  second.step_to(10.0);
  EXPECT_EQ(second.time(), whole.time());
  EXPECT_EQ(second.failure(), whole.failure());
}

}  // namespace
}  // namespace layshaft
