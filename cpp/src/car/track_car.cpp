#include "layshaft/car/track_car.hpp"

#include <algorithm>
#include <cmath>

#include "layshaft/car/drivetrain_accounts.hpp"

namespace layshaft {
namespace {

std::vector<DrivetrainLaw<double>> laws_on(const DrivetrainLaw<double>& level, const Track& track) {
  std::vector<DrivetrainLaw<double>> laws;
  for (const TrackPiece& piece : track.pieces()) laws.push_back(law_on(level, piece));
  return laws;
}

FootLaw make_foot_law(const DrivetrainLaw<double>& law, const BrakePedal& brake,
                      const TrackDriver& driver, double full_throttle) {
  return {standing_grip(law) / law.mass, driver.correction_time, 1.0 / law.response_rate,
          full_throttle, brake.at_grip};
}

}  // namespace

DrivetrainLaw<double> law_on(const DrivetrainLaw<double>& level, const TrackPiece& piece) {
  DrivetrainLaw<double> law = level;
  const double slope = std::atan(piece.grade);
  law.weight = level.weight * std::cos(slope);
  law.grade_force = level.weight * std::sin(slope);
  for (TyreLaw<double>* tyre : {&law.rear_tyre, &law.front_tyre}) {
    tyre->friction_unloaded *= piece.grip;
  }
  return law;
}

TrackCar::TrackCar(const Car& car, const Track& track, const TrackDriver& driver,
                   const std::vector<double>& margins)
    : base_(car),
      track_(track),
      laws_(laws_on(base_.law(), track)),
      curve_(make_speed_curve(track, laws_, brake_pedal(base_.law()), (validate(driver), driver),
                              margins)),
      foot_(make_foot_law(base_.law(), brake_pedal(base_.law()), driver, car.driver.throttle)) {}

TrackCar::State TrackCar::state_scale() const {
  State scale;
  scale << base_.state_scale(), 10.0, 0.1;
  return scale;
}

TrackCar::State TrackCar::rolling_state(double speed) const {
  State state;
  state << base_.rolling_state(speed), 0.0, 0.0;
  return state;
}

TrackCar::Positions TrackCar::rolling_switches(const State& state) const {
  const Drivetrain::State car = state.head<kDrivetrainStates>();
  const Drivetrain::Positions own = base_.rolling_switches(car);
  Positions switches{};
  std::copy_n(own.begin(), track_switch::piece, switches.begin());
  switches[track_switch::piece] =
      static_cast<std::int16_t>(track_.piece_at(state(track_state::distance)));
  switches[track_switch::foot] = foot::down;
  const Active active = activate(switches);
  const bool fast = wish(active, loads(active, 0.0, state), state) < kFullWish;
  switches[track_switch::foot] = fast ? foot::aiming : foot::down;
  return switches;
}

TrackCar::Active TrackCar::activate(const Positions& switches) const {
  Drivetrain::Positions own{};
  std::copy_n(switches.begin(), track_switch::piece, own.begin());
  const auto piece = static_cast<std::size_t>(switches[track_switch::piece]);
  return {&laws_[piece], &track_.pieces()[piece], track_.begin(piece),
          switches[track_switch::foot] == foot::aiming, base_.activate(own)};
}

DrivetrainActive<double> TrackCar::with_pedals(const Active& active, const State& state,
                                               double throttle) const {
  DrivetrainActive<double> parts = active.parts;
  parts.pedals = {throttle, 0.0, state(track_state::pedal), 0.0};
  return parts;
}

TrackLoads TrackCar::loads(const Active& active, double time, const State& state) const {
  const DrivetrainLaw<double>& law = *active.law;
  TrackLoads loads{drivetrain_loads(law, with_pedals(active, state, 0.0), time, state), {}};
  AxleForces<double>& axles = loads.axles;
  loads.corner =
      corner_forces<double>(law, axles.rear_force, axles.front_force, axles.rear_load,
                            axles.front_load, state(node::car), curvature(active, state));
  const CornerForces<double>& corner = loads.corner;
  axles.rear_force -= corner.rear_taken;
  axles.front_force -= corner.front_taken;
  // What is left of the force winds up as much less of the carcass.
  axles.rear_stored *= corner.rear_left;
  axles.front_stored *= corner.front_left;
  loads.applied(node::rear) += corner.rear_taken * axles.rear_radius;
  loads.applied(node::front) += corner.front_taken * axles.front_radius;
  loads.applied(node::car) -= corner.rear_taken + corner.front_taken + corner.drag;
  return loads;
}

HoldLimits<TrackCar::kCouplings> TrackCar::hold_limits(const Active& active,
                                                       const TrackLoads& sliding, double time,
                                                       const State& state) const {
  HoldLimits<kCouplings> hold{sliding.low, sliding.high};
  raise_to_hold_limits(*active.law, with_pedals(active, state, 0.0), time, state, hold);
  return hold;
}

double TrackCar::wish(const Active& active, const TrackLoads& loads, const State& state) const {
  const double acceleration =
      (loads.applied(node::car) - loads.high(coupling::rolling)) / active.law->mass;
  return wish_at(state, acceleration).value;
}

Wish TrackCar::wish_at(const State& state, double acceleration) const {
  return foot_wish(foot_, curve_,
                   {.distance = state(track_state::distance),
                    .speed = state(node::car),
                    .acceleration = acceleration,
                    .throttle = state(state_of(auxiliary::throttle)),
                    .pedal = state(track_state::pedal)});
}

void TrackCar::auxiliary_rates(const Active& active, double time, const State& state,
                               const TrackLoads& loads, const Vector<double, kCouplings>& sliding,
                               const Vector<double, kNodes>& accelerations, State& rates) const {
  const DrivetrainLaw<double>& law = *active.law;
  double throttle = foot_.full_throttle;
  double brake = 0.0;
  if (active.aims) {
    const Wish wish = wish_at(state, accelerations(node::car));
    throttle *= throttle_asked(wish.value);
    brake = foot_.pedal_at_grip * brake_asked(wish.value);
  }
  set_auxiliary_rates(law, with_pedals(active, state, throttle), time, state, loads.axles, sliding,
                      accelerations, rates);
  const double eased = eased_opening(law, double(state(state_of(auxiliary::rear_slip))),
                                     double(rates(state_of(auxiliary::rear_slip))));
  rates(track_state::distance) = state(node::car);
  rates(track_state::pedal) = (brake * eased - state(track_state::pedal)) * law.response_rate;
}

TrackCar::Accounts TrackCar::account_rates(const Active& active, double /*time*/,
                                           const State& state, const TrackLoads& loads,
                                           const Vector<double, kCouplings>& torques) const {
  const auto own = drivetrain_account_rates(*active.law, state, loads, torques);
  Accounts rates{};
  std::copy(own.begin(), own.end(), rates.begin());
  rates[track_account::cornering_loss] = loads.corner.drag * state(node::car);
  return rates;
}

Verdict TrackCar::verdict(double time, const State& state) const {
  const Verdict found = base_.verdict(time, state.head<kDrivetrainStates>());
  if (found.status != Status::finished) return found;
  // A slope presses less than the level.
  const auto& law = laws_[track_.piece_at(state(track_state::distance))];
  return {is_pressed<double>(law, state) ? Status::finished : Status::leaves_ground, -1};
}

// An account of the track counts on from the car's.
Verdict TrackCar::account_verdict(double time, std::span<const double> before,
                                  std::span<const double> after, double error) const {
  const Verdict found = base_.account_verdict(time, before, after, error);
  if (found.status != Status::finished) return found;
  constexpr std::size_t kCornering = track_account::cornering_loss;
  const double noise = loss_noise<double>(before, after, error);
  if (after[kCornering] - before[kCornering] + noise > 0.0) return {};
  return {Status::implausible, kDrivetrainStates + track_account::cornering_loss};
}

void TrackCar::linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                         double time, const State& state, Jacobian& jacobian,
                         State& time_slope) const {
  const DrivetrainLaw<double>& law = *active.law;
  jacobian.setZero();
  time_slope.setZero();
  FootNow now{active.aims, {}, foot_.full_throttle};
  if (active.aims) {
    const double acceleration =
        frozen.accelerate(node::car, node::car) == 0.0
            ? 0.0
            : rates_of<TrackCar, Active, double>(*this, active, frozen, time, state)(node::car);
    now.wish = wish_at(state, acceleration);
    now.throttle *= throttle_asked(now.wish.value);
  }
  linearise_drivetrain(law, with_pedals(active, state, now.throttle), frozen, time, state, jacobian,
                       time_slope);
  add_track(law, foot_, now, *active.piece, active.piece_begin, frozen, state, jacobian);
}

