// What a lap takes down is of the part that it is said to be of.

#include "layshaft/run/lap_recorder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "invented_track.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/run/lap.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using testing::tight_track;

LapResult sampled_lap(const Car& car) {
  LapOptions options;
  options.sample_spacing = 0.5;
  return lap(car, tight_track(), options);
}

// Whether the list of changes has this one at that time.
bool has_change(const LapResult& run, double time, Change::Part part, int index, auto accepts) {
  return std::ranges::any_of(run.changes, [&](const Change& change) {
    return change.time == time && change.part == part && change.index == index && accepts(change);
  });
}

TEST(LapRecorder, EventsAreTheChangesOfTheirParts) {
  // A stiffer clutch spring, so that the clutch opens and bites on this lap too.
  const LapResult run = sampled_lap(with_field(trial_car(), "clutch.axial.nut_turns", 3.5));
  ASSERT_TRUE(run.complete);
  constexpr int kOpen = static_cast<int>(CouplingMode::open);
  int seen = 0;
  int locked = 0;
  int slipped = 0;
  for (const LapEvent& event : run.events) {
    const auto goes = [&](const Moment& at, int which, auto accepts) {
      return has_change(run, at.time, Change::Part::coupling, which, accepts);
    };
    const auto stuck = [](int mode) { return is_stuck(static_cast<CouplingMode>(mode)); };
    const auto clutch_goes = [&](int to) {
      return has_change(run, event.at.time, Change::Part::plant_switch, track_switch::clutch,
                        [to](const Change& change) { return change.to == to; });
    };
    seen |= 1 << static_cast<int>(event.kind);
    switch (event.kind) {
      case LapEvent::Kind::upshift:
        EXPECT_TRUE(goes(event.up.contact, coupling::second,
                         [](const Change& change) { return change.from == kOpen; }));
        EXPECT_TRUE(goes(event.up.let_go, coupling::first, [&](const Change& change) {
          return stuck(change.from) && !stuck(change.to);
        }));
        // One is broken off before the drum locks.
        locked += is_known(event.up.lock) ? 1 : 0;
        EXPECT_TRUE(!is_known(event.up.lock) ||
                    goes(event.up.lock, coupling::second, [&](const Change& change) {
                      return !stuck(change.from) && stuck(change.to);
                    }));
        EXPECT_EQ(event.at.time, event.up.peak.time);
        break;
      case LapEvent::Kind::downshift:
        EXPECT_TRUE(goes(event.at, coupling::second,
                         [](const Change& change) { return change.to == kOpen; }));
        slipped += is_known(event.down.slip) ? 1 : 0;
        EXPECT_TRUE(!is_known(event.down.slip) ||
                    goes(event.down.slip, coupling::second, [&](const Change& change) {
                      return stuck(change.from) && !stuck(change.to);
                    }));
        EXPECT_TRUE(goes(event.down.hold, coupling::first, [&](const Change& change) {
          return !stuck(change.from) && stuck(change.to);
        }));
        EXPECT_FALSE(event.down.slip.time > event.at.time);
        break;
      case LapEvent::Kind::clutch_opens: EXPECT_TRUE(clutch_goes(0)); break;
      case LapEvent::Kind::clutch_bites: EXPECT_TRUE(clutch_goes(1)); break;
    }
  }
  EXPECT_EQ(seen, 0b1111);
  EXPECT_GE(locked, 1);
  EXPECT_GE(slipped, 1);
}

TEST(LapRecorder, EventsHaveTheSpeedsOfTheSamplesAround) {
  const Car car = trial_car();
  const LapResult run = sampled_lap(car);
  const auto at = [&](double time, int which) {
    const auto after = std::ranges::find_if(
        run.samples, [time](const LapSample& sample) { return sample.time > time; });
    if (after == run.samples.begin() || after == run.samples.end()) return std::nan("");
    const LapSample& before = *(after - 1);
    const double share = (time - before.time) / (after->time - before.time);
    return before.state(which) + share * (after->state(which) - before.state(which));
  };
  int locked = 0;
  for (const LapEvent& event : run.events) {
    if (std::isnan(at(event.at.time, node::car))) continue;
    // Half a metre apart speeds and distance are all but straight; the engine bends where it bites.
    EXPECT_NEAR(event.at.car_speed / at(event.at.time, node::car), 1.0, 0.01);
    EXPECT_NEAR(event.at.distance, at(event.at.time, track_state::distance), 0.01);
    EXPECT_NEAR(event.at.crank_speed / at(event.at.time, node::crank), 1.0, 0.1);
    const double locks = event.up.lock.time;
    if (std::isnan(at(locks, node::crank))) continue;
    ++locked;
    // Locked in second gear, 45 to 22 teeth; the engine clutch may still slip a tenth.
    const double over_gear = event.up.lock.crank_speed / (at(locks, node::shaft) * 45.0 / 22.0);
    EXPECT_GT(over_gear, 0.98);
    EXPECT_LT(over_gear, 1.15);
  }
  EXPECT_GE(locked, 1);
}

