#include "layshaft/run/launch_warnings.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "layshaft/laws/two_speed_setup.hpp"
#include "layshaft/number/absent.hpp"
#include "layshaft/number/real.hpp"
#include "layshaft/number/text.hpp"
#include "layshaft/run/launch.hpp"

namespace layshaft {
namespace {

constexpr double kFarthest = 9e4;         // Never reached in that time [m].
constexpr double kBetweenSamples = 1e-3;  // [s]

LaunchResult warning_launch(const Car& car, double sample_interval) {
  LaunchOptions options;
  options.distance = kFarthest;
  options.longest_time = kWarningLaunchTime;
  options.sample_interval = sample_interval;
  return launch(car, options);
}

// When each shoe first lies on the drum [s]; infinite for one that never does.
std::array<double, kShoes> contact_times(const LaunchResult& run) {
  std::array<double, kShoes> times;
  times.fill(kNever);
  for (std::size_t k = 0; k < kShoes; ++k) {
    const int which = plant_switch::shoes + static_cast<int>(k);
    if (run.first_modes.switches[static_cast<std::size_t>(which)] == 1) times[k] = 0.0;
    for (const Change& change : run.changes) {
      if (change.part == Change::Part::plant_switch && change.index == which && change.to == 1) {
        times[k] = std::min(times[k], change.time);
      }
    }
  }
  return times;
}

// Whether the drum ever turns with the shaft.
bool drum_locks(const LaunchResult& run) {
  return run.upshifts > 0 ||
         is_stuck(run.first_modes.couplings[static_cast<std::size_t>(coupling::second)]);
}

void warn_of_shift(const Car& car, const LaunchResult& run, std::vector<CarWarning>& warnings) {
  const auto say = [&warnings](const char* code, const std::string& text) {
    warnings.push_back({"two_speed", code, text});
  };
  const ShiftBand band = shift_band(car.two_speed);
  const std::string reached = " of the shaft, which reaches " + in_rpm(run.state(node::shaft));
  const std::array<double, kShoes> contacts = contact_times(run);
  const double first = std::ranges::min(contacts);
  if (first == kNever) {
    say("never_shifts", "never shifts: the shoes would go out at " + in_rpm(band.first_contact) +
                            reached + " at full throttle; turn the screws out");
    return;
  }
  if (std::ranges::max(contacts) == kNever) {
    say("one_shoe_only",
        "one shoe only: the other would go out at " + in_rpm(band.last_contact) + reached);
  }
  // Written as !(locked before) so that a clutch that never locks counts too.
  if (!(run.clutch_lock_time < first)) {
    say("shifts_early", "shifts early: a shoe goes out at " + in_rpm(band.first_contact) +
                            " of the shaft, before the engine clutch has locked, and drags from "
                            "there on; turn the screws in");
  }
  if (!drum_locks(run)) {
    say("never_locks", "never locks: the shoes slip from " + with_decimals(first, 2) +
                           " s on to the end of " + with_decimals(kWarningLaunchTime, 0) +
                           " s at full throttle and take " +
                           with_decimals(run.accounts[account::shoe_loss], 0) + " J");
  }
}

void warn_of_clutch(const LaunchResult& run, std::vector<CarWarning>& warnings) {
  if (std::isfinite(run.clutch_lock_time)) return;
  warnings.push_back({"clutch", "clutch_never_locks",
                      "The engine clutch has not locked after " +
                          with_decimals(kWarningLaunchTime, 0) +
                          " s at full throttle and has taken " +
                          with_decimals(run.accounts[account::clutch_loss], 0) + " J."});
}

void warn_of_engine_speed(const Car& car, const LaunchResult& run,
                          std::vector<CarWarning>& warnings) {
  const double limit = car.engine.speed_limit;
  if (!(run.peaks.crank_speed > limit)) return;
  const bool at_the_end = run.state(node::crank) > limit;
  warnings.push_back(
      {"engine", "over_limit",
       "The engine passes its limit of " + in_rpm(limit) + ": full throttle takes it to " +
           in_rpm(run.peaks.crank_speed) +
           (at_the_end ? ", and keeps it above at top speed; choose taller gears."
                       : " on the way; shift earlier or choose a taller first gear.")});
}

// Whether a belt slipped at all.
bool slips(const LaunchResult& run, int belt) {
  return std::any_of(run.changes.begin(), run.changes.end(), [belt](const Change& change) {
    return change.part == Change::Part::coupling && change.index == belt &&
           (change.to == static_cast<int>(CouplingMode::slip_positive) ||
            change.to == static_cast<int>(CouplingMode::slip_negative));
  });
}

// What a belt jumped. A one-way axle that overtakes its belt takes no torque from it, and so does
// not make it jump.
struct Jumping {
  double teeth;
  double loss;  // [J]
};

Jumping jumping(const LaunchResult& run, int belt, double teeth_in_a_turn) {
  Jumping sum{0.0, 0.0};
  for (const Sample& sample : run.samples) {
    const double power = sample.torques(belt) * sample.slips(belt);
    if (!(power > 0.0)) continue;
    sum.teeth += kBetweenSamples * std::abs(sample.slips(belt)) * teeth_in_a_turn / (2.0 * kPi);
    sum.loss += kBetweenSamples * power;
  }
  return sum;
}

void warn_of_belts(const Car& car, const LaunchResult& run, std::vector<CarWarning>& warnings) {
  const bool rear = slips(run, coupling::rear_belt);
  const bool front = slips(run, coupling::front_belt);
  if (!rear && !front) return;
  const LaunchResult sampled = warning_launch(car, kBetweenSamples);
  const auto say = [&](int belt, double teeth, const char* part, const char* which) {
    const Jumping jumped = jumping(sampled, belt, teeth);
    if (jumped.teeth < 1.0) return;  // what slips by less than a tooth has not jumped
    warnings.push_back({part, "belt_jumps",
                        std::string(which) + " is too slack: at full throttle it jumps " +
                            with_decimals(jumped.teeth, 0) + " teeth and loses " +
                            with_decimals(jumped.loss, 0) + " J in " +
                            with_decimals(kWarningLaunchTime, 0) + " s; tighten it."});
  };
  if (rear) say(coupling::rear_belt, car.belts.rear.out_teeth, "belts.rear", "The rear belt");
  if (front) {
    say(coupling::front_belt, car.belts.front.out_teeth, "belts.front",
        "The front belt or the middle one");
  }
}

}  // namespace

std::vector<CarWarning> launch_warnings(const Car& car) {
  const LaunchResult run = warning_launch(car, 0.0);
  std::vector<CarWarning> warnings;
  if (run.ending.status != Status::finished) {
    warnings.push_back({"car", "launch_stops",
                        "A launch at full throttle stops after " +
                            with_decimals(run.ending.time, 3) + " s; `layshaft launch` says why."});
    return warnings;
  }
  warn_of_shift(car, run, warnings);
  warn_of_clutch(run, warnings);
  warn_of_engine_speed(car, run, warnings);
  warn_of_belts(car, run, warnings);
  return warnings;
}

}  // namespace layshaft