double TrackCar::switch_guard(int k, const Positions& switches, double time,
                              const State& state) const {
  const Active active = activate(switches);
  const TrackLoads now = k == track_switch::foot ? loads(active, time, state) : TrackLoads{};
  return seen_switch_guard(k, switches, active, now, state);
}

double TrackCar::seen_switch_guard(int k, const Positions& switches, const Active& active,
                                   const TrackLoads& loads, const State& state) const {
  if (k == track_switch::piece) {
    const auto piece = static_cast<std::size_t>(switches[track_switch::piece]);
    const bool last = piece + 1 == track_.pieces().size();
    return last ? 1.0 : track_.end(piece) - state(track_state::distance);
  }
  if (k == track_switch::foot) {
    const double now = wish(active, loads, state);
    // Both ways where the foot is at its end: nothing jumps.
    return active.aims ? kFullWish - now : now - kFullWish;
  }
  if (k == track_switch::clutch) {
    return clutch_switch_guard<double, double>(*active.law, active.parts, state);
  }
  return shoe_switch_guard<double, double>(
      *active.law, active.parts, static_cast<std::size_t>(k - track_switch::shoe_1), state);
}

int TrackCar::next_switch(int k, const Positions& switches, double /*time*/,
                          const State& /*state*/) const {
  const int now = switches[static_cast<std::size_t>(k)];
  return k == track_switch::piece ? now + 1 : 1 - now;
}

bool TrackCar::is_open(int which, const Positions& switches) const {
  Drivetrain::Positions own{};
  std::copy_n(switches.begin(), track_switch::piece, own.begin());
  return base_.is_open(which, own);
}

}  // namespace layshaft
