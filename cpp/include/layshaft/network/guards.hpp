#pragma once

/// Guards: continuous dimensionless numbers, positive while a mode holds, falling through zero
/// where it ends. Only guards of the present modes are watched.

#include <array>
#include <cstdint>

#include "layshaft/network/plant.hpp"
#include "layshaft/number/arithmetic.hpp"

namespace layshaft {

enum class GuardKind : std::uint8_t {
  none,
  slip,          ///< A sliding coupling's slip, over its scale.
  high_limit,    ///< What is left to the upper limit at rest, over the torque scale.
  low_limit,     ///< What is left to the lower limit at rest, over the torque scale.
  reversal,      ///< The torque of a stuck coupling with a loss, over its scale.
  plant_switch,  ///< A guard of the plant's own.
};

/// Noise of all guards but those of slips [-].
inline constexpr double kGuardNoise = 1e-9;

/// Slips below this share of their scale are round-off of a projection or of a located root.
inline constexpr double kSlipRoundOff = 1e-11;

/// Noise of a slip's guard at a tolerance: what a long step's dense output may dip below zero by.
/// It is as small as can be: a coupling that sticks is put on the slip it had, and where a stiff
/// tyre answers to that, the torque of the answer would let it go again, for ever. Measured at a
/// tolerance of 1e-5: with a factor of 1e-6 a car with thrown shoes changes four times for nothing
/// as it sets off, with 3e-5 one with a light stiff front wheel changes 133 000 times in 60 ms.
template <class Real>
[[nodiscard]] Real slip_noise(const Real& tolerance) {
  using std::max;
  return max(1e-5 * tolerance, Real(kSlipRoundOff));
}

/// What a guard has to rise past before it may fall; one that has not may stand as far below zero.
[[nodiscard]] constexpr double guard_noise(GuardKind kind, double slip_noise) {
  return kind == GuardKind::slip ? slip_noise : kGuardNoise;
}

/// The guard that fell: `index` counts couplings, or switches for `plant_switch`.
struct Fired {
  GuardKind kind = GuardKind::none;
  int index = -1;
};

/// Two guards for each coupling, then one for each switch; `none` where nothing is watched.
template <class P>
struct GuardSet {
  static constexpr int kCount = 2 * P::kCouplings + P::kSwitches;
  std::array<GuardKind, static_cast<std::size_t>(kCount)> kinds{};

