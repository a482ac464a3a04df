#include "layshaft/car/speed_plan.hpp"

#include <algorithm>
#include <cmath>

#include "layshaft/laws/grip.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

// What the brake can reach along the road, and what else holds the car back.
struct Braked {
  double load;                  // Both axles [N].
  double rear, front;           // Braking forces that tyres and belts hold [N].
  double friction;              // The lesser of both [-].
  double rolling;               // [N]
  double cornering_per_square;  // Over the square of the friction used sideways [N].
};

Braked braked_at(const CarLaw& law, double speed_squared, double deceleration) {
  const double load = law.loading.weight + law.loading.downforce * speed_squared;
  const double forwards = law.lever * (law.mass * deceleration - law.grade_force);
  const double front_load = std::clamp(law.loading.front_share * load + forwards, 0.0, load);
  const double rear_load = load - front_load;
  const double rear = tyre_friction(law.rear_tyre, rear_load);
  const double front = tyre_friction(law.front_tyre, front_load);
  // No axle is braked harder than its belt holds; a one-way front axle's holds nothing.
  const double rear_held = std::min(rear * rear_load, law.rear_jump / law.rear_tyre.radius);
  const double front_held =
      std::min(front * front_load, law.front_back_jump / law.front_tyre.radius);
  return {load,
          rear_held,
          front_held,
          std::min(rear, front),
          rolling_drag(law.rear_tyre, rear_load) + rolling_drag(law.front_tyre, front_load),
          cornering_drag(law.rear_tyre.stiffness_factor, 1.0, rear_load) +
              cornering_drag(law.front_tyre.stiffness_factor, 1.0, front_load)};
}

constexpr int kSettling = 4;  // Rounds for the load that braking moves; each gains two digits.

// a y^2 + b y + c.
struct Quadratic {
  double a, b, c;

  [[nodiscard]] double operator()(double y) const { return (a * y + b) * y + c; }

  // Least root above `from`, where the value is above 0; infinite where there is none.
  [[nodiscard]] double root_above(double from) const {
    const double value = std::max((*this)(from), 0.0);
    const double slope = 2.0 * a * from + b;
    const double inside = slope * slope - 4.0 * a * value;
    if (inside < 0.0) return HUGE_VAL;
    // The form that does not cancel while the value falls.
    const double below = std::sqrt(inside) - slope;
    return below > 0.0 ? from + 2.0 * value / below : HUGE_VAL;
  }
};

// Share of the grip of an axle under `share_of_load` of the pressing force and `offset` [N].
double axle_limit_squared(const CarLaw& law, const TyreLaw<double>& tyre, double share_of_load,
                          double offset, double curvature, double share) {
  const double needed = law.mass * std::abs(curvature);  // Force sideways over y.
  const double unloaded = share * tyre.friction_unloaded;
  // Friction lost: standing + growth y.
  const double standing =
      std::max(tyre.friction_fall * (share_of_load * law.loading.weight + offset), 0.0);
  const double growth = tyre.friction_fall * share_of_load * law.loading.downforce;

  const Quadratic line{
      -unloaded * growth * law.loading.downforce,
      unloaded * ((1.0 - standing) * law.loading.downforce - growth * law.loading.weight) - needed,
      unloaded * (1.0 - standing) * law.loading.weight};
  // The equation times (fall - kLeastFriction).
  const double above = standing - kLeastFriction;
  const double tail_standing = kLeastFriction * above + square(kMostFall - kLeastFriction);
  const Quadratic tail{growth * (unloaded * kLeastFriction * law.loading.downforce - needed),
                       unloaded * (kLeastFriction * growth * law.loading.weight +
                                   tail_standing * law.loading.downforce) -
                           needed * above,
                       unloaded * tail_standing * law.loading.weight};

  const bool on_line = standing <= kMostFall;
  const double meet = (kMostFall - standing) / growth;
  const double first = (on_line ? line : tail).root_above(0.0);
  if (!(meet > 0.0) || first <= meet) return first;
  return (on_line ? tail : line).root_above(meet);
}

}  // namespace

