#include "layshaft/run/shift_watch.hpp"

#include <algorithm>
#include <cmath>

namespace layshaft {
namespace {

Moment later(const Moment& moment, double time, double distance) {
  return {moment.time + time, moment.distance + distance, moment.car_speed, moment.crank_speed};
}

Shift later(Shift shift, double time, double distance) {
  for (Moment* moment : {&shift.contact, &shift.let_go, &shift.peak, &shift.lock, &shift.low}) {
    *moment = later(*moment, time, distance);
  }
  return shift;
}

// The one with the faster engine, or the only one that is known.
const Moment& faster(const Moment& one, const Moment& other) {
  return !is_known(one) || other.crank_speed > one.crank_speed ? other : one;
}

}  // namespace

void ShiftWatch::begin_in(CouplingMode first, CouplingMode second, const Begin& begin) {
  begun_ = true;
  first_ = first;
  second_ = second;
  if (second == CouplingMode::open) return;
  is_over_line_ = true;
  in_second_ = is_stuck(second) || !is_stuck(first);
  if (is_stuck(second)) {
    phase_ = Phase::locked;
    low_ = begin.at;
  } else {
    phase_ = in_second_ ? Phase::let_go : Phase::touching;
  }
}

void ShiftWatch::note_modes(CouplingMode first, CouplingMode second, const Begin& begin) {
  turns_from_ = 0.0;
  if (!begun_) return begin_in(first, second, begin);
  if (listens()) hear(begin.at);
  const bool was_open = second_ == CouplingMode::open;
  const bool is_open = second == CouplingMode::open;
  if (was_open && !is_open) note_contact(begin);
  if (is_stuck(first) != is_stuck(first_)) note_first(first, begin);
  if (is_stuck(second_) && !is_stuck(second)) slip_ = begin.at;
  if (!is_stuck(second_) && is_stuck(second)) note_lock(begin);
  if (!was_open && is_open) note_open(begin.at);
  first_ = first;
  second_ = second;
}

void ShiftWatch::note_contact(const Begin& begin) {
  is_over_line_ = false;
  shift_ = {};
  shift_.contact = begin.at;
  shift_.shaft_speed = begin.shaft_speed;
  shift_.error = begin.error;
  shoe_loss_ = begin.shoe_loss;
  phase_ = Phase::touching;
  // A car that coasts, its first gear overrun.
  if (is_stuck(first_)) return;
  shift_.let_go = shift_.peak = begin.at;
  phase_ = Phase::let_go;
  in_second_ = true;
}

void ShiftWatch::note_first(CouplingMode first, const Begin& begin) {
  if (is_stuck(first)) {
    hold_ = begin.at;
    if (!down_.empty() && !in_second_ && !is_known(down_.back().hold)) down_.back().hold = hold_;
    if (phase_ == Phase::let_go) phase_ = Phase::touching;
    return;
  }
  hold_ = {};
  if (phase_ != Phase::touching) return;
  shift_.let_go = begin.at;
  shift_.error = std::fmax(shift_.error, begin.error);
  phase_ = Phase::let_go;
  in_second_ = true;
  hear(begin.at);
}

void ShiftWatch::note_lock(const Begin& begin) {
  slip_ = {};
  if (phase_ != Phase::touching && phase_ != Phase::let_go) return;
  in_second_ = true;
  shift_.peak = faster(shift_.peak, begin.at);
  shift_.lock = low_ = begin.at;
  if (is_known(shift_.contact)) shift_.heat = begin.shoe_loss - shoe_loss_;
  shift_.error = std::fmax(shift_.error, begin.error);
  phase_ = Phase::locked;
  keep();
}

void ShiftWatch::keep() {
  if (is_over_line_) {
    over_line_ = shift_;
  } else {
    up_.push_back(shift_);
  }
}

void ShiftWatch::note_open(const Moment& at) {
  const bool unlocked = phase_ == Phase::touching || phase_ == Phase::let_go;
  if (unlocked && is_known(shift_.let_go)) keep();
  if (in_second_) down_.push_back({slip_, at, hold_});
  in_second_ = false;
  is_over_line_ = false;
  phase_ = Phase::none;
  slip_ = {};
}

double ShiftWatch::next_crank() const {
  return phase_ == Phase::locked ? low_.crank_speed + kHeardRise
                                 : std::numeric_limits<double>::infinity();
}

void ShiftWatch::hear(const Moment& moment) {
  if (phase_ == Phase::let_go) {
    shift_.peak = faster(shift_.peak, moment);
  } else if (moment.crank_speed < low_.crank_speed) {
    low_ = moment;
  } else if (moment.crank_speed >= next_crank()) {
    found().low = low_;
    phase_ = Phase::none;
  }
}

void ShiftWatch::close(double lap_time, double lap_distance) {
  if (is_over_line_ || phase_ == Phase::none) return;
  const Shift rest = later(over_line_, lap_time, lap_distance);
  if (phase_ == Phase::locked) {
    if (is_known(rest.low))
      up_.back().low = rest.low.crank_speed < low_.crank_speed ? rest.low : low_;
    return;
  }
  if (!is_known(shift_.let_go)) shift_.let_go = rest.let_go;
  if (!is_known(shift_.let_go)) return;
  shift_.peak = faster(shift_.peak, rest.peak);
  shift_.lock = rest.lock;
  shift_.low = rest.low;
  if (shift_.peak.time < lap_time) {
    up_.push_back(shift_);
  } else {
    up_.insert(up_.begin(), later(shift_, -lap_time, -lap_distance));
  }
}

}  // namespace layshaft
