// Each scalar of a launch or a lap is the number that its name says: no two are exchanged.

#include "layshaft/run/scalars.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string_view>
#include <vector>

#include "layshaft/run/lap.hpp"
#include "layshaft/run/launch.hpp"

namespace layshaft {
namespace {

/// What a scalar of this name must be.
struct Named {
  std::string_view name;
  double value;
};

template <class List, class Result>
void expect_each(const List& list, const Result& run, const std::vector<Named>& expected) {
  for (const Named& each : expected) {
    bool found = false;
    for (const auto& scalar : list) {
      if (scalar.name != each.name) continue;
      found = true;
      EXPECT_EQ(scalar.get(run), each.value) << each.name;
    }
    EXPECT_TRUE(found) << each.name;
  }
}

/// Accounts with a number of their own each.
template <class Accounts>
void fill_accounts(Accounts& accounts) {
  accounts[account::distance] = 101.0;
  accounts[account::fuel] = 102.0;
  accounts[account::engine_work] = 103.0;
  accounts[account::clutch_loss] = 104.0;
  accounts[account::shoe_loss] = 105.0;
  accounts[account::mesh_loss] = 106.0;
  accounts[account::belt_loss] = 107.0;
  accounts[account::brake_loss] = 108.0;
  accounts[account::rolling_loss] = 109.0;
  accounts[account::rear_tyre_loss] = 110.0;
  accounts[account::front_tyre_loss] = 111.0;
  accounts[account::tyre_stored] = 112.0;
  accounts[account::air_loss] = 113.0;
  accounts[account::grade_work] = 114.0;
}

const std::vector<Named> kOfAccounts{{"fuel", 102.0},
                                     {"engine_work", 103.0},
                                     {"clutch_loss", 104.0},
                                     {"shoe_loss", 105.0},
                                     {"mesh_loss", 106.0},
                                     {"belt_loss", 107.0},
                                     {"brake_loss", 108.0},
                                     {"rolling_loss", 109.0},
                                     {"rear_tyre_loss", 110.0},
                                     {"front_tyre_loss", 111.0},
                                     {"tyre_stored", 112.0},
                                     {"air_loss", 113.0},
                                     {"grade_work", 114.0},
                                     {"car_energy", 120.0},
                                     {"rotating_energy", 121.0},
                                     {"energy_residual", 122.0}};

constexpr Peaks kPeaks{{.car_speed = 1.0,
                        .crank_speed = 2.0,
                        .rear_slip = 3.0,
                        .front_slip = 4.0,
                        .clutch_temperature = 5.0,
                        .shoe_temperature = 6.0},
                       7.0};

const std::vector<Named> kOfPeaks{
    {"peak_speed", 1.0},      {"peak_engine_speed", 2.0},       {"peak_rear_slip", 3.0},
    {"peak_front_slip", 4.0}, {"peak_clutch_temperature", 5.0}, {"peak_shoe_temperature", 6.0},
    {"peak_pitch", 7.0}};

/// Four numbers of their own, from `number` on.
Moment numbered(double number) { return {number, number + 1.0, number + 2.0, number + 3.0}; }

/// All numbers differ, and so do all differences that a scalar may be.
Shift numbered_shift(double number) {
  return {.contact = numbered(number),
          .let_go = numbered(number + 10.0),
          .peak = numbered(number + 21.0),
          .lock = numbered(number + 33.0),
          .low = numbered(number + 46.0),
          .shaft_speed = number + 60.0,
          .heat = number + 70.0,
          .error = number + 80.0};
}

TEST(Scalars, OfALaunchAreWhatTheyAreCalled) {
  LaunchResult run{};
  fill_accounts(run.accounts);
  run.car_energy = 120.0;
  run.rotating_energy = 121.0;
  run.energy_residual = 122.0;
  run.peaks = kPeaks;
  run.shift = numbered_shift(200.0);
  run.state.entries.fill(-1.0);
  run.state(node::car) = 21.0;
  run.ending.time = 22.0;
  run.clutch_lock_time = 23.0;
  run.upshifts = 2;
  run.downshifts = 1;
  run.lifted_time = 25.0;
  run.time_error = 26.0;
  run.edges = 3;
  run.doubtful = true;
  expect_each(scalars(), run, kOfAccounts);
  expect_each(scalars(), run, kOfPeaks);
  expect_each(scalars(), run,
              {{"shift_time", 221.0},
               {"shift_distance", 222.0},
               {"shift_speed", 223.0},
               {"engine_speed_before", 224.0},
               {"low_time", 246.0},
               {"low_speed", 248.0},
               {"engine_speed_after", 249.0},
               {"engine_speed_drop", -25.0},  // from the peak to the low, 224 - 249
               {"contact_time", 200.0},
               {"contact_speed", 202.0},
               {"contact_engine_speed", 203.0},
               {"contact_shaft_speed", 260.0},
               {"let_go_time", 210.0},
               {"let_go_speed", 212.0},
               {"let_go_engine_speed", 213.0},
               {"lock_time", 233.0},
               {"lock_speed", 235.0},
               {"lock_engine_speed", 236.0},
               {"hand_over", 33.0},  // from the first touch to the lock-up, 233 - 200 s
               {"shift_heat", 270.0},
               {"end_speed", 21.0},
               {"end_distance", 101.0},
               {"end_time", 22.0},
               {"clutch_lock_time", 23.0},
               {"upshifts", 2.0},
               {"downshifts", 1.0},
               {"lifted_time", 25.0},
               {"time_error", 26.0},
               {"edges", 3.0},
               {"doubtful", 1.0}});
}

LapEvent event(LapEvent::Kind kind, Place place, double number) {
  const Shift up = kind == LapEvent::Kind::upshift ? numbered_shift(number) : Shift{};
  return {.kind = kind, .at = numbered(number), .place = place, .corner = 0, .up = up, .down = {}};
}

TEST(Scalars, OfALapAreWhatTheyAreCalled) {
  using Kind = LapEvent::Kind;
  LapResult run{};
  fill_accounts(run.accounts);
  run.accounts[track_account::cornering_loss] = 115.0;
  run.car_energy = 120.0;
  run.rotating_energy = 121.0;
  run.energy_residual = 122.0;
  run.peaks = kPeaks;
  run.time = 30.0;
  run.least_speed = 31.0;
  run.lifted_time = 32.0;
  run.time_error = 33.0;
  run.edges = 5;
  run.doubtful = true;
  run.margins = {0.9, 1.0};
  run.laps = 4;
  // Two up and three down; two of these in a corner, one just before one. The first up counts.
  run.events = {event(Kind::downshift, Place::in_corner, 40.0),
                event(Kind::clutch_opens, Place::in_corner, 50.0),
                event(Kind::upshift, Place::straight, 60.0),
                event(Kind::downshift, Place::before_corner, 70.0),
                event(Kind::clutch_bites, Place::straight, 80.0),
                event(Kind::upshift, Place::in_corner, 90.0),
                event(Kind::downshift, Place::straight, 100.0)};
  run.most_grips = {0.7, 0.6};
  expect_each(lap_scalars(), run, kOfAccounts);
  expect_each(lap_scalars(), run, kOfPeaks);
  expect_each(lap_scalars(), run,
              {{"cornering_loss", 115.0},
               {"lap_time", 30.0},
               {"least_speed", 31.0},
               {"laps_driven", 4.0},
               {"lifted_time", 32.0},
               {"time_error", 33.0},
               {"edges", 5.0},
               {"doubtful", 1.0},
               {"grip_left", 1.0 - 0.7},
               {"shift_time", 81.0},
               {"shift_distance", 82.0},
               {"shift_speed", 83.0},
               {"engine_speed_before", 84.0},
               {"low_time", 106.0},
               {"low_speed", 108.0},
               {"engine_speed_after", 109.0},
               {"engine_speed_drop", -25.0},
               {"contact_time", 60.0},
               {"contact_speed", 62.0},
               {"contact_engine_speed", 63.0},
               {"contact_shaft_speed", 120.0},
               {"let_go_time", 70.0},
               {"let_go_speed", 72.0},
               {"let_go_engine_speed", 73.0},
               {"lock_time", 93.0},
               {"lock_speed", 95.0},
               {"lock_engine_speed", 96.0},
               {"hand_over", 33.0},
               {"shift_heat", 130.0},
               {"upshifts", 2.0},
               {"downshifts", 3.0},
               {"shifts_in_corners", 2.0},
               {"shifts_before_corners", 1.0},
               {"clutch_openings", 1.0},
               {"most_grip", 0.7}});
}

TEST(LapScalars, OfNoLapHaveNoGrip) {
  for (const LapScalar& scalar : lap_scalars()) {
    const double value = scalar.get(LapResult{});
    if (scalar.name == "most_grip") {
      EXPECT_TRUE(std::isnan(value));
    }
  }
}

}  // namespace
}  // namespace layshaft
