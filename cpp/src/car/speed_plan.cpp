#include "layshaft/car/speed_plan.hpp"

#include <algorithm>
#include <cmath>

#include "layshaft/laws/grip.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

// What an axle can brake with, and what going round takes of it.
struct BrakedAxle {
  double held;       // Braking force that tyres and belt hold on a straight [N].
  double left;       // Share of it that the corner leaves [-].
  double rolling;    // [N]
  double cornering;  // [N]
};

BrakedAxle braked_axle(const TyreLaw<double>& tyre, double stiffness, double load, double sideways,
                       double belt) {
  const double friction = tyre_friction(tyre, load);
  const double used = load > 0.0 ? sideways / load : 0.0;
  // No axle is braked harder than its belt holds; a one-way front axle's holds nothing.
  return {std::min(friction * load, belt / tyre.radius), grip_left(used, friction),
          rolling_drag(tyre, load), cornering_drag(stiffness, used, friction, load)};
}

struct Braked {
  BrakedAxle rear, front;

  [[nodiscard]] double held() const { return rear.held + front.held; }
  [[nodiscard]] double rolling() const { return rear.rolling + front.rolling; }
};

Braked braked_at(const CarLaw& law, const Turn<double>& turn) {
  const LoadBalance<double> balance =
      load_balance<double, double>(law.loading, std::sqrt(turn.speed_squared),
                                   law.lever * (law.mass * turn.acceleration + law.grade_force));
  const double front = std::clamp(balance.front, 0.0, balance.pressed);
  const SidewaysForces<double> sideways = sideways_forces(law.yaw, turn);
  return {braked_axle(law.rear_tyre, law.rear_cornering_stiffness, balance.pressed - front,
                      sideways.rear, law.rear_jump),
          braked_axle(law.front_tyre, law.front_cornering_stiffness, front, sideways.front,
                      law.front_back_jump)};
}

// On a straight.
Braked braked_at(const CarLaw& law, double speed_squared, double deceleration) {
  return braked_at(law, Turn<double>{speed_squared, 0.0, 0.0, -deceleration});
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

// Of an axle whose load is `standing` + `growth` y, and which has to push sideways by `needed` y.
double axle_limit_squared(const TyreLaw<double>& tyre, double standing, double growth,
                          double needed, double share) {
  const double unloaded = share * tyre.friction_unloaded;
  const double load = std::max(standing, 0.0);
  // Friction lost: lost + fall y.
  const double lost = tyre.friction_fall * load;
  const double fall = tyre.friction_fall * growth;

  const Quadratic line{-unloaded * fall * growth,
                       unloaded * ((1.0 - lost) * growth - fall * load) - needed,
                       unloaded * (1.0 - lost) * load};
  // The equation times (fall - kLeastFriction).
  const double above = lost - kLeastFriction;
  const double tail_lost = kLeastFriction * above + square(kMostFall - kLeastFriction);
  const Quadratic tail{
      fall * (unloaded * kLeastFriction * growth - needed),
      unloaded * (kLeastFriction * fall * load + tail_lost * growth) - needed * above,
      unloaded * tail_lost * load};

  const bool on_line = lost <= kMostFall;
  const double meet = (kMostFall - lost) / fall;
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
    braked = braked_at(level, 0.0, braked.held() / level.mass);
  }
  const double torque = braked.rear.held * level.rear_tyre.radius / level.rear_ratio +
                        braked.front.held * level.front_tyre.radius / level.front_ratio;
  if (!(torque > 0.0)) return {0.0, 0.0};
  const double at_grip = std::min(torque / level.brake_torque, 1.0 / kHardestBraking);
  return {at_grip, kPlanned * at_grip * level.brake_torque / torque * braked.held()};
}

