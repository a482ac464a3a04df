#include "layshaft/network/dip.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "grazing_lift.hpp"
#include "layshaft/car/drivetrain.hpp"
#include "layshaft/network/integrate.hpp"
#include "layshaft/run/ensemble.hpp"
#include "layshaft/run/launch.hpp"
#include "switching_plants.hpp"
#include "trial_car.hpp"

namespace layshaft {
namespace {

using testing::BarePlant;
using testing::grazing_lift;
using testing::lift_at;
using testing::lossless;
using testing::NoRecorder;

constexpr double kRoundOff = 1e-13;  // Sums of a few numbers of order 1.

using Coefficients = std::array<double, 4>;

// De Casteljau's construction, apart from the formulas under test.
double cubic_at(const Coefficients& b, double share) {
  Coefficients points = b;
  for (std::size_t level = 3; level > 0; --level) {
    for (std::size_t k = 0; k < level; ++k) {
      points[k] = (1.0 - share) * points[k] + share * points[k + 1];
    }
  }
  return points[0];
}

LookHull<double> hull_of(const Coefficients& b) {
  const auto at = [&](std::size_t k) { return cubic_at(b, kLobattoShares[k]); };
  return look_hull(at(0), at(1), at(2), at(3));
}

struct Least {
  double share;
  double value;
};
// Of a fine row of points inside the step.
Least least_of(const Coefficients& b) {
  Least least{0.0, b[0]};
  constexpr int kPoints = 2000;
  for (int k = 1; k < kPoints; ++k) {
    const double share = static_cast<double>(k) / kPoints;
    if (const double value = cubic_at(b, share); value < least.value) least = {share, value};
  }
  return least;
}

TEST(LookHull, GivesTheBernsteinCoefficientsBack) {
  const LookHull<double> hull = hull_of({0.7, -0.4, 1.1, 0.3});
  EXPECT_NEAR(hull.first, -1.1, kRoundOff);
  EXPECT_NEAR(hull.middle, 1.5, kRoundOff);
  EXPECT_NEAR(hull.last, -0.8, kRoundOff);
  EXPECT_NEAR(hull.least, -0.4, kRoundOff);
  EXPECT_NEAR(hull.leading, -1.1 - 3.0 - 0.8, 10.0 * kRoundOff);
}

TEST(LookHull, EveryCubicThatDipsBetweenPositiveLooksIsNoticed) {
  std::mt19937_64 source(7);
  std::uniform_real_distribution<double> any(-1.0, 1.0);
  int dips = 0;
  for (int i = 0; i < 20'000; ++i) {
    const Coefficients b{any(source), any(source), any(source), any(source)};
    const bool seen = cubic_at(b, 0.0) > 0.0 && cubic_at(b, kLobattoShares[1]) > 0.0 &&
                      cubic_at(b, kLobattoShares[2]) > 0.0 && cubic_at(b, 1.0) > 0.0;
    if (!seen) continue;
    const Least least = least_of(b);
    if (least.value >= 0.0) continue;
    ++dips;
    const LookHull<double> hull = hull_of(b);
    ASSERT_TRUE(may_dip(hull)) << i;
    ASSERT_NEAR(least_share(hull), least.share, 1.0 / 2000.0) << i;
  }
  EXPECT_GT(dips, 200);
}

TEST(LookHull, AStepWithoutALeastValueInsideIsLeftAlone) {
  EXPECT_FALSE(may_dip(hull_of({1.0, 0.7, 0.3, 0.001})));    // falls
  EXPECT_FALSE(may_dip(hull_of({0.001, 0.3, 0.7, 1.0})));    // rises
  EXPECT_FALSE(may_dip(hull_of({0.001, 1.0, 1.0, 0.001})));  // rises, then falls
  EXPECT_FALSE(may_dip(hull_of({1.0, 1.0, 1.0, 1.0})));      // not watched
  EXPECT_FALSE(may_dip(hull_of({1.0, 0.5, 0.5, 1.0})));      // turns far above zero
  const double nan = std::nan("");
  EXPECT_FALSE(may_dip(look_hull(1.0, nan, 1.0, 1.0)));
}

TEST(LookHull, TheCheapTestNeverHidesADoubtfulStep) {
  std::mt19937_64 source(11);
  std::uniform_real_distribution<double> any(0.0, 1.0);
  int flat = 0;
  for (int i = 0; i < 200'000; ++i) {
    const double spread = any(source);
    const auto value = [&] { return 1.0 + spread * (any(source) - 0.5); };
    const double v0 = value(), v1 = value(), v2 = value(), v3 = value();
    if (!(dip_room(v0, v1, v2, v3) > 0.0)) continue;
    ++flat;
    ASSERT_FALSE(may_dip(look_hull(v0, v1, v2, v3))) << v0 << ' ' << v1 << ' ' << v2 << ' ' << v3;
  }
  EXPECT_GT(flat, 1000);
}

TEST(FindDip, FindsWhatTheCubicOnlyHintsAt) {
  // |s - .15| rises from its kink, of which a cubic knows nothing.
  const auto kinked = [](double share) { return std::abs(share - 0.15) - 1e-3; };
  std::array<GuardPoint, kLobattoPoints> looks{};
  for (std::size_t k = 0; k < kLobattoPoints; ++k) {
    looks[k] = {kLobattoShares[k], kinked(kLobattoShares[k])};
  }
  const DipSearch dip = find_dip(kinked, looks, 0.12, 0.0);
  ASSERT_TRUE(dip.falls);
  EXPECT_LT(dip.lowest.value, 0.0);
  EXPECT_GT(dip.before.value, 0.0);
  EXPECT_LT(dip.before.time, dip.lowest.time);
}

TEST(FindDip, GivesUpWhereThereIsNone) {
  int looks_made = 0;
  const auto parabola = [&](double share) {
    ++looks_made;
    return (share - 0.15) * (share - 0.15) + 1e-3;
  };
  std::array<GuardPoint, kLobattoPoints> looks{};
  for (std::size_t k = 0; k < kLobattoPoints; ++k) {
    looks[k] = {kLobattoShares[k], parabola(kLobattoShares[k])};
  }
  looks_made = 0;
  const DipSearch search = find_dip(parabola, looks, 0.12, 0.0);
  EXPECT_FALSE(search.falls);
  EXPECT_TRUE(search.turns);
  EXPECT_NEAR(search.lowest.value, 1e-3, 1e-6);
  EXPECT_LE(looks_made, 6);
}

// A flywheel that coasts at `start`; from 1 s on it is braked, less and less: speed start - a s +
// b s^2/2, s after the kink. Switch 1 falls below `level`.
struct BrakedWheel : BarePlant<1, 1, 0, 2> {
  double level;
  static constexpr double kStart = 1.0, kBrake = 0.3, kEase = 4.0;

