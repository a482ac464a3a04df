#include "layshaft/fit/setting_search.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>

#include "trial_car.hpp"

namespace layshaft {
namespace {

constexpr Aim kLeast{false, 0.01};
constexpr Aim kTarget{true, 0.01};
constexpr double kInfinite = std::numeric_limits<double>::infinity();
const std::string kGap = "two_speed.gap";

TEST(SettingSearch, LeastPlacesOfKnownCurvesAreFound) {
  const auto parabola = [](double x) { return Judged{(x - 0.3) * (x - 0.3)}; };
  EXPECT_NEAR(refine(parabola, kLeast, {0.5, 0.04}, 0.0, 1.0).setting, 0.3, kFinest);
  const auto wave = [](double x) { return Judged{std::cos(x)}; };
  const SettingFound valley = refine(wave, kLeast, {3.0, std::cos(3.0)}, 2.0, 5.0);
  EXPECT_NEAR(valley.setting, std::numbers::pi, 3.0 * kFinest);
  // x^2 exp(-x) has its least, on 0.5 to 3, at the left end: 0.25 exp(-0.5).
  const auto hump = [](double x) { return Judged{x * x * std::exp(-x)}; };
  EXPECT_NEAR(refine(hump, kLeast, {0.5, 0.25 * std::exp(-0.5)}, 0.5, 3.0).setting, 0.5, 0.0);
}

TEST(SettingSearch, ATargetIsMetWhereADistanceHasAKink) {
  // x^3 = 0.2 at 0.5848.
  const auto off = [](double x) { return Judged{std::abs(x * x * x - 0.2)}; };
  EXPECT_NEAR(refine(off, kTarget, {0.5, 0.075}, 0.0, 1.0).setting, std::cbrt(0.2), kFinest);
}

TEST(SettingSearch, NothingBeyondALimitIsTakenAndNothingWorseThanTheStart) {
  // Falls all the way, allowed to 0.37.
  const auto falls = [](double x) { return Judged{1.0 - x, x / 0.37 - 1.0}; };
  const SettingFound found = refine(falls, kLeast, {0.2, 0.8}, 0.0, 1.0);
  EXPECT_LE(found.setting, 0.37);
  EXPECT_GT(found.setting, 0.37 - 2.0 * kFinest);
  const auto fails = [](double) { return Judged{kInfinite}; };
  EXPECT_EQ(refine(fails, kLeast, {0.2, 0.8}, 0.0, 1.0).setting, 0.2);
  const auto worse = [](double) { return Judged{0.9}; };
  EXPECT_EQ(refine(worse, kLeast, {0.2, 0.8}, 0.0, 1.0).cost, 0.8);
}

TEST(SettingSearch, EndsThatHoldNoStartAreRefused) {
  const auto flat = [](double) { return Judged{1.0}; };
  EXPECT_THROW((void)refine(flat, kLeast, {2.0, 1.0}, 0.0, 1.0), std::invalid_argument);
  EXPECT_THROW((void)refine(flat, kLeast, {0.0, 1.0}, 0.0, 0.0), std::invalid_argument);
}

Goal shift_at(double speed) {
  Goal goal{"shift_speed", speed, 0.3, {}, {}};
  goal.options.distance = 60.0;
  return goal;
}

double shift_speed(double gap) {
  LaunchOptions options;
  options.distance = 60.0;
  return launch(with_field(trial_car(), kGap, gap), options).shift.peak.car_speed;
}

TEST(SettingSearch, TheGapThatShiftsAtASpeedIsTheOneThatBisectionFinds) {
  // The shift speed falls with the gap; its root by halving, which knows nothing of the search.
  double low = 4.2e-3;
  double high = 5.2e-3;
  const double speed = 0.5 * (shift_speed(low) + shift_speed(high));
  for (int i = 0; i < 30; ++i) {
    const double middle = 0.5 * (low + high);
    (shift_speed(middle) > speed ? low : high) = middle;
  }
  const auto best = best_setting(trial_car(), kGap, 4.2e-3, 5.2e-3, shift_at(speed), 1);
  ASSERT_TRUE(best);
  EXPECT_NEAR(best->setting, low, kFinest * 2e-4);
  EXPECT_NEAR(best->shown, speed, 0.01);
  EXPECT_EQ(best->cost, std::abs(best->shown - speed));
  EXPECT_NEAR(best->step, 1e-4, 1e-12);
  EXPECT_EQ(best->tried, 11U);
  EXPECT_EQ(best->missed, 0U);
}

TEST(SettingSearch, ALimitIsKept) {
  Goal quickest{"time", std::nullopt, 0.01, {}, {}};
  quickest.options.distance = 60.0;
  const auto free = best_setting(trial_car(), kGap, 4.2e-3, 5.2e-3, quickest);
  ASSERT_TRUE(free);
  quickest.limits = {{"shift_speed", shift_speed(free->setting) - 0.5}};
  const auto limited = best_setting(trial_car(), kGap, 4.2e-3, 5.2e-3, quickest);
  ASSERT_TRUE(limited);
  EXPECT_LE(shift_speed(limited->setting), quickest.limits[0].most);
  EXPECT_GT(limited->cost, free->cost);
  quickest.limits = {{"shift_speed", 1.0}};
  EXPECT_FALSE(best_setting(trial_car(), kGap, 4.2e-3, 5.2e-3, quickest));
}

TEST(SettingSearch, WhereNothingShiftsNoSettingIsBest) {
  Goal goal = shift_at(15.0);
  goal.options.distance = 2.0;
  EXPECT_FALSE(best_setting(trial_car(), kGap, 4.2e-3, 5.2e-3, goal));
}

TEST(SettingSearch, BadInputIsRefused) {
  const auto refused = [](const std::string& path, double low, double high, const Goal& goal) {
    EXPECT_THROW((void)best_setting(trial_car(), path, low, high, goal), std::invalid_argument);
  };
  refused("first.pinion", 15.0, 18.0, shift_at(15.0));
  refused("two_speed.gapp", 4e-3, 5e-3, shift_at(15.0));
  refused(kGap, 5e-3, 4e-3, shift_at(15.0));
  refused(kGap, -1.0, 5e-3, shift_at(15.0));
  Goal unknown = shift_at(15.0);
  unknown.measure = "shift_sped";
  refused(kGap, 4e-3, 5e-3, unknown);
  Goal limited = shift_at(15.0);
  limited.limits = {{"peak_speed", std::nan("")}};
  refused(kGap, 4e-3, 5e-3, limited);
}

}  // namespace
}  // namespace layshaft
