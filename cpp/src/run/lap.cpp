#include "layshaft/run/lap.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

#include "layshaft/car/car_integrator.hpp"
#include "layshaft/number/text.hpp"
#include "layshaft/run/lap_margins.hpp"
#include "layshaft/run/lap_recorder.hpp"

namespace layshaft {
namespace {

// A lap repeats when no state of motion ends further from where it began than this share of its
// scale and size, and no temperature further than the other: a tenth of a kelvin and a hundredth of
// the rise, which no friction tells.
constexpr double kPeriod = 1e-4;
constexpr double kWarmPeriod = 1e-2;
// A lap after which the driver leaves more margin is driven anew: this near is near enough to tell.
constexpr double kNearPeriod = 2e-2;
constexpr int kMarginLaps = 4;          // All laps, over the most with one set of margins.
constexpr double kRollingStart = 12.0;  // Of the first of the flying laps, at most [m/s].

void check_lap(bool good, std::string_view field, double value, std::string_view bound) {
  require(good, "LapOptions", field, value, bound);
}

// The first two states that only slowly repeat, of a friction pair with its heat paths.
struct WarmPair {
  int surface;
  const HeatLaw<double>& heat;
};

// What is left of rises over the air [K] after a time [s] without new heat: exp(A t).
Eigen::Matrix2d cooling(const HeatLaw<double>& heat, double time) {
  const double across = heat.between_conductance;
  Eigen::Matrix2d rates;
  rates << -(across + heat.surface_conductance) * heat.surface_rise_per_heat,
      across * heat.surface_rise_per_heat, across * heat.body_rise_per_heat,
      -(across + heat.body_conductance) * heat.body_rise_per_heat;
  // The roots are real: the matrix is symmetric in the scaled temperatures sqrt(capacity) x.
  const double middle = 0.5 * rates.trace();
  const double spread = std::sqrt(std::max(square(middle) - rates.determinant(), 1e-300));
  const Eigen::Matrix2d shifted = rates - middle * Eigen::Matrix2d::Identity();
  return std::exp(middle * time) * (std::cosh(spread * time) * Eigen::Matrix2d::Identity() +
                                    std::sinh(spread * time) / spread * shifted);
}

// The way of a pair's temperatures from lap to lap.
class Settling {
 public:
  /// Moves the temperatures at the line to where they would repeat if each lap made the same heat:
  /// x* = x0 + (1 - exp(A t))^-1 (x1 - x0). Warmer linings may make so much less of it that they
  /// would go to and fro for ever: the way is halved where it turns round.
  void settle(const WarmPair& pair, const StateOf<TrackCar>& begin, double time,
              StateOf<TrackCar>& end) {
    const Eigen::Matrix2d left = Eigen::Matrix2d::Identity() - cooling(pair.heat, time);
    if (!(std::abs(left.determinant()) > 1e-12)) return;
    const Eigen::Vector2d was = begin.segment<2>(pair.surface);
    const Eigen::Vector2d way = left.inverse() * (end.segment<2>(pair.surface) - was);
    if (way.dot(last_way_) < -0.5 * last_way_.squaredNorm()) share_ *= 0.5;
    last_way_ = way;
    end.segment<2>(pair.surface) = (was + share_ * way).cwiseMax(0.0);
  }

 private:
  Eigen::Vector2d last_way_ = Eigen::Vector2d::Zero();
  double share_ = 1.0;
};

class LapDrive {
 public:
  LapDrive(const Car& car, const Track& track, const LapOptions& options,
           const std::vector<double>& margins)
      : plant_(car, track, options.driver, margins),
        options_(options),
        air_temperature_(car.air.temperature) {}

  [[nodiscard]] LapResult standing() { return drive_from(plant_.rolling_state(0.0)); }

