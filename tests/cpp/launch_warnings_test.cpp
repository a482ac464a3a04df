#include "layshaft/run/launch_warnings.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <set>
#include <stdexcept>
#include <string>

#include "layshaft/car/fields.hpp"
#include "layshaft/run/launch.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using Codes = std::set<std::string>;

Codes codes(const Car& car) {
  Codes found;
  for (const CarWarning& warning : launch_warnings(car)) found.insert(warning.code);
  return found;
}

Car with(std::string_view path, double value) { return with_field(trial_car(), path, value); }

constexpr double kBetweenSamples = 5e-4;  // [s]

// The car as a second run shows it: ten times tighter, and read from samples, not from the list of
// changes, the peaks and the shift.
LaunchResult sampled_run(const Car& car) {
  LaunchOptions options;
  options.distance = 9e4;  // never reached
  options.longest_time = kWarningLaunchTime;
  options.sample_interval = kBetweenSamples;
  options.integration.tolerance = 1e-7;
  return launch(car, options);
}

CouplingMode mode_of(const Sample& sample, int which) {
  return sample.modes.couplings[static_cast<std::size_t>(which)];
}

bool is_out(const Sample& sample, int which) {
  return sample.modes.switches[static_cast<std::size_t>(which)] == 1;
}

// Teeth that a belt jumps from this sample to the next: its slip is that of the pulley at the axle.
double teeth_jumped(const Sample& sample, int which, const Belt& belt) {
  const bool carries = sample.torques(which) != 0.0;
  const bool jumps = carries && !is_stuck(mode_of(sample, which));
  const double angle = kBetweenSamples * std::abs(sample.slips(which));
  return jumps ? angle * belt.out_teeth / (2.0 * kPi) : 0.0;
}

Codes codes_of_samples(const Car& car, const std::vector<Sample>& samples) {
  bool clutch_locked = false, drum_locked = false, one = false, other = false, early = false;
  double fastest = 0.0;
  std::array<double, 2> teeth{0.0, 0.0};
  for (const Sample& sample : samples) {
    clutch_locked |= is_stuck(mode_of(sample, coupling::clutch));
    one |= is_out(sample, plant_switch::shoes);
    other |= is_out(sample, plant_switch::shoes + 1);
    early |= (one || other) && !clutch_locked;
    drum_locked |= is_stuck(mode_of(sample, coupling::second));
    fastest = std::max(fastest, sample.state(node::crank));
    teeth[0] += teeth_jumped(sample, coupling::rear_belt, car.belts.rear);
    teeth[1] += teeth_jumped(sample, coupling::front_belt, car.belts.front);
  }
  Codes found;
  if (!one && !other) found.insert("never_shifts");
  if (one != other) found.insert("one_shoe_only");
  if (early) found.insert("shifts_early");
  if ((one || other) && !drum_locked) found.insert("never_locks");
  if (!clutch_locked) found.insert("clutch_never_locks");
  if (fastest > car.engine.speed_limit) found.insert("over_limit");
  if (std::max(teeth[0], teeth[1]) >= 1.0) found.insert("belt_jumps");
  return found;
}

TEST(LaunchWarnings, SoundCarHasNone) { EXPECT_TRUE(codes(trial_car()).empty()); }

TEST(LaunchWarnings, ScrewTooFarInNeverShiftsAndTooFarOutStartsInSecond) {
  EXPECT_EQ(codes(with("two_speed.gap", 3.0e-3)), Codes{"never_shifts"});
  EXPECT_TRUE(codes(with("two_speed.gap", 4.0e-3)).empty());
  EXPECT_TRUE(codes(with("two_speed.gap", 6.1e-3)).contains("shifts_early"));
}

