// The moments of a shift are where they are said to be, wherever the line of a lap lies.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "invented_track.hpp"
#include "layshaft/car/fields.hpp"
#include "layshaft/run/lap.hpp"
#include "layshaft/run/launch.hpp"
#include "layshaft/run/shift_watch.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using testing::on_grid;
using testing::tight_track;
using testing::with_line_at;

constexpr auto kOpen = CouplingMode::open;
constexpr auto kSlips = CouplingMode::slip_positive;
constexpr auto kStuck = CouplingMode::stuck;

ShiftWatch::Begin at(double time) { return {{time, 0.0, 0.0, 0.0}, 0.0, 0.0, 0.0}; }

TEST(Shift, TouchThatIsBrokenOffIsNone) {
  ShiftWatch watch;
  watch.note_modes(kStuck, kOpen, at(0.0));
  watch.note_modes(kStuck, kSlips, at(1.0));
  watch.note_modes(kStuck, kOpen, at(2.0));
  EXPECT_TRUE(watch.up().empty());
  EXPECT_TRUE(watch.down().empty());
}

TEST(Shift, OneThatFirstGearLetGoOfIsOneWithoutALock) {
  ShiftWatch watch;
  watch.note_modes(kStuck, kOpen, at(0.0));
  watch.note_modes(kStuck, kSlips, at(1.0));
  watch.note_modes(kSlips, kSlips, at(2.0));
  watch.note_modes(kStuck, kSlips, at(3.0));
  watch.note_modes(kStuck, kOpen, at(4.0));
  ASSERT_EQ(watch.up().size(), 1u);
  EXPECT_EQ(watch.up()[0].contact.time, 1.0);
  EXPECT_EQ(watch.up()[0].let_go.time, 2.0);
  EXPECT_FALSE(is_known(watch.up()[0].lock));
  ASSERT_EQ(watch.down().size(), 1u);
  EXPECT_FALSE(is_known(watch.down()[0].slip));
  EXPECT_EQ(watch.down()[0].hold.time, 3.0);
  EXPECT_EQ(watch.down()[0].open.time, 4.0);
}

TEST(Shift, DownIsSlipOpenHold) {
  ShiftWatch watch;
  watch.note_modes(kSlips, kStuck, at(0.0));
  watch.note_modes(kSlips, kSlips, at(1.0));
  watch.note_modes(kSlips, kStuck, at(2.0));
  watch.note_modes(kSlips, kSlips, at(3.0));
  watch.note_modes(kSlips, kOpen, at(4.0));
  watch.note_modes(kStuck, kOpen, at(5.0));
  watch.note_modes(kSlips, kOpen, at(6.0));
  watch.note_modes(kStuck, kOpen, at(7.0));
  EXPECT_TRUE(watch.up().empty());
  ASSERT_EQ(watch.down().size(), 1u);
  EXPECT_EQ(watch.down()[0].slip.time, 3.0);
  EXPECT_EQ(watch.down()[0].open.time, 4.0);
  EXPECT_EQ(watch.down()[0].hold.time, 5.0);
}

// The fastest or slowest engine of the samples in a time.
Moment extreme(const LaunchResult& run, double begin, double end, bool is_high) {
  Moment found;
  for (const Sample& sample : run.samples) {
    if (sample.time < begin || sample.time > end) continue;
    const double crank = sample.state(node::crank);
    if (is_known(found) && (crank > found.crank_speed) != is_high) continue;
    found = {sample.time, sample.accounts[account::distance], sample.state(node::car), crank};
  }
  return found;
}

void expect_near(const Moment& moment, const Moment& sampled) {
  // An extreme is flat: half a millisecond beside it the engine has changed by less than this, and
  // the car by what it gains in a millisecond.
  EXPECT_NEAR(moment.time, sampled.time, 1e-3);
  EXPECT_NEAR(moment.crank_speed / sampled.crank_speed, 1.0, 1e-4);
  EXPECT_NEAR(moment.car_speed, sampled.car_speed, 0.02);
  EXPECT_NEAR(moment.distance, sampled.distance, 0.03);
}

class ShiftOfALaunch : public ::testing::TestWithParam<double> {};

