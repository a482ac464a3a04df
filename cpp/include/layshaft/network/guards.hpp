#pragma once

/// Guards: continuous dimensionless numbers, positive while a mode holds, falling through zero
/// where it ends. Only guards of the present modes are watched.

#include <array>
#include <cstdint>

#include "layshaft/network/plant.hpp"

namespace layshaft {

enum class GuardKind : std::uint8_t {
  none,
  slip,          ///< A sliding coupling's slip, over its scale.
  high_limit,    ///< What is left to the upper limit at rest, over the torque scale.
  low_limit,     ///< What is left to the lower limit at rest, over the torque scale.
  reversal,      ///< The torque of a stuck coupling with a loss, over its scale.
  plant_switch,  ///< A guard of the plant's own.
};

/// Slips below this share of their scale are round-off of a projection or of a located root.
inline constexpr double kSlipRoundOff = 1e-11;

/// What a guard has to rise past before it may fall; one that has not may stand as far below zero.
/// That of a slip is as small as can be: a coupling that sticks is put on the slip it had, and
/// where a stiff tyre answers to that, the torque of the answer would let it go again, for ever.
[[nodiscard]] constexpr double guard_noise(GuardKind kind) {
  return kind == GuardKind::slip ? kSlipRoundOff : 1e-9;
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

/// Guard of a sliding coupling: its slip on the side where it slides.
template <Plant P>
[[nodiscard]] double slip_guard(const P& plant, int coupling, CouplingMode mode,
                                const StateOf<P>& state) {
  const double slip = plant.network().slip.row(coupling).dot(state.template head<P::kNodes>());
  return (mode == CouplingMode::slip_positive ? slip : -slip) / plant.slip_scale()(coupling);
}

/// Guard of a stuck coupling, from its torque and its limits at rest.
template <Plant P>
[[nodiscard]] double torque_guard(const P& plant, const Fired& id, CouplingMode mode, double torque,
                                  const HoldLimits<P::kCouplings>& hold) {
  const double scale = plant.torque_scale()(id.index);
  if (id.kind == GuardKind::high_limit) return (hold.high(id.index) - torque) / scale;
  if (id.kind == GuardKind::low_limit) return (torque - hold.low(id.index)) / scale;
  return (mode == CouplingMode::stuck_back ? -torque : torque) / scale;
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

/// Values of the watched guards at (time, state); 1 where nothing is watched.
template <Plant P, class Active>
[[nodiscard]] GuardValues<P> guard_values(const P& plant, const GuardSet<P>& set,
                                          const ModesOf<P>& modes, const Active& active,
                                          const View<P>& view, double time,
                                          const StateOf<P>& state) {
  GuardValues<P> values;
  values.fill(1.0);
  const HoldLimits<P::kCouplings> hold = plant.hold_limits(active, view.loads, time, state);
  for (int i = 0; i < P::kCouplings; ++i) {
    const CouplingMode mode = modes.couplings[static_cast<std::size_t>(i)];
    for (const int guard : {2 * i, 2 * i + 1}) {
      const GuardKind kind = set.kinds[static_cast<std::size_t>(guard)];
      if (kind == GuardKind::none) continue;
      values[static_cast<std::size_t>(guard)] =
          kind == GuardKind::slip ? slip_guard(plant, i, mode, state)
                                  : torque_guard(plant, {kind, i}, mode, view.torques(i), hold);
    }
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
[[nodiscard]] double guard_value(const P& plant, const Fired& id, const ModesOf<P>& modes,
                                 const Active& active, const FrozenOf<P>& frozen, double time,
                                 const StateOf<P>& state) {
  if (id.kind == GuardKind::plant_switch) {
    return plant.switch_guard(id.index, modes.switches, time, state);
  }
  const CouplingMode mode = modes.couplings[static_cast<std::size_t>(id.index)];
  if (id.kind == GuardKind::slip) return slip_guard(plant, id.index, mode, state);
  const View<P> view = view_of<P, Active>(plant, active, frozen, time, state);
  const HoldLimits<P::kCouplings> hold = plant.hold_limits(active, view.loads, time, state);
  return torque_guard(plant, id, mode, view.torques(id.index), hold);
}

}  // namespace layshaft