  /// From where a lap with other margins repeated, or else ended; from a rolling start
  /// behind no lap at all. `most_laps` are driven; fewer that near repeat where one that does not
  /// hold is `to_be_mended`.
  [[nodiscard]] LapResult flying(const LapResult& before, int most_laps, bool to_be_mended) {
    const bool again = before.complete;
    const double aim = std::sqrt(plant_.speed_curve().at(0.0).square);
    StateOf<TrackCar> begin = !again           ? plant_.rolling_state(std::min(aim, kRollingStart))
                              : before.repeats ? before.begin
                                               : next_begin(before, 2);
    if (again) modes_ = before.repeats ? before.first_modes : before.last_modes;
    driven_ = again;
    LapResult result;
    for (int laps = 1; laps <= most_laps; ++laps) {
      result = drive_from(begin);
      result.laps = laps;
      if (!result.complete) return result;
      const auto error = [&](bool warm) { return difference(result.begin, result.end, warm); };
      result.period_error = error(false);
      // The second lap at least behind a rolling start, which began anyhow.
      const bool behind_a_lap = again || laps > 1;
      result.repeats = behind_a_lap && result.period_error <= kPeriod &&
                       (!options_.settled || error(true) <= kWarmPeriod);
      if (result.repeats) return result;
      const bool near = behind_a_lap && result.period_error <= kNearPeriod;
      if (to_be_mended && near && !result.holds) return result;
      begin = next_begin(result, laps);
    }
    return result;
  }

 private:
  // Drives one lap in the modes that the last one ended in.
  [[nodiscard]] LapResult drive_from(const StateOf<TrackCar>& begin) {
    LapResult result;
    LapRecorder recorder(plant_, options_, air_temperature_, result);
    TrackIntegrator integrator(plant_, options_.integration);
    ModesOf<TrackCar> modes = modes_;
    if (!driven_) modes.switches = plant_.rolling_switches(begin);
    modes.switches[track_switch::piece] = 0;
    const auto run = integrator.run(0.0, begin, modes, options_.longest_time, recorder);
    recorder.finish();
    modes_ = run.modes;
    driven_ = true;
    result.ending = run.ending;
    if (result.ending.status == Status::finished && result.peaks.pitch >= kPitchOver) {
      result.ending.status = Status::goes_over;
    }
    if (result.ending.status != Status::finished) {
      result.complete = false;
      result.time = std::numeric_limits<double>::quiet_NaN();
    }
    result.laps = 1;
    result.repeats = true;
    result.first_modes = run.first_modes;
    result.last_modes = run.modes;
    result.changes = run.changes;
    result.begin = begin;
    result.end = run.state;
    result.accounts = run.accounts;
    result.holds = std::ranges::all_of(result.most_grips, [](double g) { return g <= kAllGrip; });
    result.edges = run.error.edges;
    result.doubtful = result.edges > 0 || result.time_error > kSureTime;
    finish(result);
    return result;
  }

  void finish(LapResult& result) const {
    const Drivetrain& base = plant_.base();
    const auto car = [](const StateOf<TrackCar>& state) -> Drivetrain::State {
      return state.head<car_state::count>();
    };
    result.car_energy = base.car_energy(car(result.end)) - base.car_energy(car(result.begin));
    result.rotating_energy =
        base.rotating_energy(car(result.end)) - base.rotating_energy(car(result.begin));
    result.energy_residual = parts::unspent_work<TrackParts>(result.accounts) - result.car_energy -
                             result.rotating_energy;
  }

  [[nodiscard]] StateOf<TrackCar> next_begin(const LapResult& result, int laps) {
    StateOf<TrackCar> begin = result.end;
    begin(track_state::distance) = 0.0;
    const bool cold = !options_.settled && laps > 1;
    const auto go_on = [&](const WarmPair& pair, Settling& settling) {
      if (options_.settled) settling.settle(pair, result.begin, result.time, begin);
      if (cold) begin.segment<2>(pair.surface) = result.begin.segment<2>(pair.surface);
    };
    go_on({car_state::clutch_surface, law().clutch_heat}, clutch_settling_);
    go_on({car_state::shoe_surface, law().shoe_heat}, shoe_settling_);
    return begin;
  }

  [[nodiscard]] const CarLaw& law() const { return plant_.base().law(); }

