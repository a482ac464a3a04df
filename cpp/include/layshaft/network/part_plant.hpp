#pragma once

/// A plant made of a list of parts: all that the integrator asks for, from the parts alone.
///
///     class Winch : public parts::PartPlant<WinchList> { ... };
///
/// or `PartPlant<WinchList>(laws)` where nothing is to be added. Inputs with kinks in time are
/// the deriving plant's, which then hides `kink_time` and `pass_kink`.

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <string_view>

#include "layshaft/network/assemble.hpp"
#include "layshaft/network/plant.hpp"

namespace layshaft::parts {

/// Masses and rows of a list of parts with their coefficients. `travel` names the coupling to
/// ground whose slip is < 0 while all turns backwards, empty where there is none.
template <class List>
[[nodiscard]] auto network_of(const Laws<List, double>& laws, std::string_view travel = {}) {
  using Parts = Assembly<List>;
  Network<Parts::kNodes, Parts::kCouplings> network;
  network.slip.setZero();
  network.travel = travel.empty() ? -1 : place_of(Parts::kCouplingRows, travel);
  Parts::for_each_part([&]<class Part, PartPlaces places>() {
    const auto& law = laws.template of<Part>();
    if constexpr (places.nodes.size > 0) {
      const auto inertias = Part::inertias(law);
      for (std::size_t k = 0; k < places.nodes.size; ++k) {
        network.inertia(static_cast<int>(places.nodes.begin + k)) = inertias[k];
      }
    }
    if constexpr (places.couplings.size > 0) {
      const auto rows = Part::rows(law);
      for (std::size_t c = 0; c < places.couplings.size; ++c) {
        const int row = static_cast<int>(places.couplings.begin + c);
        const auto nodes = Parts::nodes_of(row);
        for (std::size_t k = 0; k < kMostJoined; ++k) {
          if (nodes[k] != kNone) network.slip(row, nodes[k]) = rows[c].slip[k];
        }
      }
    }
  });
  network.forward = network.slip;
  network.backward = network.slip;
  Parts::for_each_part([&]<class Part, PartPlaces places>() {
    if constexpr (places.couplings.size > 0) {
      const auto rows = Part::rows(laws.template of<Part>());
      for (std::size_t c = 0; c < places.couplings.size; ++c) {
        const int row = static_cast<int>(places.couplings.begin + c);
        const int driving = Parts::nodes_of(row)[0];
        network.forward(row, driving) *= 1.0 / rows[c].efficiency;
        network.backward(row, driving) *= rows[c].efficiency;
      }
    }
  });
  return network;
}

/// Work of all sources less what was lost and stored [J]: what the motion has gained.
template <class Parts, class Accounts>
[[nodiscard]] double unspent_work(const Accounts& accounts) {
  double sum = 0.0;
  for (std::size_t i = 0; i < Parts::kAccountRows.size(); ++i) {
    const Flow flow = Parts::kAccountRows[i].flow;
    if (flow == Flow::source) sum += accounts[i];
    if (flow == Flow::loss || flow == Flow::stored) sum -= accounts[i];
  }
  return sum;
}

template <class List>
class PartPlant {
 public:
  using Parts = Assembly<List>;
  static constexpr int kNodes = Parts::kNodes;
  static constexpr int kCouplings = Parts::kCouplings;
  static constexpr int kAuxiliaries = Parts::kStates - Parts::kNodes;
  static constexpr int kAccounts = Parts::kAccounts;
  static constexpr int kSwitches = Parts::kSwitches;
  using State = Vector<double, Parts::kStates>;
  using Accounts = std::array<double, static_cast<std::size_t>(kAccounts)>;
  using Jacobian = Eigen::Matrix<double, Parts::kStates, Parts::kStates>;
  using Positions = std::array<std::int16_t, static_cast<std::size_t>(kSwitches)>;
  using Active = Actives<List, double>;

  explicit PartPlant(const Laws<List, double>& laws, std::string_view travel = {})
      : laws_(laws), network_(network_of<List>(laws, travel)) {}

  [[nodiscard]] const Laws<List, double>& laws() const { return laws_; }
  [[nodiscard]] const Network<kNodes, kCouplings>& network() const { return network_; }

  [[nodiscard]] State state_scale() const {
    State scale;
    for (int i = 0; i < Parts::kStates; ++i) scale(i) = row(Parts::kStateRows, i).scale;
    return scale;
  }
  [[nodiscard]] Vector<double, kCouplings> torque_scale() const {
    Vector<double, kCouplings> scale;
    for (int i = 0; i < kCouplings; ++i) scale(i) = row(Parts::kCouplingRows, i).torque_scale;
    return scale;
  }
  [[nodiscard]] Vector<double, kCouplings> slip_scale() const {
    Vector<double, kCouplings> scale;
    for (int i = 0; i < kCouplings; ++i) scale(i) = row(Parts::kCouplingRows, i).slip_scale;
    return scale;
  }

