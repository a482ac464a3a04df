#pragma once

/// What a mesh or belt loses of the power that it passes on.

#include "layshaft/number/real.hpp"

namespace layshaft::parts {

/// Shares of the power [-]: 1/efficiency - 1 where work enters on the engine's side; on the road's
/// efficiency - 1, of a power that is then negative.
template <class Real>
struct PassingShares {
  Real from_engine, from_road;
};

[[nodiscard]] inline PassingShares<double> passing_shares(double efficiency) {
  return {1.0 / efficiency - 1.0, efficiency - 1.0};
}

/// Power lost [W], >= 0.
template <class Coefficient, class Real>
[[nodiscard]] Real passing_loss(const Real& torque, const Real& in_speed,
                                const PassingShares<Coefficient>& shares) {
  const Real power = torque * in_speed;
  return power * select(power >= 0.0, Real(shares.from_engine), Real(shares.from_road));
}

}  // namespace layshaft::parts
