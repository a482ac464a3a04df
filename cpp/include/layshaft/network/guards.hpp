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
      case CouplingMode::open:
        break;
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
      case CouplingMode::slip_negative:
        first = GuardKind::slip;
        break;
    }
  }
  for (int k = 0; k < P::kSwitches; ++k) {
    set.kinds[static_cast<std::size_t>(2 * P::kCouplings + k)] = GuardKind::plant_switch;
  }
  return set;
}

/// Values of the watched guards at (time, state); 1 where nothing is watched.
template <Plant P, class Active>
[[nodiscard]] GuardValues<P> guard_values(const P& plant, const GuardSet<P>& set,
                                          const ModesOf<P>& modes, const Active& active,
                                          const FrozenOf<P>& frozen, double time,
                                          const StateOf<P>& state) {
  GuardValues<P> values;
  values.fill(1.0);
  const Motion<P, double> now = motion<P, Active, double>(plant, active, frozen, time, state);
  const HoldLimits<P::kCouplings> hold = plant.hold_limits(active, time, state);
  for (int guard = 0; guard < set.kCount; ++guard) {
    const Fired id = set.fired(guard);
    double& value = values[static_cast<std::size_t>(guard)];
    const int i = id.index;
    switch (id.kind) {
      case GuardKind::none:
        break;
      case GuardKind::slip: {
        const double slip = plant.network().slip.row(i).dot(state.template head<P::kNodes>());
        const bool positive =
            modes.couplings[static_cast<std::size_t>(i)] == CouplingMode::slip_positive;
        value = (positive ? slip : -slip) / plant.slip_scale()(i);
        break;
      }
      case GuardKind::high_limit:
        value = (hold.high(i) - now.torques(i)) / plant.torque_scale()(i);
        break;
      case GuardKind::low_limit:
        value = (now.torques(i) - hold.low(i)) / plant.torque_scale()(i);
        break;
      case GuardKind::reversal: {
        const bool back = modes.couplings[static_cast<std::size_t>(i)] == CouplingMode::stuck_back;
        value = (back ? -now.torques(i) : now.torques(i)) / plant.torque_scale()(i);
        break;
      }
      case GuardKind::plant_switch:
        value = plant.switch_guard(i, modes.switches, time, state);
        break;
    }
  }
  return values;
}

}  // namespace layshaft
