#pragma once

/// Where a run stands, and the stretch of frozen modes that it is in: plain values, so that a run
/// can be taken up by whoever makes its steps.

#include <cstddef>

#include "layshaft/network/carried_error.hpp"
#include "layshaft/network/freeze.hpp"
#include "layshaft/network/guards.hpp"
#include "layshaft/network/integration.hpp"

namespace layshaft {

/// Where a run stands between two steps. In the modes that it sets out in, it makes the same steps
/// from there again.
template <class P>
struct Standing {
  double time = 0.0;  ///< [s]
  StateOf<P> state = StateOf<P>::Zero();
  ModesOf<P> modes{};
  AccountsOf<P> accounts{};
  CarriedError<P> error{};
  long steps = 0;        ///< Against the budget.
  int same_instant = 0;  ///< Switches at the last instant that had any,
  double instant = 0.0;  ///< and when the first of them was [s].
};

/// A guard that falls, and when [s]; -1 for none.
struct Fall {
  int guard = -1;
  double time = 0.0;
};

/// What one look at a plant sees of its guards and accounts.
template <class P>
struct Look {
  GuardValues<P> guards;
  AccountsOf<P> account_rates;
};

/// Whether each guard has risen past the noise, so that it may fall.
template <class P>
using ArmedGuards = std::array<bool, static_cast<std::size_t>(GuardSet<P>::kCount)>;

/// A slip or a torque that turns at zero is at rest there on either side; a switch of the plant may
/// be another car: a shoe held by a detent is out for good. Only the latter is an edge.
template <class P>
[[nodiscard]] bool may_be_edge(const GuardSet<P>& guards, int guard) {
  return guards.fired(guard).kind == GuardKind::plant_switch;
}

/// What is worked out once for the modes that a run sets out in at (time, state). The plant must
/// outlive it.
template <Plant P>
class Stretch {
 public:
  using Active = PlantActive<P>;
  using State = StateOf<P>;

  Stretch(const P& plant, const ModesOf<P>& modes, double time, const State& state)
      : active_(plant.activate(modes.switches)), frozen_(freeze(plant.network(), modes.couplings)) {
    const View<P> view = view_of(plant, active_, frozen_, time, state);
    guards_ = guards_of(plant, modes, plant.hold_limits(active_, view.loads, time, state));
    turning_guard_ = layshaft::turning_guard(plant, guards_);
    if (turning_guard_ >= 0) turned_ = freeze(plant.network(), turned_modes(plant, modes));
    begin_ = look(plant, modes, time, state, view);
  }

  [[nodiscard]] const Active& active() const { return active_; }
  [[nodiscard]] const FrozenOf<P>& frozen() const { return frozen_; }
  [[nodiscard]] const GuardSet<P>& guards() const { return guards_; }
  /// The look where it begins.
  [[nodiscard]] const Look<P>& begin() const { return begin_; }

  [[nodiscard]] Look<P> look(const P& plant, const ModesOf<P>& modes, double time,
                             const State& state) const {
    return look(plant, modes, time, state, view_of(plant, active_, frozen_, time, state));
  }

  /// Value of one guard.
  [[nodiscard]] double guard(const P& plant, const ModesOf<P>& modes, int which, double time,
                             const State& state) const {
    return guard_value(plant, guards_, which, modes, active_,
                       which == turning_guard_ ? turned_ : frozen_, time, state);
  }

  [[nodiscard]] FrozenSystem<P, Active> system(const P& plant) const {
    return {plant, active_, frozen_};
  }

 private:
  [[nodiscard]] Look<P> look(const P& plant, const ModesOf<P>& modes, double time,
                             const State& state, const View<P>& view) const {
    Look<P> seen{guard_values(plant, guards_, modes, active_, view, time, state),
                 plant.account_rates(active_, time, state, view.loads, view.torques)};
    if (turning_guard_ >= 0) {
      seen.guards[static_cast<std::size_t>(turning_guard_)] =
          guard(plant, modes, turning_guard_, time, state);
    }
    return seen;
  }

  Active active_;
  FrozenOf<P> frozen_;
  FrozenOf<P> turned_;  // Of the train about to turn back, where `turning_guard_` is watched.
  GuardSet<P> guards_;
  int turning_guard_ = -1;
  Look<P> begin_;
};

/// The guards along a run: what the last look saw and which of them may fall.
template <class P>
struct Watched {
  GuardValues<P> last{};
  ArmedGuards<P> armed{};
  std::array<AccountsOf<P>, kLobattoPoints> account_rates{};  ///< At the looks of the last step.

  /// From a look where a step begins.
  void begin(const Look<P>& look) {
    last = look.guards;
    account_rates[0] = look.account_rates;
  }
};

}  // namespace layshaft
