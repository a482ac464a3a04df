#include "layshaft/car/track_car.hpp"

#include <algorithm>
#include <cmath>

namespace layshaft {
namespace {

std::vector<CarLaw> laws_on(const CarLaw& level, const Track& track) {
  std::vector<CarLaw> laws;
  for (const TrackPiece& piece : track.pieces()) laws.push_back(law_on(level, piece));
  return laws;
}

FootLaw<double> make_foot_law(const CarLaw& law, const TrackDriver& driver, double full_throttle) {
  const auto inverse = [](double pedal) { return pedal > 0.0 ? 1.0 / pedal : 0.0; };
  const double pedal = brake_pedal(law).at_grip;
  return {.per_acceleration = law.mass / standing_grip(law),
          .correction_rate = 1.0 / driver.correction_time,
          .lag = 1.0 / law.response_rate,
          .full_throttle = full_throttle,
          .pedal_at_grip = pedal,
          .per_throttle = inverse(full_throttle),
          .per_pedal = inverse(pedal),
          .per_slip_target = law.per_slip_target,
          .mass = law.mass};
}

TrackCar::Laws make_track_laws(const Car& car, const CarLaw& law, const FootLaw<double>& foot) {
  TrackCar::Laws laws = make_laws<TrackList>(car, law);
  laws.of<parts::FootHeld>() = foot;
  laws.of<parts::Foot>() = foot;
  return laws;
}

std::vector<TrackCar::Laws> make_track_laws(const Car& car, const std::vector<CarLaw>& on_pieces,
                                            const FootLaw<double>& foot) {
  std::vector<TrackCar::Laws> laws;
  for (const CarLaw& law : on_pieces) laws.push_back(make_track_laws(car, law, foot));
  return laws;
}

}  // namespace

CarLaw law_on(const CarLaw& level, const TrackPiece& piece) {
  CarLaw law = level;
  const double slope = std::atan(piece.grade);
  law.loading.weight = level.loading.weight * std::cos(slope);
  law.grade_force = level.loading.weight * std::sin(slope);
  for (TyreLaw<double>* tyre : {&law.rear_tyre, &law.front_tyre}) {
    tyre->friction_unloaded *= piece.grip;
  }
  return law;
}

TrackCar::TrackCar(const Car& car, const Track& track, const TrackDriver& driver,
                   const std::vector<double>& margins)
    : TrackCar(car, track, driver, margins, (validate(driver), Drivetrain(car))) {}

TrackCar::TrackCar(const Car& car, const Track& track, const TrackDriver& driver,
                   const std::vector<double>& margins, const Drivetrain& base)
    : base_(base),
      track_(track),
      car_laws_(laws_on(base.law(), track)),
      laws_(
          make_track_laws(car, car_laws_, make_foot_law(base.law(), driver, car.driver.throttle))),
      turn_(track, base.law()),
      curve_(make_speed_curve(track, turn_, car_laws_, brake_pedal(base.law()), driver, margins)),
      level_(laws_.front(), "brake") {}

TrackCar::State TrackCar::rolling_state(double speed) const {
  State state = State::Zero();
  state.head<car_state::count>() = base_.rolling_state(speed);
  return state;
}

TrackCar::Positions TrackCar::rolling_switches(const State& state) const {
  const Drivetrain::Positions own = base_.rolling_switches(state.head<car_state::count>());
  Positions switches{};
  switches[track_switch::clutch] = own[plant_switch::clutch];
  std::copy_n(&own[plant_switch::shoes], kShoes, &switches[track_switch::shoes]);
  switches[track_switch::piece] =
      static_cast<std::int16_t>(track_.piece_at(state(track_state::distance)));
  switches[track_switch::foot] = foot::down;
  const bool fast = switch_guard(track_switch::foot, switches, 0.0, state) < 0.0;
  switches[track_switch::foot] = fast ? foot::aiming : foot::down;
  return switches;
}

TrackCar::Active TrackCar::activate(const Positions& switches) const {
  const auto number = static_cast<std::size_t>(switches[track_switch::piece]);
  const TrackPiece& piece = track_.pieces()[number];
  const bool is_last = number + 1 == track_.pieces().size();
  Active active{&laws_[number], level_.activate(switches)};
  active.parts.of<parts::Corner>() = {track_.begin(number), piece.curvature, &turn_};
  active.parts.of<parts::Place>() = {track_.end(number), is_last ? 1.0 : 0.0};
  active.parts.of<parts::Foot>().curve = &curve_;
  return active;
}

TrackCar::Loads TrackCar::loads(const Active& active, double time, const State& state) const {
  return Parts::loads(*active.laws, active.parts, time, state);
}

HoldLimits<TrackCar::kCouplings> TrackCar::hold_limits(const Active& active, const Loads& sliding,
                                                       double time, const State& state) const {
  HoldLimits<kCouplings> hold{sliding.low, sliding.high};
  Parts::raise_to_hold_limits(*active.laws, active.parts, time, state, sliding, hold);
  return hold;
}

void TrackCar::auxiliary_rates(const Active& active, double time, const State& state, Loads& loads,
                               const Vector<double, kCouplings>& sliding,
                               const Vector<double, kNodes>& accelerations, State& rates) const {
  Parts::auxiliary_rates(*active.laws, active.parts, time, state, loads, sliding, accelerations,
                         rates);
}

TrackCar::Accounts TrackCar::account_rates(const Active& active, double time, const State& state,
                                           const Loads& loads,
                                           const Vector<double, kCouplings>& torques) const {
  return Parts::account_rates(*active.laws, time, state, loads, torques);
}

Verdict TrackCar::verdict(double time, const State& state) const {
  const Verdict found = base_.verdict(time, state.head<car_state::count>());
  if (found.status != Status::finished) return found;
  // A slope presses less than the level.
  const CarLaw& law = car_laws_[track_.piece_at(state(track_state::distance))];
  const bool pressed = is_pressed(law.loading, double(state(node::car)));
  return {pressed ? Status::finished : Status::leaves_ground, -1};
}

Verdict TrackCar::account_verdict(double time, std::span<const double> before,
                                  std::span<const double> after, double error) const {
  return verdict_on_accounts<Parts>(base_.plausible(), time, before, after, error);
}

void TrackCar::linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                         double time, const State& state, Jacobian& jacobian,
                         State& time_slope) const {
  jacobian.setZero();
  Parts::linearise(*active.laws, active.parts, frozen, time, state, jacobian, time_slope);
}

double TrackCar::switch_guard(int k, const Positions& switches, double time,
                              const State& state) const {
  const Active active = activate(switches);
  return Parts::guard(k, *active.laws, active.parts, time, state);
}

std::array<double, TrackCar::kSwitches> TrackCar::switch_guards(const Active& active,
                                                                const Loads& loads, double time,
                                                                const State& state) const {
  return Parts::guards(*active.laws, active.parts, time, state, loads);
}

}  // namespace layshaft
