#include "layshaft/run/lap_recorder.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "layshaft/run/sampling.hpp"

namespace layshaft {
namespace {

// Time in the stretch up to `until` at which the car passes a distance.
double time_at(const LapRecorder::SegmentView& segment, double distance, double until) {
  return time_of_passing([&](double time) { return segment.state(time)(track_state::distance); },
                         distance, segment.begin, until);
}

Moment moment_of(double time, const LapRecorder::State& state) {
  return {time, state(track_state::distance), state(node::car), state(node::crank)};
}

const CarLaw& law_at(const LapRecorder::SegmentView& segment) {
  return segment.plant.law(static_cast<std::size_t>(segment.modes.switches[track_switch::piece]));
}

// Time of the peak of the parabola through three values in a row; never where there is none between
// the first and the last.
double peak_time(std::span<const double, 3> times, std::span<const double, 3> values) {
  const double before = times[1] - times[0];
  const double after = times[2] - times[1];
  const double rise = (values[1] - values[0]) / before;
  const double fall = (values[1] - values[2]) / after;
  if (!(rise + fall > 0.0)) return kNever;
  const double top = times[1] + 0.5 * (rise * after - fall * before) / (rise + fall);
  return top > times[0] && top < times[2] ? top : kNever;
}

}  // namespace

double grip_taken(const CarLaw& law, const TrackCar::Active& active,
                  const StateOf<TrackCar>& state) {
  const double transfer = state(car_state::load_transfer);
  const AxleLoads<double> loads =
      axle_loads<double, double>(law.loading, state(node::car), transfer);
  const double acceleration = (transfer / law.lever - law.grade_force) / law.mass;
  const SidewaysForces<double> forces = sideways_forces(
      law.yaw, Turn<double>{square(state(node::car)), TrackCar::curvature(active, state),
                            TrackCar::curvature_slope(active, state), acceleration});
  return std::max(
      std::abs(forces.rear) / (loads.rear * tyre_friction(law.rear_tyre, loads.rear)),
      std::abs(forces.front) / (loads.front * tyre_friction(law.front_tyre, loads.front)));
}

LapRecorder::LapRecorder(const TrackCar& plant, const LapOptions& options, double air_temperature,
                         LapResult& result)
    : plant_(plant),
      options_(options),
      approaches_(plant.track()),
      result_(result = {}),
      seen_(air_temperature),
      corners_(plant, options, result.corners),
      ends_(options.sectors) {
  ends_.push_back(plant.track().length());
  result_.time = kNotANumber;
  result_.time_error = kNotANumber;
  result_.least_speed = kNever;
  result_.most_grips.assign(approaches_.count(), 0.0);
}

double LapRecorder::operator()(const SegmentView& segment) {
  if (!seen_.knows(segment.modes)) note_modes(segment, segment.state(segment.begin));
  double until = segment.end;
  double distance = segment.state(until)(track_state::distance);
  double stop = kNever;
  if (distance >= plant_.track().length()) {
    distance = plant_.track().length();
    stop = until = time_at(segment, distance, until);
    result_.complete = true;
    result_.time = stop;
  }
  if (const double over = seen_.follow_pitch_in(segment, until, law_at(segment), result_);
      over < kNever) {
    stop = until = over;
    distance = segment.state(until)(track_state::distance);
    result_.complete = false;
    result_.time = kNotANumber;
  }
  seen_.shifts().look(segment, until,
                      [&](double time) { return moment_of(time, segment.state(time)); });
  furthest_ = std::max(furthest_, distance);
  if (distance < furthest_ - kRolledBack) {
    stop = until;
    result_.rolls_back = true;
  }
  if (distance >= come_on_to_ + kStandsWithin) {
    come_on_to_ = distance;
    come_on_at_ = until;
  } else if (until > come_on_at_ + kStandsFor && stop == kNever) {
    stop = until;
    result_.stands = true;
  }
  corners_.enter(distance, [&](double begin) {
    return segment.state(time_at(segment, begin, until))(node::car);
  });
  std::array<double, kLobattoPoints> times{};
  std::array<double, kLobattoPoints> grips{};
  for (std::size_t k = 0; k < kLobattoPoints; ++k) {
    const double time = segment.begin + (until - segment.begin) * kLobattoShares[k];
    const State state = segment.state(time);
    times[k] = time;
    grips[k] = note_state(segment, state);
    const auto speed_class = static_cast<std::size_t>(
        std::clamp(state(node::crank) / kCrankClass, 0.0, kCrankClasses - 1.0));
    result_.crank_times[speed_class] += (until - segment.begin) * kLobattoWeights[k];
  }
  // The driver learns from the most grip used, so it must not hang on where the steps end.
  for (std::size_t k = 0; k + 3 <= kLobattoPoints; ++k) {
    const double top =
        peak_time(std::span(times).subspan(k).first<3>(), std::span(grips).subspan(k).first<3>());
    if (top < kNever) note_state(segment, segment.state(top));
  }
  pass_sectors(segment, until, distance);
  take_samples(segment, until, distance);
  if (result_.complete && !options_.standing) {
    corners_.close();
    seen_.shifts().close(result_.time, plant_.track().length());
  }
  return stop;
}

void LapRecorder::finish() {
  using Kind = LapEvent::Kind;
  for (const Shift& shift : seen_.shifts().up()) note_event(Kind::upshift, shift.peak).up = shift;
  for (const Downshift& shift : seen_.shifts().down())
    note_event(Kind::downshift, shift.open).down = shift;
  std::ranges::stable_sort(result_.events, {}, [](const LapEvent& event) { return event.at.time; });
}

void LapRecorder::note_modes(const SegmentView& segment, const State& state) {
  const ModesOf<TrackCar>& modes = segment.modes;
  const auto position = [](const ModesOf<TrackCar>& of, int which) { return of.switches[which]; };
  const Moment begin = moment_of(segment.begin, state);
  const int foot_now = position(modes, track_switch::foot);
  if (seen_.begun()) {
    const int clutch = position(modes, track_switch::clutch);
    if (clutch != position(seen_.modes(), track_switch::clutch)) {
      note_event(clutch == 1 ? LapEvent::Kind::clutch_bites : LapEvent::Kind::clutch_opens, begin);
    }
    if (foot_now != position(seen_.modes(), track_switch::foot)) {
      corners_.note_foot(foot_now == foot::down, state);
    }
  } else {
    corners_.begin(foot_now == foot::down);
  }
  seen_.note_modes(modes, begin, state, segment.accounts_at_begin, segment.error->switch_time);
}

LapEvent& LapRecorder::note_event(LapEvent::Kind kind, const Moment& at) {
  LapEvent event{kind, at, Place::straight, -1};
  const double lap = plant_.track().length();
  const std::vector<CornerPass>& corners = result_.corners;
  double nearest = kNever;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const CornerPass& corner = corners[i];
    const double begin = corner.begin - options_.before_corner;
    double ahead = corner.begin - at.distance;
    if (ahead < 0.0) ahead += lap;
    if (ahead < nearest && event.place == Place::straight) {
      nearest = ahead;
      event.corner = static_cast<int>(i);
    }
    if (!lies_in(at.distance, begin, corner.end, lap)) continue;
    const bool inside = lies_in(at.distance, corner.begin, corner.end, lap);
    // In one corner and just before the next: what is in a corner counts.
    if (!inside && event.place == Place::in_corner) continue;
    event.place = inside ? Place::in_corner : Place::before_corner;
    event.corner = static_cast<int>(i);
  }
  return result_.events.emplace_back(event);
}

