#pragma once

/// The modes of all couplings at one instant, from a boxed complementarity problem.
///
/// A coupling with slip slides. All couplings without slip are solved together, so that two that
/// switch at once, a standstill and the first instant of a launch come out right. A coupling that
/// sticks or might stick is held to its limits at rest; one whose limit was just reached starts as
/// sliding with its sliding limit and is then checked, since solved again as stuck it would fire
/// for ever. So would one whose slip has passed zero, were its modes to stay as they are because an
/// acceleration so near to zero is taken for round-off: it goes on to the other side. Source: boxed
/// complementarity as in `complementarity.hpp`; two friction levels (breakaway above sliding) as in
/// the problem of a chain of clutches, O1 of the tests.

#include <algorithm>

#include "layshaft/network/complementarity.hpp"
#include "layshaft/network/freeze.hpp"
#include "layshaft/network/guards.hpp"
#include "layshaft/network/plant.hpp"

namespace layshaft {

template <Plant P>
class ModeResolver {
 public:
  using Modes = ModesOf<P>;
  using State = StateOf<P>;

  struct Result {
    bool found;
    Modes modes;
  };

  explicit ModeResolver(const P& plant) : plant_(plant) {}

  /// Modes at (time, state), `before` being those of the step just ended (its switches already
  /// those of the step to come) and `fired` the guard that ended it.
  [[nodiscard]] Result resolve(double time, const State& state, const Modes& before,
                               const Fired& fired) const {
    const auto active = plant_.activate(before.switches);
    const auto loads = plant_.loads(active, time, state);
    const HoldLimits<P::kCouplings> hold = plant_.hold_limits(active, loads, time, state);
    Work work{before, {}, 0, {}, {}, {}};
    for (int i = 0; i < P::kCouplings; ++i) sort_row(i, state, before, loads, hold, fired, work);
    const Result found = decide(loads, work);
    if (fired.kind != GuardKind::slip || !found.found || found.modes != before) return found;
    bar_side(fired.index, before.couplings[at(fired.index)], loads, work);
    const Result barred = decide(loads, work);
    return barred.found ? barred : found;
  }

 private:
  using Rows = std::array<int, static_cast<std::size_t>(P::kCouplings)>;

  // The rows still to be decided (`candidates`), with the limits and direction each is tried with.
  struct Work {
    Modes modes;
    Rows candidates;
    int count;
    Vector<double, P::kCouplings> low;
    Vector<double, P::kCouplings> high;
    std::array<Basis, static_cast<std::size_t>(P::kCouplings)> start;
  };

  // Keeps a candidate off the side that its slip has left: it sticks where the other is its stop,
  // else it slides on to that.
  static void bar_side(int row, CouplingMode left, const LoadsOf<P>& loads, Work& work) {
    const bool up = left == CouplingMode::slip_negative;
    if (up && loads.high(row) >= kNoLimit) {
      work.low(row) = -kNoLimit;
    } else if (!up && loads.low(row) <= -kNoLimit) {
      work.high(row) = kNoLimit;
    } else {
      work.modes.couplings[at(row)] =
          up ? CouplingMode::slip_positive : CouplingMode::slip_negative;
      const auto end = work.candidates.begin() + work.count;
      work.count = static_cast<int>(std::remove(work.candidates.begin(), end, row) -
                                    work.candidates.begin());
    }
  }

  [[nodiscard]] Result decide(const LoadsOf<P>& loads, Work work) const {
    const int travel = plant_.network().travel;
    const Result forwards = settle(loads, work);
    if (travel < 0 || !forwards.found || !is_stuck(work.modes.couplings[at(travel)]) ||
        forwards.modes.couplings[at(travel)] != CouplingMode::slip_negative) {
      return forwards;
    }
    // Turning back, the train works against the losses the other way round. Where it would not
    // move against those either, they hold it.
    work.modes.couplings[at(travel)] = CouplingMode::stuck_back;
    const Result backwards = settle(loads, work);
    if (!backwards.found || backwards.modes.couplings[at(travel)] == CouplingMode::slip_negative) {
      return backwards;
    }
    work.modes.couplings[at(travel)] = CouplingMode::stuck;
    work.low(travel) = -kNoLimit;
    work.start[at(travel)] = Basis::inside;
    return settle(loads, work);
  }

