#pragma once

/// Takes a sample of a plant of parts.

#include <limits>

#include "layshaft/network/plant.hpp"
#include "layshaft/run/sample.hpp"

namespace layshaft {

template <class Names, class P>
[[nodiscard]] SampleOf<Names> sample_of(const P& plant, const View<P>& view, double time,
                                        const StateOf<P>& state, const AccountsOf<P>& accounts,
                                        const ModesOf<P>& modes) {
  const Vector<double, P::kCouplings> slips =
      plant.network().slip * state.template head<P::kNodes>();
  SampleOf<Names> sample{
      time, to_column(state), accounts, to_column(view.torques), to_column(slips), {}, modes};
  for (std::size_t i = 0; i < sample.signals.size(); ++i) {
    sample.signals[i] = Names::is_late_signal(static_cast<int>(i))
                            ? std::numeric_limits<double>::quiet_NaN()
                            : view.loads.signals[i];
  }
  return sample;
}

}  // namespace layshaft