  // Largest difference over scale and size, of the motion or of the temperatures.
  [[nodiscard]] double difference(const StateOf<TrackCar>& begin, const StateOf<TrackCar>& end,
                                  bool warm) const {
    const StateOf<TrackCar> scale = plant_.state_scale();
    double largest = 0.0;
    for (int i = 0; i < track_state::count; ++i) {
      const bool is_warm = is_rise<TrackParts>(i);
      if (i == track_state::distance || is_warm != warm) continue;
      largest = std::max(largest, std::abs(end(i) - begin(i)) / (scale(i) + std::abs(begin(i))));
    }
    return largest;
  }

  TrackCar plant_;
  const LapOptions& options_;
  double air_temperature_;
  ModesOf<TrackCar> modes_{};
  Settling clutch_settling_;
  Settling shoe_settling_;
  bool driven_ = false;
};

}  // namespace

void validate(const LapOptions& options, const Track& track) {
  validate(options.driver);
  check_lap(options.sample_spacing == 0.0 || options.sample_spacing >= 1e-3, "sample_spacing",
            options.sample_spacing, "0 or >= 0.001");
  const std::string within = "ascending and within the lap of " + in_digits(track.length()) + " m";
  double previous = 0.0;
  for (const double end : options.sectors) {
    check_lap(end > previous && end < track.length(), "sectors", end, within);
    previous = end;
  }
  check_lap(options.before_corner >= 0.0 && options.before_corner <= 100.0, "before_corner",
            options.before_corner, "from 0 to 100");
  check_lap(options.least_power >= 0.0 && options.least_power <= 1.0, "least_power",
            options.least_power, "from 0 to 1");
  check_lap(options.longest_time > 0.0 && options.longest_time < 1e4, "longest_time",
            options.longest_time, "> 0 and < 1e4");
  check_lap(options.most_laps > 1 && options.most_laps <= 1000, "most_laps", options.most_laps,
            "from 2 to 1000");
  const IntegrationOptions& integration = options.integration;
  check_lap(integration.tolerance >= 1e-13 && integration.tolerance <= 0.1, "tolerance",
            integration.tolerance, "from 1e-13 to 0.1");
  check_lap(integration.most_steps > 0, "most_steps", static_cast<double>(integration.most_steps),
            "> 0");
}

double most_grip(const LapResult& result) {
  const auto most = std::ranges::max_element(result.most_grips);
  return most == result.most_grips.end() ? std::numeric_limits<double>::quiet_NaN() : *most;
}

double grip_left(const LapResult& result) {
  double left = 0.0;
  for (std::size_t i = 0; i < result.margins.size(); ++i) {
    if (result.margins[i] < 1.0) left = std::max(left, 1.0 - result.most_grips[i]);
  }
  return left;
}

LapResult lap(const Car& car, const Track& track, const LapOptions& options) {
  validate(options, track);
  LapMargins margins(Approaches(track).count());
  const auto is_good = [](const LapResult& run) {
    return run.complete && run.repeats && run.holds;
  };
  LapResult best{};
  LapResult last{};
  int laps = 0;
  for (int round = 0;; ++round) {
    const int left = kMarginLaps * options.most_laps - laps;
    LapDrive drive(car, track, options, margins.factors());
    last = options.standing
               ? drive.standing()
               : drive.flying(last, std::min(left, options.most_laps), !margins.used_up());
    laps += last.laps;
    last.margin_rounds = round;
    last.margins = margins.factors();
    // Once there is a lap that holds, only a quicker one that does replaces it.
    const bool better =
        is_good(best) ? is_good(last) && last.time < best.time : last.complete || !best.complete;
    if (better) best = last;
    if (!last.complete || last.laps == left) break;
    const bool used_up = margins.used_up();
    if (!margins.improve(last.most_grips) && (last.repeats || used_up)) break;
  }
  best.laps = laps;
  best.doubtful = best.doubtful || grip_left(best) > kMuchGripLeft;
  return best;
}

}  // namespace layshaft