  [[nodiscard]] Active activate(const Positions& switches) const {
    Active active{};
    Parts::for_each_part([&]<class Part, PartPlaces places>() {
      if constexpr (places.switches.size > 0 &&
                    !std::is_empty_v<typename Part::template Active<double>>) {
        active.template of<Part>() =
            Part::activate(laws_.template of<Part>(), own_of<places.switches>(switches));
      }
    });
    return active;
  }

  template <class Real>
  [[nodiscard]] AssemblyLoads<List, Real> loads(const Active& active, const Real& time,
                                                const Vector<Real, Parts::kStates>& state) const {
    return Parts::loads(laws_, active, time, state);
  }

  [[nodiscard]] HoldLimits<kCouplings> hold_limits(const Active& active,
                                                   const AssemblyLoads<List, double>& sliding,
                                                   double time, const State& state) const {
    HoldLimits<kCouplings> hold{sliding.low, sliding.high};
    Parts::raise_to_hold_limits(laws_, active, time, state, sliding, hold);
    return hold;
  }

  template <class Real>
  void auxiliary_rates(const Active& active, const Real& time,
                       const Vector<Real, Parts::kStates>& state, AssemblyLoads<List, Real>& loads,
                       const Vector<Real, kCouplings>& sliding,
                       const Vector<Real, kNodes>& accelerations,
                       Vector<Real, Parts::kStates>& rates) const {
    Parts::auxiliary_rates(laws_, active, time, state, loads, sliding, accelerations, rates);
  }

  [[nodiscard]] Accounts account_rates(const Active& /*active*/, double time, const State& state,
                                       const AssemblyLoads<List, double>& loads,
                                       const Vector<double, kCouplings>& torques) const {
    return Parts::account_rates(laws_, time, state, loads, torques);
  }

  void linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                 double time, const State& state, Jacobian& jacobian, State& time_slope) const {
    jacobian.setZero();
    Parts::linearise(laws_, active, frozen, time, state, jacobian, time_slope);
  }
  [[nodiscard]] static constexpr auto jacobian_pattern() { return Parts::jacobian_pattern(); }
  template <class Frozen, class Loads, class Sliding, class Force>
  static void push(const Frozen& frozen, const Loads& loads, Sliding& sliding, Force& force) {
    Parts::push(frozen, loads, sliding, force);
  }

  [[nodiscard]] double switch_guard(int k, const Positions& switches, double time,
                                    const State& state) const {
    return Parts::guard(k, laws_, activate(switches), time, state);
  }
  /// Of all switches, where the loads are known.
  [[nodiscard]] auto switch_guards(const Active& active, const AssemblyLoads<List, double>& loads,
                                   double time, const State& state) const {
    return Parts::guards(laws_, active, time, state, loads);
  }

  [[nodiscard]] int next_switch(int k, const Positions& switches, double /*time*/,
                                const State& /*state*/) const {
    int next = 1 - switches[static_cast<std::size_t>(k)];
    Parts::for_each_part([&]<class Part, PartPlaces places>() {
      constexpr Range kOwn = places.switches;
      const auto at = static_cast<std::size_t>(k);
      if constexpr (requires { Part::next(0, own_of<places.switches>(switches)); }) {
        if (at >= kOwn.begin && at < kOwn.begin + kOwn.size) {
          next = Part::next(static_cast<int>(at - kOwn.begin), own_of<places.switches>(switches));
        }
      }
    });
    return next;
  }

  [[nodiscard]] bool is_open(int which, const Positions& switches) const {
    bool open = false;
    Parts::for_each_part([&]<class Part, PartPlaces places>() {
      constexpr Range kOwn = places.couplings;
      const auto at = static_cast<std::size_t>(which);
      const auto& law = laws_.template of<Part>();
      if constexpr (requires { Part::is_open(law, 0, own_of<places.switches>(switches)); }) {
        if (at >= kOwn.begin && at < kOwn.begin + kOwn.size) {
          open = Part::is_open(law, static_cast<int>(at - kOwn.begin),
                               own_of<places.switches>(switches));
        }
      }
    });
    return open;
  }

  [[nodiscard]] double kink_time(const Positions& /*switches*/) const {
    return std::numeric_limits<double>::infinity();
  }
  [[nodiscard]] Positions pass_kink(const Positions& switches) const { return switches; }

 private:
  [[nodiscard]] static std::size_t at(int i) { return static_cast<std::size_t>(i); }

  template <class Rows>
  [[nodiscard]] static const auto& row(const Rows& rows, int i) {
    return rows[at(i)];
  }

  // The positions of one part's switches.
  template <Range Own>
  [[nodiscard]] static std::array<std::int16_t, Own.size> own_of(const Positions& switches) {
    std::array<std::int16_t, Own.size> own{};
    for (std::size_t k = 0; k < Own.size; ++k) own[k] = switches[Own.begin + k];
    return own;
  }

  Laws<List, double> laws_;
  Network<kNodes, kCouplings> network_;
};

}  // namespace layshaft::parts