TEST(LaunchWarnings, ShoesOfLittleFrictionLockLateOrNever) {
  const auto at_gap = [](double gap) {
    const Car car = with_field(with("two_speed.gap", gap), "two_speed.friction", 0.05);
    return with_field(car, "two_speed.static_friction", 0.05);
  };
  // At the demo car's gap they slip for longer than it took to get there, and lock.
  const LaunchResult run = sampled_run(at_gap(4.4e-3));
  EXPECT_GT(run.shift.lock.time, 2.0 * run.shift.contact.time);
  EXPECT_TRUE(codes(at_gap(4.4e-3)).empty());
  // Screwed in so far that they go out near the top speed of first gear, too little is left.
  EXPECT_EQ(codes(at_gap(3.5e-3)), Codes{"never_locks"});
}

TEST(LaunchWarnings, EngineThatPassesItsOwnLimitIsNamed) {
  double fastest = 0.0;
  for (const Sample& sample : sampled_run(trial_car()).samples) {
    fastest = std::max(fastest, sample.state(node::crank));
  }
  // The limit bounds nothing in a run. Samples miss a peak by less than a thousandth.
  EXPECT_TRUE(codes(with("engine.speed_limit", 0.999 * fastest)).contains("over_limit"));
  EXPECT_FALSE(codes(with("engine.speed_limit", 1.001 * fastest)).contains("over_limit"));
}

TEST(LaunchWarnings, SlackBeltIsToldWithWhatItLoses) {
  // A belt jumps at 2 tension radius tanh(K/2) <= 2 tension radius: 18 teeth of 3 mm are 8.6 mm, so
  // 2 N carry less than .035 N m to the axle, where a launch takes more than ten times that.
  const Car car = with("belts.rear.tension", 2.0);
  EXPECT_EQ(codes(car).count("belt_jumps"), 1u);
  EXPECT_FALSE(codes(trial_car()).contains("belt_jumps"));
  double lost = 0.0;
  for (const Sample& sample : sampled_run(car).samples) {
    lost +=
        kBetweenSamples * sample.torques(coupling::rear_belt) * sample.slips(coupling::rear_belt);
  }
  for (const CarWarning& warning : launch_warnings(car)) {
    if (warning.code != "belt_jumps") continue;
    EXPECT_EQ(warning.part, "belts.rear");
    const double told = std::stod(warning.text.substr(warning.text.find("loses ") + 6));
    EXPECT_NEAR(told / lost, 1.0, 0.01);  // sums of another step
    EXPECT_NE(warning.text.find(" J in 20 s;"), std::string::npos) << warning.text;
  }
}

// Every number within a fifth of the trial car's, screws and clutch nut within a tenth.
Car car_near_the_trial_car(std::mt19937_64& random) {
  const auto between = [&random](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  Car car = trial_car();
  for (const Field& field : fields()) {
    if (field.kind != FieldKind::number) continue;
    const double value = field.get(car) * between(0.8, 1.2);
    field.set(car, std::clamp(value, field.minimum, field.maximum));
  }
  for (const std::string part : {"two_speed", "clutch.axial", "clutch.thrown_shoes"}) {
    car = with_field(car, part + ".static_friction", 1.1 * get_field(car, part + ".friction"));
  }
  return car;
}

bool is_valid(const Car& car) {
  try {
    validate(car);
    return true;
  } catch (const std::invalid_argument&) {
    return false;
  }
}

TEST(LaunchWarnings, SayOfRandomCarsWhatAnotherRunShows) {
  std::mt19937_64 random(18);
  Codes seen;
  int compared = 0;
  for (int n = 0; n < 60; ++n) {
    Car car = car_near_the_trial_car(random);
    if (n % 6 == 0) car = with_field(car, "belts.rear.tension", 3.0);
    if (!is_valid(car)) continue;
    const Codes told = codes(car);
    EXPECT_EQ(told, codes_of_samples(car, sampled_run(car).samples)) << "car " << n;
    seen.insert(told.begin(), told.end());
    ++compared;
  }
  EXPECT_GE(compared, 30);
  for (const char* code : {"never_shifts", "shifts_early", "over_limit", "belt_jumps"}) {
    EXPECT_TRUE(seen.contains(code)) << code;
  }
}

}  // namespace
}  // namespace layshaft
