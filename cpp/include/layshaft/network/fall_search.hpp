#pragma once

/// The first guard that falls in a step just made, and the time just past its root.
///
/// The guards are looked at at the Lobatto points of the step; between two looks the root is
/// bracketed (`locate.hpp`), and one that dips and rises again between them is found by `dip.hpp`.

#include <algorithm>
#include <array>
#include <cmath>

#include "layshaft/network/dip.hpp"
#include "layshaft/network/locate.hpp"
#include "layshaft/network/stretch.hpp"

namespace layshaft {

/// In a step of `stepper` from `at` on. What it looks at goes into `watched`.
template <Plant P, class Stepper>
class FallSearch {
 public:
  using State = StateOf<P>;

  FallSearch(const P& plant, const Stretch<P>& stretch, const Stepper& stepper,
             const Standing<P>& at, double slip_noise, Watched<P>& watched)
      : plant_(plant),
        stretch_(stretch),
        stepper_(stepper),
        at_(at),
        slip_noise_(slip_noise),
        watched_(watched) {}

  /// In (time, limit]. The part of the step up to there is looked at anew, until no guard falls
  /// earlier in it: for its accounts anyhow.
  [[nodiscard]] Fall first_fall(double limit) {
    Fall fall = fall_before(limit, Fall{});
    while (fall.guard >= 0 && fall.time > at_.time) {
      const Fall earlier = fall_before(fall.time, fall);
      if (!(earlier.time < fall.time)) break;
      fall = earlier;
    }
    return fall;
  }

  /// Guards that turned above zero within the carried error, so far.
  [[nodiscard]] long near_misses() const { return near_misses_; }

 private:
  struct Looks {
    std::array<double, kLobattoPoints> times;
    std::array<GuardValues<P>, kLobattoPoints> guards;
  };

  // By one set of looks; `known` is the fall just at the limit, if there is one. Without a fall the
  // guards stand at the limit afterwards.
  [[nodiscard]] Fall fall_before(double limit, const Fall& known) {
    Looks looks;
    looks.times[0] = at_.time;
    looks.guards[0] = watched_.last;
    ArmedGuards<P> armed = watched_.armed;
    for (std::size_t k = 1; k < kLobattoPoints; ++k) {
      const bool last = k + 1 == kLobattoPoints;
      looks.times[k] = last ? limit : at_.time + (limit - at_.time) * kLobattoShares[k];
      const Look<P> seen = stretch_.look(plant_, at_.modes, looks.times[k], state(looks.times[k]));
      looks.guards[k] = seen.guards;
      watched_.account_rates[k] = seen.account_rates;
      if (last && known.guard >= 0) break;
      const Fall first = first_fall_between(looks, k, armed);
      if (first.guard >= 0) return first;
      for (std::size_t g = 0; g < armed.size(); ++g) {
        armed[g] = is_armed(armed[g], seen.guards[g], noise_of(g));
      }
    }
    const Fall first = earlier_dip(looks, watched_.armed, known);
    if (first.guard < 0) {
      watched_.last = looks.guards.back();
      watched_.armed = armed;
    }
    return first;
  }

  // `fall`, or the first guard that dips through zero and back before it.
  [[nodiscard]] Fall earlier_dip(const Looks& looks, const ArmedGuards<P>& armed, Fall fall) {
    const auto& seen = looks.guards;
    double least = 1.0;
    for (std::size_t g = 0; g < armed.size(); ++g) {
      least = min(least, dip_room(seen[0][g], seen[1][g], seen[2][g], seen[3][g]));
    }
    if (least > 0.0) return fall;
    for (std::size_t g = 0; g < armed.size(); ++g) {
      const auto hull = look_hull(seen[0][g], seen[1][g], seen[2][g], seen[3][g]);
      if (!may_dip(hull)) continue;
      const Fall dip = dip_of(g, looks, armed[g], least_share(hull));
      if (dip.guard >= 0 && (fall.guard < 0 || dip.time < fall.time)) fall = dip;
    }
    return fall;
  }

  // Where a guard falls that dips near a share of the step.
  [[nodiscard]] Fall dip_of(std::size_t guard, const Looks& looks, bool armed, double share) {
    std::array<GuardPoint, kLobattoPoints> points;
    for (std::size_t k = 0; k < kLobattoPoints; ++k) {
      points[k] = {looks.times[k], looks.guards[k][guard]};
      armed = armed || (k > 0 && kLobattoShares[k] < share && points[k].value > noise_of(guard));
    }
    const auto value = [&](double time) { return guard_at(static_cast<int>(guard), time); };
    const double guess = at_.time + (points.back().time - at_.time) * share;
    const DipSearch dip = find_dip(value, points, guess, least_guard(armed, noise_of(guard)));
    if (dip.turns) note_near_miss(static_cast<int>(guard), dip.lowest);
    if (!dip.falls) return {};
    return {static_cast<int>(guard), fall_time(guard, value, dip.before, dip.lowest)};
  }

  void note_near_miss(int guard, const GuardPoint& lowest) {
    if (!kCarriesErrors<Stepper> || !may_be_edge<P>(stretch_.guards(), guard)) return;
    const State off(state(lowest.time) + at_.error.state);
    const double by = stretch_.guard(plant_, at_.modes, guard, lowest.time, off) - lowest.value;
    if (kEdgeMargin * std::abs(by) > lowest.value) ++near_misses_;
  }

  // Between two looks that follow each other, the later with number `after`.
  [[nodiscard]] Fall first_fall_between(const Looks& looks, std::size_t after,
                                        const ArmedGuards<P>& armed) const {
    Fall first;
    for (int guard = 0; guard < GuardSet<P>::kCount; ++guard) {
      const auto g = static_cast<std::size_t>(guard);
      const GuardPoint end{looks.times[after], looks.guards[after][g]};
      if (end.value >= least_guard(armed[g], noise_of(g))) continue;
      const auto value = [&](double time) { return guard_at(guard, time); };
      const double root =
          fall_time(g, value, {looks.times[after - 1], looks.guards[after - 1][g]}, end);
      if (first.guard < 0 || root < first.time) first = {guard, root};
    }
    return first;
  }

  // Just past the root between two looks, the last of them below zero.
  template <class Value>
  [[nodiscard]] double fall_time(std::size_t guard, const Value& value, const GuardPoint& before,
                                 const GuardPoint& after) const {
    return before.value > 0.0
               ? locate_fall(value, before.time, before.value, after.time, after.value)
               : locate_fall_after_rise(value, before.time, after.time, after.value,
                                        noise_of(guard));
  }

  [[nodiscard]] double noise_of(std::size_t guard) const {
    return guard_noise(stretch_.guards().kinds[guard], slip_noise_);
  }

  [[nodiscard]] State state(double time) const {
    State state;
    stepper_.calc_state(time, state);
    return state;
  }
  [[nodiscard]] double guard_at(int guard, double time) const {
    return stretch_.guard(plant_, at_.modes, guard, time, state(time));
  }

  const P& plant_;
  const Stretch<P>& stretch_;
  const Stepper& stepper_;
  const Standing<P>& at_;
  double slip_noise_;
  Watched<P>& watched_;
  long near_misses_ = 0;
};

}  // namespace layshaft