TEST_P(ShiftOfALaunch, IsHeardAtTheEnginesPeakAndItsLow) {
  LaunchOptions options;
  options.sample_interval = 1e-3;
  const Car car = with_field(with_field(trial_car(), "two_speed.friction", GetParam()),
                             "two_speed.static_friction", 1.1 * GetParam());
  const LaunchResult run = launch(car, options);
  const Shift& shift = run.shift;
  EXPECT_LT(shift.contact.time, shift.let_go.time);
  EXPECT_LT(shift.let_go.time, shift.peak.time);
  EXPECT_LT(shift.peak.time, shift.lock.time);
  EXPECT_LT(shift.lock.time, shift.low.time);
  expect_near(shift.peak, extreme(run, shift.let_go.time, shift.lock.time, true));
  // Once it has turned, the engine goes on to rise to the end of the run.
  expect_near(shift.low, extreme(run, shift.lock.time, run.ending.time, false));
  // First gear lets go where it carries nothing more, and the engine still gains.
  EXPECT_GT(shift.peak.crank_speed, shift.let_go.crank_speed);
  EXPECT_LT(shift.low.crank_speed, shift.lock.crank_speed);
}

INSTANTIATE_TEST_SUITE_P(Frictions, ShiftOfALaunch, ::testing::Values(0.17, 0.22, 0.28));

TEST(Shift, WithoutARiseAfterItHasNoLow) {
  LaunchOptions options;
  options.longest_time = launch(trial_car(), options).shift.lock.time + 0.02;
  const LaunchResult run = launch(trial_car(), options);
  ASSERT_TRUE(is_known(run.shift.lock));
  EXPECT_FALSE(is_known(run.shift.low));
}

LapOptions exact_options() {
  LapOptions options;
  options.integration.tolerance = 1e-7;
  return options;
}

const LapEvent* first_up(const LapResult& run) {
  const auto found = std::ranges::find_if(
      run.events, [](const LapEvent& event) { return is_known(event.up.low); });
  return found == run.events.end() ? nullptr : &*found;
}

TEST(Shift, OfAFlyingLapDoesNotDependOnWhereTheLineIs) {
  const Track track = tight_track();
  // Shifts so early that the engine has turned before the next kink.
  const Car car = with_field(trial_car(), "two_speed.gap", 0.0054);
  const LapResult run = lap(car, track, exact_options());
  ASSERT_NE(first_up(run), nullptr);
  const Shift shift = first_up(run)->up;
  const std::array moments{&Shift::contact, &Shift::let_go, &Shift::peak, &Shift::lock,
                           &Shift::low};
  for (std::size_t k = 0; k + 1 < moments.size(); ++k) {
    const double middle = 0.5 * ((shift.*moments[k]).distance + (shift.*moments[k + 1]).distance);
    const double line = on_grid(track, middle);
    const LapResult moved = lap(car, with_line_at(track, line), exact_options());
    ASSERT_TRUE(moved.complete && moved.repeats);
    EXPECT_EQ(moved.events.size(), run.events.size());
    // Across the line the shift is the first of the lap or the last, by where its peak lies.
    const LapEvent* found = nullptr;
    for (const LapEvent& event : moved.events) {
      const double apart =
          std::remainder(event.at.distance + line - shift.peak.distance, track.length());
      if (event.kind == LapEvent::Kind::upshift && std::abs(apart) < 0.5) found = &event;
    }
    ASSERT_NE(found, nullptr) << "line at " << line;
    EXPECT_GE(found->at.time, 0.0);
    EXPECT_LE(found->at.time, moved.time);
    const double later = found->at.time - shift.peak.time;
    for (const auto moment : moments) {
      // A lap repeats to a ten thousandth of the motion and a hundredth of the heat.
      EXPECT_NEAR((found->up.*moment).time, (shift.*moment).time + later, 3e-3) << "line " << line;
      EXPECT_NEAR((found->up.*moment).car_speed / (shift.*moment).car_speed, 1.0, 3e-3);
      EXPECT_NEAR((found->up.*moment).crank_speed / (shift.*moment).crank_speed, 1.0, 3e-3);
    }
  }
}

}  // namespace
}  // namespace layshaft