// The rounded sharing of loads, worked by hand: of `pressed` the front axle carries
// (pressed + sqrt(x^2 + w^2) - sqrt((pressed - x)^2 + w^2))/2, x its share in balance and w = .02
// of the weight.
double rounded_front(double pressed, double balance, double weight) {
  const double width = 0.02 * weight;
  return 0.5 * (pressed + std::hypot(balance, width) - std::hypot(pressed - balance, width));
}

TEST(LapRecorder, SamplesInCornersPointToTheInside) {
  Car car = with_field(trial_car(), "body.downforce_area", 0.0);
  car = with_field(with_field(car, "rear_tyre.load_sensitivity", 0.0),
                   "front_tyre.load_sensitivity", 0.0);
  const LapResult run = sampled_lap(car);
  const double weight = car.body.mass * 9.80665;
  int left = 0;
  int right = 0;
  for (const LapSample& sample : run.samples) {
    const double at = sample.state(track_state::distance);
    const double square_speed = square(sample.state(node::car));
    // Radius 4 m to the left after 45 m and a blend of 1 m; 6 m to the right from 76.6 m on.
    const bool to_the_left = at > 46.5 && at < 57.0;
    const bool to_the_right = at > 78.0 && at < 85.5;
    if (!to_the_left && !to_the_right) continue;
    const double expected = to_the_left ? square_speed / 4.0 : -square_speed / 6.0;
    constexpr double kRoundOff = 1e-9;
    EXPECT_NEAR(sample.lateral_acceleration, expected, kRoundOff);
    const double moved = sample.state(car_state::load_transfer);
    const double front = rounded_front(weight, 0.44 * weight - moved, weight);
    // The load moved is m a h/L; the yaw inertia .021 kg m^2 over .29 m turns by a times curvature.
    const double gain = moved * 0.29 / (car.body.mass * 0.035);
    const double turned = 0.021 / 0.29 * gain * expected / square_speed;
    const double in_front = std::abs(0.44 * car.body.mass * expected + turned) / (1.55 * front);
    const double behind =
        std::abs(0.56 * car.body.mass * expected - turned) / (1.6 * (weight - front));
    EXPECT_NEAR(sample.grip_taken, std::max(in_front, behind), kRoundOff);
    EXPECT_NEAR(sample.signals[track_signal::front_load], front, kRoundOff);
    EXPECT_NEAR(sample.signals[track_signal::rear_load], weight - front, kRoundOff);
    left += to_the_left ? 1 : 0;
    right += to_the_right ? 1 : 0;
  }
  EXPECT_GE(left, 15);
  EXPECT_GE(right, 10);
}

TEST(LapRecorder, SamplesTheForceOfEachAxle) {
  // The brake sits on the shaft: a one-way front axle turns on, and only the rear slows the car.
  int braked = 0;
  for (const LapSample& sample : sampled_lap(with_field(trial_car(), "front_axle", 1.0)).samples) {
    EXPECT_GT(sample.signals[track_signal::front_force], -2.0);
    braked += sample.signals[track_signal::rear_force] < -4.0 ? 1 : 0;
  }
  EXPECT_GE(braked, 5);
}

TEST(LapRecorder, PeaksAndCornersAreThoseOfTheSamples) {
  const Car car = trial_car();
  const LapResult run = sampled_lap(car);
  double clutch = 0.0;
  double shoes = 0.0;
  double rear = 0.0;
  double front = 0.0;
  for (const LapSample& sample : run.samples) {
    const auto of = [&](int which) { return sample.state(which); };
    clutch = std::max(clutch, car.air.temperature + of(car_state::clutch_surface));
    shoes = std::max(shoes, car.air.temperature + of(car_state::shoe_surface));
    rear = std::max(rear, std::abs(of(car_state::rear_slip)));
    front = std::max(front, std::abs(of(car_state::front_slip)));
  }
  // Samples every half metre miss a peak by little of a temperature, by more of a slip.
  EXPECT_NEAR(run.peaks.clutch_temperature, clutch, 2.0);
  EXPECT_NEAR(run.peaks.shoe_temperature, shoes, 2.0);
  EXPECT_GT(std::abs(clutch - shoes), 5.0);
  EXPECT_NEAR(run.peaks.rear_slip / rear, 1.0, 0.1);
  EXPECT_NEAR(run.peaks.front_slip / front, 1.0, 0.1);
  for (const CornerPass& corner : run.corners) {
    double least = 1e9;
    double nearest = 1e9;
    double speed_there = 0.0;
    for (const LapSample& sample : run.samples) {
      const double at = sample.state(track_state::distance);
      if (at < corner.begin || at > corner.end) continue;
      least = std::min(least, sample.state(node::car));
      if (std::abs(at - corner.least_distance) >= nearest) continue;
      nearest = std::abs(at - corner.least_distance);
      speed_there = sample.state(node::car);
    }
    EXPECT_NEAR(corner.least_speed / least, 1.0, 0.01);
    // The speed is flat about its least, so the place is held by the speed there.
    EXPECT_LE(nearest, 0.5);
    EXPECT_NEAR(speed_there / least, 1.0, 0.01);
  }
}

}  // namespace
}  // namespace layshaft