  [[nodiscard]] Fired fired(int guard) const {
    const GuardKind kind = kinds[static_cast<std::size_t>(guard)];
    return {kind, guard < 2 * P::kCouplings ? guard / 2 : guard - 2 * P::kCouplings};
  }
};

template <class P>
using GuardValues = std::array<double, static_cast<std::size_t>(GuardSet<P>::kCount)>;

/// Which guards these modes need. `hold` gives the limits at rest, so that a one-way coupling with
/// a loss is watched for running free, not for a reversal it cannot carry.
template <Plant P>
[[nodiscard]] GuardSet<P> guards_of(const P& plant, const ModesOf<P>& modes,
                                    const HoldLimits<P::kCouplings>& hold) {
  GuardSet<P> set;
  for (int i = 0; i < P::kCouplings; ++i) {
    GuardKind& first = set.kinds[static_cast<std::size_t>(2 * i)];
    GuardKind& second = set.kinds[static_cast<std::size_t>(2 * i + 1)];
    const bool loss = plant.network().has_loss(i);
    switch (modes.couplings[static_cast<std::size_t>(i)]) {
      case CouplingMode::open: break;
      case CouplingMode::stuck:
        if (hold.high(i) < kNoLimit) first = GuardKind::high_limit;
        if (hold.low(i) > -kNoLimit) {
          second = loss && hold.low(i) < 0.0 ? GuardKind::reversal : GuardKind::low_limit;
        }
        break;
      case CouplingMode::stuck_back:
        first = GuardKind::reversal;
        if (hold.low(i) > -kNoLimit) second = GuardKind::low_limit;
        break;
      case CouplingMode::slip_positive:
      case CouplingMode::slip_negative: first = GuardKind::slip; break;
    }
  }
  for (int k = 0; k < P::kSwitches; ++k) {
    set.kinds[static_cast<std::size_t>(2 * P::kCouplings + k)] = GuardKind::plant_switch;
  }
  return set;
}

/// Whether a guard is of this kind; in lanes kinds are numbers.
[[nodiscard]] constexpr bool is_kind(GuardKind kind, GuardKind which) { return kind == which; }
template <class Real>
[[nodiscard]] auto is_kind(const Real& kind, GuardKind which) {
  return kind == Real(static_cast<double>(which));
}

/// The first guard of a coupling times its scale, 1 where nothing is watched. `high` is the limit
/// at rest; `forwards` says on which side it slides. These formulas serve lanes as well.
template <class Kind, class Mask, class Real>
[[nodiscard]] Real first_guard(const Kind& kind, const Mask& forwards, const Real& slip,
                               const Real& torque, const Real& high) {
  return select(is_kind(kind, GuardKind::slip), select(forwards, slip, -slip),
                select(is_kind(kind, GuardKind::high_limit), high - torque,
                       select(is_kind(kind, GuardKind::reversal), -torque, Real(1.0))));
}

/// The second.
template <class Kind, class Real>
[[nodiscard]] Real second_guard(const Kind& kind, const Real& torque, const Real& low) {
  return select(is_kind(kind, GuardKind::low_limit), torque - low,
                select(is_kind(kind, GuardKind::reversal), torque, Real(1.0)));
}

/// The scale of a coupling's guard.
template <class Kind, class Real>
[[nodiscard]] Real guard_scale(const Kind& kind, const Real& slip_scale, const Real& torque_scale) {
  return select(is_kind(kind, GuardKind::slip), slip_scale, torque_scale);
}

/// How far below zero the guard of a coupling times its scale may stand until it has risen past
/// that.
template <class Kind, class Real>
[[nodiscard]] Real scaled_noise(const Kind& kind, const Real& slip_noise, const Real& slip_scale,
                                const Real& torque_scale) {
  return select(is_kind(kind, GuardKind::slip), slip_noise * slip_scale,
                kGuardNoise * torque_scale);
}

/// Whether a guard with this value may fall from now on, `before` whether it might until now.
template <class Mask, class Real>
[[nodiscard]] Mask is_armed(const Mask& before, const Real& value, const Real& noise) {
  return Mask(before | (value > noise));
}

/// A guard below this has fallen.
template <class Mask, class Real>
[[nodiscard]] Real least_guard(const Mask& armed, const Real& noise) {
  return select(armed, Real(0.0), -noise);
}

/// The guard of a train at rest that would let it turn back, or -1. It goes by the torque that the
/// train would have if it did, with its losses the other way round (`turned_modes`).
template <Plant P>
[[nodiscard]] int turning_guard(const P& plant, const GuardSet<P>& set) {
  const int guard = 2 * plant.network().travel + 1;
  if (guard < 0) return -1;
  return set.kinds[static_cast<std::size_t>(guard)] == GuardKind::low_limit ? guard : -1;
}

/// The modes of a train at rest as it is about to turn back.
template <Plant P>
[[nodiscard]] auto turned_modes(const P& plant, const ModesOf<P>& modes) {
  auto couplings = modes.couplings;
  couplings[static_cast<std::size_t>(plant.network().travel)] = CouplingMode::stuck_back;
  return couplings;
}

/// One guard of a coupling: of a slip from the speeds, else from its torque and limits at rest.
template <Plant P>
[[nodiscard]] double slip_guard(const P& plant, int coupling, CouplingMode mode,
                                const StateOf<P>& state) {
  const double slip = plant.network().slip.row(coupling).dot(state.template head<P::kNodes>());
  const bool forwards = mode == CouplingMode::slip_positive;
  return first_guard(GuardKind::slip, forwards, slip, 0.0, 0.0) / plant.slip_scale()(coupling);
}
template <Plant P>
[[nodiscard]] double torque_guard(const P& plant, const GuardSet<P>& set, int guard, double torque,
                                  const HoldLimits<P::kCouplings>& hold) {
  const int coupling = guard / 2;
  const GuardKind kind = set.kinds[static_cast<std::size_t>(guard)];
  const double value = guard % 2 == 0 ? first_guard(kind, false, 0.0, torque, hold.high(coupling))
                                      : second_guard(kind, torque, hold.low(coupling));
  return value / plant.torque_scale()(coupling);
}

/// Values of the watched guards at (time, state); 1 where nothing is watched.
template <Plant P, class Active>
[[nodiscard]] GuardValues<P> guard_values(const P& plant, const GuardSet<P>& set,
                                          const ModesOf<P>& modes, const Active& active,
                                          const View<P>& view, double time,
                                          const StateOf<P>& state) {
  GuardValues<P> values;
  values.fill(1.0);
  const HoldLimits<P::kCouplings> hold = plant.hold_limits(active, view.loads, time, state);
  for (int guard = 0; guard < 2 * P::kCouplings; ++guard) {
    const auto g = static_cast<std::size_t>(guard);
    const int i = guard / 2;
    if (set.kinds[g] == GuardKind::none) continue;
    values[g] = set.kinds[g] == GuardKind::slip
                    ? slip_guard(plant, i, modes.couplings[static_cast<std::size_t>(i)], state)
                    : torque_guard(plant, set, guard, view.torques(i), hold);
  }
  const auto of_switch = [&](int k) -> double& {
    return values[static_cast<std::size_t>(2 * P::kCouplings + k)];
  };
  // A plant may use the loads that are known here.
  if constexpr (requires { plant.switch_guards(active, view.loads, time, state); }) {
    const auto guards = plant.switch_guards(active, view.loads, time, state);
    for (int k = 0; k < P::kSwitches; ++k) of_switch(k) = guards[static_cast<std::size_t>(k)];
  } else {
    for (int k = 0; k < P::kSwitches; ++k) {
      of_switch(k) = plant.switch_guard(k, modes.switches, time, state);
    }
  }
  return values;
}

/// Value of one guard at (time, state); cheap where it needs no torque.
template <Plant P, class Active>
[[nodiscard]] double guard_value(const P& plant, const GuardSet<P>& set, int guard,
                                 const ModesOf<P>& modes, const Active& active,
                                 const FrozenOf<P>& frozen, double time, const StateOf<P>& state) {
  const Fired id = set.fired(guard);
  if (id.kind == GuardKind::plant_switch) {
    return plant.switch_guard(id.index, modes.switches, time, state);
  }
  if (id.kind == GuardKind::slip) {
    return slip_guard(plant, id.index, modes.couplings[static_cast<std::size_t>(id.index)], state);
  }
  const View<P> view = view_of(plant, active, frozen, time, state);
  const HoldLimits<P::kCouplings> hold = plant.hold_limits(active, view.loads, time, state);
  return torque_guard(plant, set, guard, view.torques(id.index), hold);
}

}  // namespace layshaft