  explicit BrakedWheel(double at_level) : level(at_level) {
    network_data = lossless<1, 1>(Vector<double, 1>::Ones(), Eigen::Matrix<double, 1, 1>::Ones());
  }
  [[nodiscard]] static State start() { return State::Constant(kStart); }
  // Where the speed is least.
  [[nodiscard]] static double least() { return kStart - kBrake * kBrake / (2.0 * kEase); }

  [[nodiscard]] BareLoads loads(const Positions& active, double time, const State&) const {
    const double torque = active[0] == 0 ? 0.0 : kEase * (time - 1.0) - kBrake;
    return {Vector<double, 1>(torque), Vector<double, 1>(0.0), Vector<double, 1>(0.0)};
  }
  [[nodiscard]] HoldLimits<1> hold_limits(const Positions&, const BareLoads& sliding, double,
                                          const State&) const {
    return {sliding.low, sliding.high};
  }
  [[nodiscard]] bool is_open(int, const Positions&) const { return true; }
  [[nodiscard]] double switch_guard(int k, const Positions& switches, double,
                                    const State& state) const {
    return k == 1 && switches[1] == 0 ? state(0) - level : 1.0;
  }
  [[nodiscard]] int next_switch(int, const Positions&, double, const State&) const { return 1; }
  [[nodiscard]] double kink_time(const Positions& switches) const {
    return switches[0] == 0 ? 1.0 : std::numeric_limits<double>::infinity();
  }
  [[nodiscard]] Positions pass_kink(Positions switches) const {
    ++switches[0];
    return switches;
  }
};

TEST(Integrator, NoticesAGuardThatDipsBetweenTwoLooks) {
  for (const double depth : {1e-3, 1e-5, 1e-8}) {
    SCOPED_TRACE(depth);
    const BrakedWheel plant(BrakedWheel::least() + depth);
    Integrator<BrakedWheel, DormandPrince> integrator(plant, {1e-9, 1.0, 10'000});
    const auto run = integrator.run(0.0, BrakedWheel::start(), {}, 3.0, NoRecorder{});
    ASSERT_EQ(run.changes.size(), 1U);
    const double after_kink =
        BrakedWheel::kBrake / BrakedWheel::kEase - std::sqrt(2.0 * depth / BrakedWheel::kEase);
    // The root is as sharp as rounding of a speed near 1 allows: that over the slope there.
    const double slope = std::sqrt(2.0 * depth * BrakedWheel::kEase);
    EXPECT_NEAR(run.changes[0].time, 1.0 + after_kink, 1e-15 / slope + 1e-12);
  }
}

TEST(Integrator, AGuardThatTurnsJustAboveZeroDoesNotFall) {
  const BrakedWheel plant(BrakedWheel::least() - 1e-8);
  Integrator<BrakedWheel, DormandPrince> integrator(plant, {1e-9, 1.0, 10'000});
  EXPECT_TRUE(integrator.run(0.0, BrakedWheel::start(), {}, 3.0, NoRecorder{}).changes.empty());
}

// Least value of the shoes' guards inside the segments of a run, on a row of points.
double least_shoe_guard(const LaunchOptions& options) {
  const Drivetrain plant(trial_car(), {options.pedals, options.grade});
  Integrator<Drivetrain, Rosenbrock> integrator(plant, options.integration);
  double least = 1.0;
  const auto watch = [&](const auto& segment) {
    constexpr int kPoints = 64;
    for (int k = 1; k < kPoints; ++k) {
      const double time = segment.begin + (segment.end - segment.begin) * k / kPoints;
      for (const int shoe : {plant_switch::shoes, plant_switch::shoes + 1}) {
        least = std::min(
            least, plant.switch_guard(shoe, segment.modes.switches, time, segment.state(time)));
      }
    }
    return std::numeric_limits<double>::infinity();
  };
  const StateOf<Drivetrain> start = plant.rolling_state(0.0);
  ModesOf<Drivetrain> modes;
  modes.switches = plant.rolling_switches(start);
  EXPECT_EQ(integrator.run(0.0, start, modes, options.longest_time, watch).ending.status,
            Status::finished);
  return least;
}

TEST(Launch, NoShoeDipsBelowItsContactUnnoticed) {
  constexpr double kGuardNoise = 1e-9;  // what the integrator takes for zero
  for (const double tolerance : {1e-4, 1e-6}) {
    SCOPED_TRACE(tolerance);
    const double graze = grazing_lift(tolerance);
    // Lifts so near the graze that the guard is below zero for less than a step.
    const double width = tolerance == 1e-4 ? 2e-5 : 3e-7;
    for (int k = -20; k <= 20; ++k) {
      EXPECT_GT(least_shoe_guard(lift_at(graze + width * k / 20, tolerance)), -kGuardNoise) << k;
    }
  }
}

TEST(Ensemble, ADipIsNoticedInLanesToo) {
  const double graze = grazing_lift(1e-6);
  for (const std::size_t width : {2U, 4U, 8U}) {
    if (lane_form(width).width != width) continue;
    for (int k = -3; k <= 8; ++k) {
      const LaunchOptions options = lift_at(graze + 1e-8 * k, 1e-6);
      const LaunchResult alone = launch(trial_car(), options);
      std::size_t next = 0;
      run_ensemble(options, lane_form(width),
                   {[&](std::size_t& number, Car& car) {
                      number = next++;
                      car = trial_car();
                      return number < width;
                    },
                    [&](std::size_t, const LaunchResult& result) {
                      EXPECT_EQ(result.changes, alone.changes) << width << ' ' << k;
                    },
                    [](std::size_t, const std::string& why) { FAIL() << why; }});
    }
  }
}

}  // namespace
}  // namespace layshaft
