#pragma once

/// What an integration gives, the frozen equation that a stepper calls, and a view of each step for
/// those who watch.

#include <vector>

#include "layshaft/network/carried_error.hpp"
#include "layshaft/network/ending.hpp"
#include "layshaft/network/plant.hpp"
#include "layshaft/network/quadrature.hpp"

namespace layshaft {

template <class P>
struct Integration {
  Ending ending;
  StateOf<P> state;
  AccountsOf<P> accounts;
  ModesOf<P> first_modes;
  ModesOf<P> modes;
  std::vector<Change> changes;
  CarriedError<P> error;  ///< At the end; zero with a stepper that carries none.
};

/// Smooth equation of a plant with frozen modes, in the form a stepper calls.
template <class P, class Active>
class FrozenSystem {
 public:
  using Factors = typename FactorsOf<P>::Type;

  FrozenSystem(const P& plant, const Active& active, const FrozenOf<P>& frozen)
      : plant_(plant), active_(active), frozen_(frozen) {}

  void operator()(const StateOf<P>& state, StateOf<P>& rates, double time) const {
    rates = rates_of(plant_, active_, frozen_, time, state);
  }
  template <class Jacobian>
  void linearise(const StateOf<P>& state, double time, Jacobian& jacobian,
                 StateOf<P>& time_slope) const {
    plant_.linearise(active_, frozen_, time, state, jacobian, time_slope);
  }

 private:
  const P& plant_;
  const Active& active_;
  const FrozenOf<P>& frozen_;
};

/// Dense view of the step just made, with the frozen modes that hold in it. The accounts are summed
/// from the beginning of the stretch.
template <class P, class Stepper, class Active>
struct Segment {
  const P& plant;
  const Stepper& stepper;
  const Active& active;
  const FrozenOf<P>& frozen;
  const ModesOf<P>& modes;
  const AccountsOf<P>& accounts_at_begin;
  const AccountsOf<P>& account_rates_at_begin;
  AccountsOf<P> accounts_at_end;
  double begin;
  double end;
  const CarriedError<P>* error = nullptr;  ///< At the end, where a run carries it.

  [[nodiscard]] StateOf<P> state(double time) const {
    StateOf<P> result;
    stepper.calc_state(time, result);
    return result;
  }
  [[nodiscard]] StateOf<P> rates(double time, const StateOf<P>& state) const {
    return rates_of(plant, active, frozen, time, state);
  }
  [[nodiscard]] View<P> view(double time, const StateOf<P>& state) const {
    return view_of(plant, active, frozen, time, state);
  }
  [[nodiscard]] AccountsOf<P> accounts(double time) const {
    if (!(time > begin)) return accounts_at_begin;
    if (time == end) return accounts_at_end;
    const StateOf<P> at = state(time);
    return accounts(time, at, view(time, at));
  }
  /// For one who has seen the plant there.
  [[nodiscard]] AccountsOf<P> accounts(double time, const StateOf<P>& at,
                                       const View<P>& seen) const {
    if (!(time > begin)) return accounts_at_begin;
    if (time == end) return accounts_at_end;
    std::array<AccountsOf<P>, kLobattoPoints> rates;
    rates.front() = account_rates_at_begin;
    for (std::size_t k = 1; k + 1 < kLobattoPoints; ++k) {
      const double inside = begin + (time - begin) * kLobattoShares[k];
      const StateOf<P> inside_state = state(inside);
      rates[k] = account_rates(inside, inside_state, view(inside, inside_state));
    }
    rates.back() = account_rates(time, at, seen);
    return add_integrals(accounts_at_begin, time - begin, rates);
  }

 private:
  [[nodiscard]] AccountsOf<P> account_rates(double time, const StateOf<P>& at,
                                            const View<P>& seen) const {
    return plant.account_rates(active, time, at, seen.loads, seen.torques);
  }
};

}  // namespace layshaft