void validate(const TrackDriver& driver) {
  const auto check = [](bool good, const char* field, double value, const char* bound) {
    require(good, "TrackDriver", field, value, bound);
  };
  check(driver.corner_share >= 0.3 && driver.corner_share <= 1.0, "corner_share",
        driver.corner_share, "from 0.3 to 1");
  check(driver.brake_share >= 0.1 && driver.brake_share <= 1.0, "brake_share", driver.brake_share,
        "from 0.1 to 1");
  check(driver.release_time >= 0.0 && driver.release_time <= 2.0, "release_time",
        driver.release_time, "from 0 to 2");
  check(driver.correction_time >= 0.01 && driver.correction_time <= 1.0, "correction_time",
        driver.correction_time, "from 0.01 to 1");
}

double standing_grip(const CarLaw& level) {
  const double front = level.loading.front_share * level.loading.weight;
  const double rear = level.loading.weight - front;
  return tyre_friction(level.rear_tyre, rear) * rear +
         tyre_friction(level.front_tyre, front) * front;
}

BrakePedal brake_pedal(const CarLaw& level) {
  // Shares of that grip, of the `kHardestBraking` asked for.
  constexpr double kPlanned = 1.2;
  if (!(level.brake_torque > 0.0)) return {0.0, 0.0};
  Braked braked = braked_at(level, 0.0, 0.0);
  for (int round = 0; round < kSettling; ++round) {
    braked = braked_at(level, 0.0, (braked.rear + braked.front) / level.mass);
  }
  const double torque = braked.rear * level.rear_tyre.radius / level.rear_ratio +
                        braked.front * level.front_tyre.radius / level.front_ratio;
  if (!(torque > 0.0)) return {0.0, 0.0};
  const double at_grip = std::min(torque / level.brake_torque, 1.0 / kHardestBraking);
  return {at_grip, kPlanned * at_grip * level.brake_torque / torque * (braked.rear + braked.front)};
}

double corner_limit_squared(const CarLaw& law, double curvature, double share) {
  const double backwards = law.lever * law.grade_force;
  const double grip = std::min(axle_limit_squared(law, law.rear_tyre, 1.0 - law.loading.front_share,
                                                  backwards, curvature, share),
                               axle_limit_squared(law, law.front_tyre, law.loading.front_share,
                                                  -backwards, curvature, share));
  const double lifts = law.loading.downforce < 0.0
                           ? (kLeastAimedPressed - 1.0) * law.loading.weight / law.loading.downforce
                           : HUGE_VAL;
  return std::min(grip, lifts);
}

EnginePeak engine_peak(const EngineLaw<double>& engine) {
  constexpr int kLooks = 400;
  constexpr double kUsual = 6000.0;  // [rad/s]
  const double fastest = std::max(kUsual, most_engine_speed(engine));
  EnginePeak peak{0.0, 0.0};
  for (int k = 1; k <= kLooks; ++k) {
    const double speed = fastest * k / kLooks;
    const double power = engine_torque(engine, speed, 1.0) * speed;
    if (power > peak.power) peak = {power, speed};
  }
  return peak;
}

double power_limit_squared(const CarLaw& law) {
  const double power = engine_peak(law.engine).power;
  const auto is_held = [&](double speed) {
    const double held =
        law.drag * speed * speed + law.grade_force + braked_at(law, speed * speed, 0.0).rolling;
    return held * speed < power;
  };
  double slow = 0.0;
  double fast = kFastestAim;
  if (is_held(fast)) return fast * fast;
  constexpr int kHalvings = 40;
  for (int k = 0; k < kHalvings; ++k) {
    const double middle = 0.5 * (slow + fast);
    (is_held(middle) ? slow : fast) = middle;
  }
  return fast * fast;
}

double brake_deceleration(const CarLaw& law, double curvature, double speed_squared, double share,
                          double most_force) {
  double deceleration = 0.0;
  for (int round = 0; round < kSettling; ++round) {
    const Braked braked = braked_at(law, speed_squared, deceleration);
    const double sideways =
        lateral_friction(law.mass, std::sqrt(speed_squared), curvature, braked.load);
    const double held =
        share * std::min((braked.rear + braked.front) * grip_left(sideways, braked.friction),
                         most_force) +
        law.drag * speed_squared + law.grade_force + braked.rolling +
        braked.cornering_per_square * square(sideways);
    deceleration = std::max(held / law.mass, 0.0);
  }
  return deceleration;
}

Approaches::Approaches(const Track& track) : over_the_line_(0.0) {
  for (const Corner& corner : track.corners()) ends_.push_back(corner.end);
  if (!ends_.empty()) over_the_line_ = ends_.back() - track.length();
}

