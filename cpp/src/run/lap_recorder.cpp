#include "layshaft/run/lap_recorder.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

namespace layshaft {
namespace {

constexpr double kNotANumber = std::numeric_limits<double>::quiet_NaN();
constexpr double kNever = std::numeric_limits<double>::infinity();

// Time in the stretch up to `until` at which the car passes a distance.
double time_at(const LapRecorder::SegmentView& segment, double distance, double until) {
  const auto rise = [&](double time) {
    return segment.state(time)(track_state::distance) - distance;
  };
  const double at_begin = rise(segment.begin);
  const double at_end = rise(until);
  if (at_begin >= 0.0) return segment.begin;
  if (at_end <= 0.0) return until;
  std::uintmax_t most_tries = 60;
  return boost::math::tools::toms748_solve(rise, segment.begin, until, at_begin, at_end,
                                           boost::math::tools::eps_tolerance<double>(50),
                                           most_tries)
      .second;
}

double engine_power(const CarLaw& law, double crank_speed) {
  return engine_torque(law.engine, crank_speed, 1.0) * crank_speed;
}

// Whether a distance lies in [begin, end], where either may be counted a lap on.
bool lies_in(double distance, double begin, double end, double lap) {
  return (distance >= begin && distance <= end) || distance + lap <= end ||
         (begin < 0.0 && distance >= begin + lap);
}

CouplingMode mode_of(const ModesOf<TrackCar>& modes, int which) {
  return modes.couplings[static_cast<std::size_t>(which)];
}

const CarLaw& law_at(const LapRecorder::SegmentView& segment) {
  return segment.plant.law(static_cast<std::size_t>(segment.modes.switches[track_switch::piece]));
}

std::vector<CornerPass> unpassed(const std::vector<Corner>& corners) {
  std::vector<CornerPass> passes;
  for (const Corner& corner : corners) {
    passes.push_back({corner.begin, corner.end, kNotANumber, kNotANumber, kNever, kNotANumber, 0.0,
                      kNotANumber, kNotANumber, kNotANumber, false});
  }
  return passes;
}

}  // namespace

double grip_taken(const CarLaw& law, double curvature, const StateOf<TrackCar>& state) {
  const double speed = state(node::car);
  const AxleLoads<double> loads =
      axle_loads<double, double>(law.loading, speed, state(car_state::load_transfer));
  const double least = std::min(tyre_friction(law.rear_tyre, loads.rear),
                                tyre_friction(law.front_tyre, loads.front));
  return lateral_friction(law.mass, speed, std::abs(curvature), loads.rear + loads.front) / least;
}

LapRecorder::LapRecorder(const TrackCar& plant, const LapOptions& options, double air_temperature,
                         LapResult& result)
    : plant_(plant),
      options_(options),
      air_temperature_(air_temperature),
      most_power_(peak_engine_power(plant.base().law().engine)),
      approaches_(plant.track()),
      result_(result),
      ends_(options.sectors) {
  ends_.push_back(plant.track().length());
  result_ = {};
  result_.time = kNotANumber;
  result_.least_speed = kNever;
  result_.corners = unpassed(plant.track().corners());
  result_.most_grips.assign(approaches_.count(), 0.0);
}

double LapRecorder::operator()(const SegmentView& segment) {
  if (!begun_ || segment.modes != modes_) note_modes(segment, segment.state(segment.begin));
  double until = segment.end;
  double distance = segment.state(until)(track_state::distance);
  double stop = kNever;
  if (distance >= plant_.track().length()) {
    distance = plant_.track().length();
    stop = until = time_at(segment, distance, until);
    result_.complete = true;
    result_.time = stop;
  }
  if (const double over = follow(segment, until); over < kNever) {
    stop = until = over;
    distance = segment.state(until)(track_state::distance);
    result_.complete = false;
    result_.time = kNotANumber;
  }
  furthest_ = std::max(furthest_, distance);
  if (distance < furthest_ - kRolledBack) {
    stop = until;
    result_.rolls_back = true;
  }
  for (std::size_t k = 0; k < kLobattoPoints; ++k) {
    const double time = segment.begin + (until - segment.begin) * kLobattoShares[k];
    const State state = segment.state(time);
    note_state(segment, state);
    const auto speed_class = static_cast<std::size_t>(
        std::clamp(state(node::crank) / kCrankClass, 0.0, kCrankClasses - 1.0));
    result_.crank_times[speed_class] += (until - segment.begin) * kLobattoWeights[k];
  }
  pass_sectors(segment, until, distance);
  if (options_.sample_spacing > 0.0) take_samples(segment, until, distance);
  return stop;
}

double LapRecorder::follow(const SegmentView& segment, double until) {
  const PitchAfter after = follow_pitch(law_at(segment), pitch_, segment.begin, until,
                                        [&](double time) { return segment.state(time); });
  pitch_ = after.pitch;
  result_.peaks.pitch = std::max(result_.peaks.pitch, std::abs(pitch_.angle));
  result_.lifted_time += after.lifted;
  return after.over;
}

void LapRecorder::note_modes(const SegmentView& segment, const State& state) {
  const ModesOf<TrackCar>& modes = segment.modes;
  const auto position = [](const ModesOf<TrackCar>& of, int which) { return of.switches[which]; };
  if (begun_) {
    const bool was_open = mode_of(modes_, coupling::second) == CouplingMode::open;
    const bool is_open = mode_of(modes, coupling::second) == CouplingMode::open;
    if (was_open && !is_open) note_event(LapEvent::Kind::upshift, segment.begin, state);
    if (!is_stuck(mode_of(modes_, coupling::second)) &&
        is_stuck(mode_of(modes, coupling::second))) {
      note_lock(segment.begin, state);
    }
    if (!was_open && is_open) note_event(LapEvent::Kind::downshift, segment.begin, state);
    const int clutch = position(modes, track_switch::clutch);
    if (clutch != position(modes_, track_switch::clutch)) {
      note_event(clutch == 1 ? LapEvent::Kind::clutch_bites : LapEvent::Kind::clutch_opens,
                 segment.begin, state);
    }
    if (position(modes, track_switch::foot) != position(modes_, track_switch::foot)) {
      note_foot(position(modes, track_switch::foot) == foot::down, state(track_state::distance),
                state);
    }
  }
  modes_ = modes;
  begun_ = true;
}

void LapRecorder::note_event(LapEvent::Kind kind, double time, const State& state) {
  LapEvent event{kind,
                 time,
                 state(track_state::distance),
                 state(node::car),
                 state(node::crank),
                 Place::straight,
                 -1,
                 kNotANumber,
                 kNotANumber};
  const double lap = plant_.track().length();
  double nearest = kNever;
  for (std::size_t i = 0; i < result_.corners.size(); ++i) {
    const CornerPass& corner = result_.corners[i];
    const double begin = corner.begin - options_.before_corner;
    double ahead = corner.begin - event.distance;
    if (ahead < 0.0) ahead += lap;
    if (ahead < nearest && event.place == Place::straight) {
      nearest = ahead;
      event.corner = static_cast<int>(i);
    }
    if (!lies_in(event.distance, begin, corner.end, lap)) continue;
    const bool inside = lies_in(event.distance, corner.begin, corner.end, lap);
    // In one corner and just before the next: what is in a corner counts.
    if (!inside && event.place == Place::in_corner) continue;
    event.place = inside ? Place::in_corner : Place::before_corner;
    event.corner = static_cast<int>(i);
  }
  result_.events.push_back(event);
}

void LapRecorder::note_lock(double time, const State& state) {
  for (auto event = result_.events.rbegin(); event != result_.events.rend(); ++event) {
    if (event->kind == LapEvent::Kind::downshift) return;
    if (event->kind != LapEvent::Kind::upshift) continue;
    if (std::isnan(event->hand_over)) {
      event->hand_over = time - event->time;
      event->crank_after = state(node::crank);
    }
    return;
  }
}

double LapRecorder::exit_power(const State& state) const {
  return engine_power(plant_.base().law(), state(node::crank)) / most_power_;
}

void LapRecorder::note_foot(bool down, double distance, const State& state) {
  if (!down) {
    foot_off_ = distance;
    return;
  }
  // The exit of the last corner that was slowed down for.
  CornerPass* last = nullptr;
  for (CornerPass& corner : result_.corners) {
    if (corner.begin <= distance) last = &corner;
  }
  if (last == nullptr || !(last->least_distance <= distance)) return;
  last->exit_distance = distance;
  last->exit_crank = state(node::crank);
  last->exit_power = exit_power(state);
  const bool slips = clutch_excess(plant_.base().law().clutch, state(node::crank)) < 0.0;
  last->bogs = slips || last->exit_power < options_.least_power;
}

void LapRecorder::note_state(const SegmentView& segment, const State& state) {
  const auto raise = [](double& peak, double value) { peak = std::max(peak, value); };
  const double speed = state(node::car);
  const double distance = state(track_state::distance);
  Peaks& peaks = result_.peaks;
  raise(peaks.car_speed, speed);
  raise(peaks.crank_speed, state(node::crank));
  raise(peaks.rear_slip, std::abs(state(car_state::rear_slip)));
  raise(peaks.front_slip, std::abs(state(car_state::front_slip)));
  raise(peaks.clutch_temperature, air_temperature_ + state(car_state::clutch_surface));
  raise(peaks.shoe_temperature, air_temperature_ + state(car_state::shoe_surface));
  result_.least_speed = std::min(result_.least_speed, speed);
  const double grip =
      grip_taken(law_at(segment), TrackCar::curvature(segment.active, state), state);
  raise(result_.most_grips[approaches_.at(std::max(distance, 0.0))], grip);
  const double lap = plant_.track().length();
  for (CornerPass& corner : result_.corners) {
    if (!lies_in(distance, corner.begin, corner.end, lap)) continue;
    if (std::isnan(corner.entry_speed)) {
      corner.entry_speed = speed;
      corner.brake_distance = foot_off_;
      foot_off_ = kNotANumber;
    }
    if (speed < corner.least_speed) {
      corner.least_speed = speed;
      corner.least_distance = distance;
    }
    raise(corner.most_grip, grip);
  }
}

void LapRecorder::pass_sectors(const SegmentView& segment, double until, double distance) {
  std::size_t next = result_.sector_times.size();
  for (; next < ends_.size() && distance >= ends_[next]; ++next) {
    const double time = time_at(segment, ends_[next], until);
    result_.sector_times.push_back(time);
    result_.sector_speeds.push_back(segment.state(time)(node::car));
  }
}

void LapRecorder::take_samples(const SegmentView& segment, double until, double distance) {
  // Distances are whole multiples of the spacing, so that they do not depend on the steps.
  for (double at = options_.sample_spacing * static_cast<double>(next_sample_); at <= distance;
       at = options_.sample_spacing * static_cast<double>(++next_sample_)) {
    const double time = time_at(segment, at, until);
    const State state = segment.state(time);
    const View<TrackCar> view = segment.view(time, state);
    const double curvature = TrackCar::curvature(segment.active, state);
    result_.samples.push_back(
        {sample_of(plant_, view, time, state, segment.accounts(time), segment.modes),
         square(state(node::car)) * curvature, grip_taken(law_at(segment), curvature, state),
         std::sqrt(plant_.speed_curve().at(at).square)});
  }
}

}  // namespace layshaft