double LapRecorder::note_state(const SegmentView& segment, const State& state) {
  const auto raise = [](double& peak, double value) { peak = std::max(peak, value); };
  const double distance = state(track_state::distance);
  seen_.raise_peaks_to(state, result_.peaks);
  result_.least_speed = std::min(result_.least_speed, state(node::car));
  const double grip = grip_taken(law_at(segment), segment.active, state);
  raise(result_.most_grips[approaches_.at(std::max(distance, 0.0))], grip);
  corners_.look(state, grip, is_stuck(seen_.mode_of(segment.modes, coupling::clutch)));
  return grip;
}

void LapRecorder::pass_sectors(const SegmentView& segment, double until, double distance) {
  std::size_t next = result_.sector_times.size();
  for (; next < ends_.size() && distance >= ends_[next]; ++next) {
    const double time = time_at(segment, ends_[next], until);
    const double speed = segment.state(time)(node::car);
    result_.sector_times.push_back(time);
    result_.sector_speeds.push_back(speed);
    const double error = std::abs(segment.error->state(track_state::distance) / speed);
    result_.time_error = std::fmax(result_.time_error, std::isfinite(error) ? error : kNever);
  }
}

void LapRecorder::take_samples(const SegmentView& segment, double until, double distance) {
  seen_.take_samples(options_.sample_spacing, distance, [&](double at) {
    const double time = time_at(segment, at, until);
    const State state = segment.state(time);
    const View<TrackCar> view = segment.view(time, state);
    const double curvature = TrackCar::curvature(segment.active, state);
    result_.samples.push_back(
        {sample_of<TrackNames>(plant_, view, time, state, segment.accounts(time), segment.modes),
         square(state(node::car)) * curvature, grip_taken(law_at(segment), segment.active, state),
         std::sqrt(plant_.speed_curve().at(at).square)});
  });
}

}  // namespace layshaft