std::size_t Approaches::at(double distance) const {
  if (ends_.empty()) return 0;
  if (distance <= over_the_line_) return ends_.size() - 1;
  const auto found = std::lower_bound(ends_.begin(), ends_.end(), distance);
  // Behind the last corner lies the way to the first.
  return found == ends_.end() ? 0 : static_cast<std::size_t>(found - ends_.begin());
}

namespace {

// The way back over one step of the plan.
class PlanStep {
 public:
  PlanStep(const CarLaw& law, double curvature, double limit, double share, double most_force)
      : law_(law), curvature_(curvature), limit_(limit), share_(share), most_force_(most_force) {}

  [[nodiscard]] double share() const { return share_; }

  // Mean deceleration over a step [m] back from the square of a speed, by a share of the grip.
  [[nodiscard]] double mean(double after, double step, double share) const {
    const double begin = at(after, share);
    const double gained = 2.0 * step * begin;
    if (!(gained > 0.0)) return 0.0;
    const double z = 2.0 * step * (at(after + gained, share) - begin) / gained;
    return z == 0.0 ? begin : begin * std::expm1(z) / z;
  }

 private:
  [[nodiscard]] double at(double square, double share) const {
    return brake_deceleration(law_, curvature_, std::min(square, limit_), share, most_force_);
  }

  const CarLaw& law_;
  double curvature_, limit_, share_, most_force_;
};

// The plan's own values of a track, one for each place of its grid.
struct Plan {
  std::vector<double> squares;
  std::vector<PlanStep> steps;  // From each place to the next.
};

Plan make_plan(const Track& track, std::span<const CarLaw> laws, const BrakePedal& brake,
               const TrackDriver& driver, std::span<const double> margins, std::size_t count) {
  const double step = track.length() / static_cast<double>(count);
  const Approaches approaches(track);
  const auto margin = [&](double distance) {
    return margins.empty() ? 1.0 : margins[approaches.at(distance)];
  };
  const double top = power_limit_squared(
      *std::ranges::min_element(laws, {}, [](const CarLaw& law) { return law.grade_force; }));
  const auto limit = [&](double distance) {
    return corner_limit_squared(laws[track.piece_at(distance)], track.curvature_at(distance),
                                driver.corner_share * margin(distance));
  };
  // So that no corner slips through between the places of the grid.
  const auto least_limit = [&](double distance) {
    double least = top;
    for (const double share : {-0.5, -0.25, 0.0, 0.25, 0.5}) {
      const double near = distance + share * step;
      least = std::min(least, limit(near - track.length() * std::floor(near / track.length())));
    }
    return least;
  };
  Plan plan;
  for (std::size_t k = 0; k < count; ++k) {
    const double here = static_cast<double>(k) * step;
    plan.squares.push_back(least_limit(here));
    const double middle = here + 0.5 * step;
    plan.steps.emplace_back(laws[track.piece_at(middle)], track.curvature_at(middle),
                            std::min(top, limit(middle)),
                            driver.brake_share * square(margin(middle)), brake.most_force);
  }
  return plan;
}

}  // namespace

SpeedCurve make_speed_curve(const Track& track, std::span<const CarLaw> laws,
                            const BrakePedal& brake, const TrackDriver& driver,
                            std::span<const double> margins) {
  const auto count =
      static_cast<std::size_t>(std::max(std::ceil(track.length() / kSpeedGrid), 4.0));
  const double step = track.length() / static_cast<double>(count);
  auto [squares, steps] = make_plan(track, laws, brake, driver, margins, count);
  // Twice round, so that the second time the line is crossed with the right speed.
  double braking = 0.0;
  // Who leaves a margin for a corner leaves it all the way back, through other corners too.
  double carried = 1.0;
  for (std::size_t back = 2 * count; back-- > 0;) {
    const std::size_t k = back % count;
    const double after = squares[(k + 1) % count];
    const double share = std::min(steps[k].share(), carried);
    const double full = steps[k].mean(after, step, share);
    const double grown =
        braking + full * step / (std::sqrt(after) * std::max(driver.release_time, 1e-9));
    const double reach = after + 2.0 * step * std::min(full, grown);
    carried = squares[k] <= reach ? steps[k].share() : share;
    squares[k] = std::min(squares[k], reach);
    braking = std::max(0.5 * (squares[k] - after) / step, 0.0);
  }
  return {track.length(), std::move(squares)};
}

}  // namespace layshaft