  [[nodiscard]] Result settle(const LoadsOf<P>& loads, Work work) const {
    // A row found sliding drops from its limit at rest to its sliding limit, which may overload
    // others: solve again without it. Rows only ever leave, so this ends.
    for (int round = 0; round <= P::kCouplings; ++round) {
      if (work.count == 0) return {true, work.modes};
      const BoxedSolution solution = solve_directions(loads, work);
      if (!solution.found) return {false, work.modes};
      if (!release_sliding(solution, loads, work)) return {true, work.modes};
    }
    return {false, work.modes};
  }

  [[nodiscard]] static std::size_t at(int index) { return static_cast<std::size_t>(index); }

  void sort_row(int row, const State& state, const Modes& before, const LoadsOf<P>& loads,
                const HoldLimits<P::kCouplings>& hold, const Fired& fired, Work& work) const {
    CouplingMode& mode = work.modes.couplings[at(row)];
    const CouplingMode old = before.couplings[at(row)];
    if (plant_.is_open(row, before.switches)) {
      mode = CouplingMode::open;
      return;
    }
    const double slip = plant_.network().slip.row(row).dot(state.template head<P::kNodes>());
    const bool has_fired = fired.kind != GuardKind::plant_switch && fired.index == row;
    // A one-way coupling cannot slip against its stop, whatever the error of its slip.
    const bool at_stop = slip > 0.0 ? loads.high(row) >= kNoLimit : loads.low(row) <= -kNoLimit;
    const bool may_stick = is_stuck(old) || has_fired || at_stop ||
                           std::abs(slip) <= kSlipRoundOff * plant_.slip_scale()(row);
    if (!may_stick) {
      mode = slip > 0.0 ? CouplingMode::slip_positive : CouplingMode::slip_negative;
      return;
    }
    work.candidates[at(work.count++)] = row;
    work.low(row) = hold.low(row);
    work.high(row) = hold.high(row);
    work.start[at(row)] = Basis::inside;
    const bool at_limit = fired.kind == GuardKind::high_limit || fired.kind == GuardKind::low_limit;
    // A row that slides without slip has only just let go: it is tried like one whose limit fired,
    // or two that let go together would take turns for ever.
    if (has_fired ? at_limit : !is_stuck(old) && old != CouplingMode::open) {
      const bool high =
          has_fired ? fired.kind == GuardKind::high_limit : old == CouplingMode::slip_positive;
      work.low(row) = loads.low(row);
      work.high(row) = loads.high(row);
      work.start[at(row)] = high ? Basis::high : Basis::low;
    }
    const bool reversed = has_fired && fired.kind == GuardKind::reversal;
    const bool back = (old == CouplingMode::stuck_back) != reversed;
    mode = back ? CouplingMode::stuck_back : CouplingMode::stuck;
  }

  // Slip accelerations of the candidates for the present directions and sliding rows.
  [[nodiscard]] BoxedProblem build(const LoadsOf<P>& loads, const Work& work) const {
    const auto& network = plant_.network();
    Vector<double, P::kNodes> force = loads.applied;
    for (int i = 0; i < P::kCouplings; ++i) {
      const CouplingMode mode = work.modes.couplings[at(i)];
      if (mode != CouplingMode::slip_positive && mode != CouplingMode::slip_negative) continue;
      force -= push_row(network, i, work.modes.couplings).transpose() *
               (mode == CouplingMode::slip_positive ? loads.high(i) : loads.low(i));
    }
    const Vector<double, P::kNodes> acceleration = force.cwiseQuotient(network.inertia);
    BoxedProblem problem{SmallMatrix(work.count, work.count), SmallVector(work.count),
                         SmallVector(work.count), SmallVector(work.count)};
    for (int i = 0; i < work.count; ++i) {
      const int row = work.candidates[at(i)];
      problem.acceleration(i) = network.slip.row(row).dot(acceleration);
      problem.low(i) = work.low(row);
      problem.high(i) = work.high(row);
      for (int j = 0; j < work.count; ++j) {
        const int other = work.candidates[at(j)];
        problem.response(i, j) =
            network.slip.row(row).dot(push_row(network, other, work.modes.couplings)
                                          .transpose()
                                          .cwiseQuotient(network.inertia));
      }
    }
    return problem;
  }