double corner_limit_squared(const CarLaw& law, const Bend& bend, double share) {
  const LoadingLaw<double>& loading = law.loading;
  const double front = loading.front_share * loading.weight - law.lever * law.grade_force;
  // Over y, at a steady speed.
  const SidewaysForces<double> needed =
      sideways_forces(law.yaw, Turn<double>{1.0, bend.curvature, bend.slope, 0.0});
  const double grip = std::min(
      axle_limit_squared(law.rear_tyre, loading.weight - front,
                         loading.downforce - loading.front_downforce, std::abs(needed.rear), share),
      axle_limit_squared(law.front_tyre, front, loading.front_downforce, std::abs(needed.front),
                         share));
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
        law.drag * speed * speed + law.grade_force + braked_at(law, speed * speed, 0.0).rolling();
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

double brake_deceleration(const CarLaw& law, const Bend& bend, double speed_squared, double share,
                          double most_force) {
  double deceleration = 0.0;
  for (int round = 0; round < kSettling; ++round) {
    const auto [rear, front] =
        braked_at(law, Turn<double>{speed_squared, bend.curvature, bend.slope, -deceleration});
    const double brake = std::min(rear.held * rear.left + front.held * front.left, most_force);
    const double held = share * brake + law.drag * speed_squared + law.grade_force + rear.rolling +
                        front.rolling + rear.cornering + front.cornering;
    deceleration = std::max(held / law.mass, 0.0);
  }
  return deceleration;
}

double unloading_deceleration(const CarLaw& law, const Bend& bend, double speed_squared,
                              double share) {
  const LoadingLaw<double>& loading = law.loading;
  const double lever = law.lever * law.mass;
  const double steady = (1.0 - loading.front_share) * loading.weight +
                        (loading.downforce - loading.front_downforce) * speed_squared +
                        law.lever * law.grade_force;
  double deceleration = 0.0;
  for (int round = 0; round < kSettling; ++round) {
    const double load = std::max(steady - lever * deceleration, 0.0);
    const SidewaysForces<double> sideways = sideways_forces(
        law.yaw, Turn<double>{speed_squared, bend.curvature, bend.slope, -deceleration});
    const double needed = std::abs(sideways.rear) / (share * tyre_friction(law.rear_tyre, load));
    deceleration = std::max((steady - needed) / lever, 0.0);
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
  PlanStep(const CarLaw& law, const Bend& bend, double limit, double borne_share, double share,
           double most_force)
      : law_(law),
        bend_(bend),
        limit_(limit),
        borne_share_(borne_share),
        share_(share),
        most_force_(most_force) {}

  [[nodiscard]] double share() const { return share_; }

  // The most that the rear axle bears there.
  [[nodiscard]] double borne(double square) const {
    return unloading_deceleration(law_, bend_, square, borne_share_);
  }

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
    return brake_deceleration(law_, bend_, std::min(square, limit_), share, most_force_);
  }

  const CarLaw& law_;
  Bend bend_;
  double limit_, borne_share_, share_, most_force_;
};

// The plan's own values of a track, one for each place of its grid.
struct Plan {
  std::vector<double> squares;
  std::vector<PlanStep> steps;  // From each place to the next.
};

Plan make_plan(const Track& track, const TurnCurve& turn, std::span<const CarLaw> laws,
               const BrakePedal& brake, const TrackDriver& driver, std::span<const double> margins,
               std::size_t count) {
  const double step = track.length() / static_cast<double>(count);
  const Approaches approaches(track);
  const auto margin = [&](double distance) {
    return margins.empty() ? 1.0 : margins[approaches.at(distance)];
  };
  const double top = power_limit_squared(
      *std::ranges::min_element(laws, {}, [](const CarLaw& law) { return law.grade_force; }));
  const auto bend_at = [&](double distance) {
    return Bend{track.curvature_at(distance), turn.at(distance)};
  };
  const auto limit = [&](double distance) {
    return corner_limit_squared(laws[track.piece_at(distance)], bend_at(distance),
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
    plan.squares.push_back(std::max(least_limit(here), square(kSlowestAim)));
    const double middle = here + 0.5 * step;
    plan.steps.emplace_back(laws[track.piece_at(middle)], bend_at(middle),
                            std::min(top, limit(middle)), margin(middle),
                            driver.brake_share * square(margin(middle)), brake.most_force);
  }
  return plan;
}

}  // namespace

SpeedCurve make_speed_curve(const Track& track, const TurnCurve& turn, std::span<const CarLaw> laws,
                            const BrakePedal& brake, const TrackDriver& driver,
                            std::span<const double> margins) {
  const auto count =
      static_cast<std::size_t>(std::max(std::ceil(track.length() / kSpeedGrid), 4.0));
  const double step = track.length() / static_cast<double>(count);
  auto [squares, steps] = make_plan(track, turn, laws, brake, driver, margins, count);
  // Twice round, so that the second time the line is crossed with the right speed.
  double braking = 0.0;
  // Who leaves a margin for a corner leaves it all the way back, through other corners too.
  double carried = 1.0;
  for (std::size_t back = 2 * count; back-- > 0;) {
    const std::size_t k = back % count;
    const double after = squares[(k + 1) % count];
    const double share = std::min(steps[k].share(), carried);
    const double full = std::min(steps[k].mean(after, step, share), steps[k].borne(after));
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
