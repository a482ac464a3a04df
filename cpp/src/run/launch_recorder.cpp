#include "layshaft/run/launch_recorder.hpp"

#include <algorithm>
#include <cmath>

#include "layshaft/run/sampling.hpp"

namespace layshaft {
namespace {

// As `SegmentView::accounts`, to the bit, without what a distance does not need.
double distance_at(const LaunchRecorder::SegmentView& segment, double time) {
  double sum = segment.accounts_at_begin[account::distance];
  if (!(time > segment.begin)) return sum;
  if (time == segment.end) return segment.accounts_at_end[account::distance];
  const double length = time - segment.begin;
  for (std::size_t k = 0; k < kLobattoPoints; ++k) {
    const double at = segment.begin + length * kLobattoShares[k];
    sum += length * kLobattoWeights[k] * segment.state(at)(node::car);
  }
  return sum;
}

double time_at_distance(const LaunchRecorder::SegmentView& segment, double distance, double until) {
  return time_of_passing([&](double time) { return distance_at(segment, time); }, distance,
                         segment.begin, until);
}

}  // namespace

double time_at_distance(const LaunchRecorder::SegmentView& segment, double distance) {
  return time_at_distance(segment, distance, segment.end);
}

Sample make_sample(const Drivetrain& plant, const View<Drivetrain>& view, double time,
                   const StateOf<Drivetrain>& state, const AccountsOf<Drivetrain>& accounts,
                   const ModesOf<Drivetrain>& modes) {
  return sample_of<CarNames>(plant, view, time, state, accounts, modes);
}

Sample make_sample(const LaunchRecorder::SegmentView& segment, double time) {
  const StateOf<Drivetrain> state = segment.state(std::max(time, segment.begin));
  const View<Drivetrain> view = segment.view(time, state);
  return make_sample(segment.plant, view, time, state, segment.accounts(time, state, view),
                     segment.modes);
}

LaunchRecorder::LaunchRecorder(const LaunchOptions& options, double air_temperature,
                               LaunchResult& result)
    : options_(options), result_(result), seen_(air_temperature) {
  constexpr double kNone = kNotANumber;
  result_.shift = {};
  result_.distance_times.assign(options.distance_marks.size(), kNone);
  result_.distance_speeds.assign(options.distance_marks.size(), kNone);
  result_.distance_time_errors.assign(options.distance_marks.size(), kNone);
  result_.speed_times.assign(options.speed_marks.size(), kNone);
  result_.clutch_lock_time = kNone;
  result_.upshifts = 0;
  result_.downshifts = 0;
  result_.peaks = {};
  result_.lifted_time = 0.0;
  result_.end = LaunchEnd::longest_time;
}

double LaunchRecorder::operator()(const SegmentView& segment) {
  if (!knows(segment.modes)) {
    note_modes(segment.modes, segment.begin, segment.state(segment.begin),
               segment.accounts_at_begin, segment.error->switch_time);
  }
  double until = segment.end;
  State state = segment.state(until);
  double stop = kNever;
  double distance = segment.accounts(until)[account::distance];
  if (distance >= options_.distance) {
    stop = time_at_distance(segment, options_.distance, segment.end);
    until = stop;
    state = segment.state(until);
    distance = options_.distance;
    result_.end = LaunchEnd::distance;
  }
  if (const double over = seen_.follow_pitch_in(segment, until, segment.plant.law(), result_);
      over < kNever) {
    stop = until = over;
    state = segment.state(until);
    distance = distance_at(segment, until);
  }
  if (seen_.shifts().listens()) {
    seen_.shifts().look(segment, until, [&](double time) {
      const State at = segment.state(time);
      return Moment{time, distance_at(segment, time), at(node::car), at(node::crank)};
    });
    keep_shift();
  }
  pass_marks(segment, until, state, distance);
  seen_.raise_peaks_to(state, result_.peaks);
  seen_.take_samples(options_.sample_interval, until,
                     [&](double time) { result_.samples.push_back(make_sample(segment, time)); });
  return stop;
}

void LaunchRecorder::note_modes(const ModesOf<Drivetrain>& modes, double begin, const State& state,
                                const AccountsOf<Drivetrain>& accounts, double begin_error) {
  if (knows(modes)) return;
  if (!seen_.begun()) seen_.raise_peaks_to(state, result_.peaks);
  const auto mode_of = &Recording<Drivetrain>::mode_of;
  const CouplingMode second = mode_of(modes, coupling::second);
  // A run that begins in second gear has not shifted.
  const CouplingMode second_was = seen_.begun() ? mode_of(seen_.modes(), coupling::second) : second;
  seen_.note_modes(modes,
                   {begin, accounts[account::distance], state(node::car), state(node::crank)},
                   state, accounts, begin_error);
  if (!is_stuck(second_was) && is_stuck(second)) {
    ++result_.upshifts;
    keep_shift();
  }
  if (second_was != CouplingMode::open && second == CouplingMode::open) ++result_.downshifts;
  if (std::isnan(result_.clutch_lock_time) && is_stuck(mode_of(modes, coupling::clutch))) {
    result_.clutch_lock_time = begin;
  }
}

void LaunchRecorder::keep_shift() {
  const std::vector<Shift>& up = seen_.shifts().up();
  const auto locked =
      std::ranges::find_if(up, [](const Shift& shift) { return is_known(shift.lock); });
  if (locked != up.end()) result_.shift = *locked;
}

double LaunchRecorder::next_distance() const {
  if (seen_.is_lifted()) return -kNever;
  const auto& marks = options_.distance_marks;
  const double mark = next_distance_ < marks.size() ? marks[next_distance_] : kNever;
  return std::min(mark, options_.distance);
}

double LaunchRecorder::next_speed() const {
  const auto& marks = options_.speed_marks;
  return next_speed_ < marks.size() ? marks[next_speed_] : kNever;
}

void LaunchRecorder::pass_marks(const SegmentView& segment, double until, const State& state,
                                double distance) {
  const auto& distances = options_.distance_marks;
  while (next_distance_ < distances.size() && distance >= distances[next_distance_]) {
    const double time = time_at_distance(segment, distances[next_distance_], until);
    result_.distance_times[next_distance_] = time;
    const double speed = segment.state(time)(node::car);
    result_.distance_speeds[next_distance_] = speed;
    result_.distance_time_errors[next_distance_] = std::abs(segment.error->way(node::car)) / speed;
    ++next_distance_;
  }
  const auto& speeds = options_.speed_marks;
  while (next_speed_ < speeds.size() && state(node::car) >= speeds[next_speed_]) {
    result_.speed_times[next_speed_] =
        time_of_passing([&](double time) { return segment.state(time)(node::car); },
                        speeds[next_speed_], segment.begin, until);
    ++next_speed_;
  }
}

}  // namespace layshaft