  // Solves with the directions of the lossy rows, turning those whose torque came out the other
  // way; if that goes round in circles, tries every combination of directions.
  [[nodiscard]] BoxedSolution solve_directions(const LoadsOf<P>& loads, Work& work) const {
    BasisVector start(work.count);
    for (int i = 0; i < work.count; ++i) start(i) = work.start[at(work.candidates[at(i)])];
    BoxedSolution solution = solve_boxed(build(loads, work), start);
    for (int turn = 0; turn <= 2 * work.count && solution.found; ++turn) {
      if (!turn_directions(solution, work)) return solution;
      solution = solve_boxed(build(loads, work), solution.basis);
    }
    for (unsigned pattern = 0; pattern < (1U << static_cast<unsigned>(work.count)); ++pattern) {
      for (int i = 0; i < work.count; ++i) {
        const bool back = ((pattern >> static_cast<unsigned>(i)) & 1U) != 0U;
        if (work.candidates[at(i)] == plant_.network().travel) continue;
        work.modes.couplings[at(work.candidates[at(i)])] =
            back ? CouplingMode::stuck_back : CouplingMode::stuck;
      }
      solution = solve_boxed(build(loads, work), start);
      Work turned = work;
      if (solution.found && !turn_directions(solution, turned)) return solution;
    }
    solution.found = false;
    return solution;
  }

  // Sets each lossy candidate's direction to the sign of its torque; true if any had to turn.
  [[nodiscard]] bool turn_directions(const BoxedSolution& solution, Work& work) const {
    bool turned = false;
    for (int i = 0; i < work.count; ++i) {
      const int row = work.candidates[at(i)];
      CouplingMode& mode = work.modes.couplings[at(row)];
      if (!plant_.network().has_loss(row)) continue;
      const double torque_error =
          std::max(kTorqueRoundOff * plant_.torque_scale()(row), solution.torque_error);
      const bool wrong = mode == CouplingMode::stuck_back ? solution.torque(i) > torque_error
                                                          : solution.torque(i) < -torque_error;
      if (!wrong) continue;
      mode = mode == CouplingMode::stuck_back ? CouplingMode::stuck : CouplingMode::stuck_back;
      turned = true;
    }
    return turned;
  }

  // Whether a row found at a limit at rest falls from it to a sliding limit that is another.
  [[nodiscard]] static bool drops(const BoxedSolution& solution, const LoadsOf<P>& loads,
                                  const Work& work, int i) {
    const int row = work.candidates[at(i)];
    if (solution.basis(i) == Basis::high) return work.high(row) != loads.high(row);
    return solution.basis(i) == Basis::low && work.low(row) != loads.low(row);
  }

  // Moves candidates found at a limit to the sliding rows; true if any of them drops, so that the
  // rest must be solved again. Then only those that drop are moved, for what they no longer pass on
  // may be what brought others to their limits.
  [[nodiscard]] bool release_sliding(const BoxedSolution& solution, const LoadsOf<P>& loads,
                                     Work& work) const {
    bool again = false;
    for (int i = 0; i < work.count; ++i) again = again || drops(solution, loads, work, i);
    Rows kept{};
    int kept_count = 0;
    for (int i = 0; i < work.count; ++i) {
      const int row = work.candidates[at(i)];
      const bool inside = solution.basis(i) == Basis::inside;
      CouplingMode& mode = work.modes.couplings[at(row)];
      if (inside || (again && !drops(solution, loads, work, i))) {
        kept[at(kept_count++)] = row;
        work.start[at(row)] = solution.basis(i);
        const bool keeps_side = plant_.network().has_loss(row) || row == plant_.network().travel;
        if (inside && !keeps_side) mode = CouplingMode::stuck;
        continue;
      }
      mode = solution.basis(i) == Basis::high ? CouplingMode::slip_positive
                                              : CouplingMode::slip_negative;
    }
    work.candidates = kept;
    work.count = kept_count;
    return again;
  }

  static constexpr double kTorqueRoundOff = 1e-11;

  const P& plant_;
};

}  // namespace layshaft
