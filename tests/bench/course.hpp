#pragma once

/// A run in the form a foreign solver can carry out: smooth stretches between switch instants.
///
/// The solver asks for rates, Jacobian and guards of the present stretch, and stops where the first
/// guard falls through zero or the stretch ends. The course then changes the modes with the
/// library's own `resolve` and `freeze`, as `Integrator` does, and the solver starts anew. So all
/// solvers share one right-hand side, one Jacobian and one handling of modes.

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "any_course.hpp"
#include "layshaft/network/integrate.hpp"
#include "layshaft/network/sparse_lu.hpp"

namespace layshaft::bench {

template <class Problem>
class Course final : public AnyCourse {
 public:
  using P = typename Problem::PlantType;
  using State = StateOf<P>;
  using Active = decltype(std::declval<const P&>().activate(ModesOf<P>{}.switches));
  static constexpr int kStates = kStatesOf<P>;
  static constexpr int kSize = kStates + Problem::kSums;

  explicit Course(Problem problem) : problem_(std::move(problem)), resolver_(problem_.plant) {}

  [[nodiscard]] int size() const override { return kSize; }
  [[nodiscard]] int guard_count() const override { return watched_count_ + Problem::kSums; }
  [[nodiscard]] double time() const override { return time_; }
  [[nodiscard]] const double* state() const override { return state_.data(); }
  [[nodiscard]] bool failed() const override { return failed_; }
  [[nodiscard]] const std::vector<Change>& changes() const override { return changes_; }
  [[nodiscard]] double stretch_end() const override {
    return std::min(plant().kink_time(modes_.switches), Problem::kEnd);
  }

  void scale(double* out) const override {
    const State plant_scale = plant().state_scale();
    std::copy_n(plant_scale.data(), kStates, out);
    if constexpr (Problem::kSums > 0) out[kStates] = Problem::kSumScale;
  }

  [[nodiscard]] bool begin() override {
    time_ = 0.0;
    state_.setZero();
    state_.template head<kStates>() = problem_.start;
    modes_ = problem_.modes;
    failed_ = false;
    bool running = enter(Fired{}, Cause::followed);
    changes_.clear();
    running = running && pass_kinks();
    return running;
  }

  void rates(double time, const double* state, double* out) const override {
    const State y = Eigen::Map<const State>(state);
    Eigen::Map<State> rates(out);
    rates = rates_of(plant(), active_, frozen_, time, y);
    if constexpr (Problem::kSums > 0) out[kStates] = Problem::sum_rate(y);
  }

  void jacobian(double time, const double* state, double* out, double* time_slope) const override {
    const State y = Eigen::Map<const State>(state);
    Eigen::Matrix<double, kStates, kStates> jacobian;
    State slope;
    plant().linearise(active_, frozen_, time, y, jacobian, slope);
    if (time_slope != nullptr) {
      Eigen::Map<State> slopes(time_slope);
      slopes = slope;
      if constexpr (Problem::kSums > 0) time_slope[kStates] = 0.0;
    }
    Eigen::Map<Eigen::Matrix<double, kSize, kSize>> whole(out);
    whole.template topLeftCorner<kStates, kStates>() = jacobian;
    if constexpr (Problem::kSums > 0) {
      whole.row(kStates).setZero();
      whole.col(kStates).setZero();
      whole(kStates, Problem::kSumSource) = 1.0;
    }
  }

  void guards(double time, const double* state, double* out) const override {
    const GuardValues<P> values = look(time, Eigen::Map<const State>(state));
    for (int i = 0; i < watched_count_; ++i) {
      const std::size_t guard = watched_[at(i)];
      out[i] = values[guard] + lift_[guard];
    }
    if constexpr (Problem::kSums > 0) {
      out[watched_count_] = (Problem::kDistance - state[kStates]) / Problem::kSumScale;
    }
  }

  [[nodiscard]] int account_count() const override { return P::kAccounts; }
  void account_rates(double time, const double* state, double* out) const override {
    const State y = Eigen::Map<const State>(state);
    const View<P> view = view_of(time, y, true);
    const auto rates = plant().account_rates(active_, time, y, view.loads, view.torques);
    std::copy(rates.begin(), rates.end(), out);
  }

  void factorise(const double* matrix) override {
    // SparseLu factorises shift * I - matrix.
    factors_.factorise(
        [matrix](int row, int column) {
          return (row == column ? 1.0 : 0.0) - matrix[column * kSize + row];
        },
        1.0);
  }
  void solve(double* right) const override { factors_.solve(right); }

  [[nodiscard]] bool stop(double time, const double* state, bool at_root) override {
    time_ = time;
    state_ = Eigen::Map<const WholeState>(state);
    if (at_root) {
      std::array<double, GuardSet<P>::kCount + 1> values;
      guards(time, state, values.data());
      const auto least = std::min_element(values.begin(), values.begin() + guard_count());
      const auto which = static_cast<int>(least - values.begin());
      if (which == watched_count_) return false;
      return fire(watched_[at(which)]) && pass_kinks();
    }
    if (time_ >= Problem::kEnd) return false;
    return pass_kinks();
  }

 private:
  using WholeState = Vector<double, kSize>;
  // As in `Integrator`: a guard that starts at or below this may fall only past minus this. It is
  // lifted by twice that for the stretch, so that a foreign solver sees it positive.
  static constexpr double kGuardNoise = 1e-9;
  static constexpr int kMostAtOneInstant = 50;

  [[nodiscard]] static std::size_t at(int index) { return static_cast<std::size_t>(index); }
  [[nodiscard]] const P& plant() const { return problem_.plant; }
  [[nodiscard]] State plant_state() const { return state_.template head<kStates>(); }

  // The plant's pattern, and what a sum is the integral of.
  struct Pattern {
    [[nodiscard]] static constexpr auto jacobian_pattern() {
      constexpr auto kPlant = P::jacobian_pattern();
      SparsityPattern<std::size_t{kSize}> pattern;
      for (std::size_t i = 0; i < std::size_t{kStates}; ++i) {
        pattern.order[i] = kPlant.order[i];
        for (std::size_t j = 0; j < std::size_t{kStates}; ++j) {
          pattern.filled[i][j] = kPlant.filled[i][j];
        }
      }
      if constexpr (Problem::kSums > 0) {
        // First, for nothing depends on it.
        for (std::size_t i = std::size_t{kStates}; i > 0; --i) {
          pattern.order[i] = pattern.order[i - 1];
        }
        pattern.order[0] = std::size_t{kStates};
        pattern.filled[std::size_t{kStates}][std::size_t{Problem::kSumSource}] = true;
      }
      return pattern;
    }
  };

  [[nodiscard]] View<P> view_of(double time, const State& y, bool with_torques) const {
    View<P> view{plant().loads(active_, time, y), {}};
    if (with_torques) {
      const Vector<double, P::kCouplings> sliding =
          frozen_.low_weight.cwiseProduct(view.loads.low) +
          frozen_.high_weight.cwiseProduct(view.loads.high);
      const Vector<double, P::kNodes> force =
          view.loads.applied - frozen_.push.transpose() * sliding;
      view.torques = sliding + frozen_.hold * force;
    }
    return view;
  }

  [[nodiscard]] GuardValues<P> look(double time, const State& y) const {
    const View<P> view = view_of(time, y, needs_torques_);
    return guard_values<P, Active>(plant(), guards_, modes_, active_, view, time, y);
  }

  // The guard that fell, and switches of the plant whose guards are at zero at the same instant.
  [[nodiscard]] bool fire(std::size_t guard) {
    const GuardValues<P> values = look(time_, plant_state());
    const Fired first = guards_.fired(static_cast<int>(guard));
    if (first.kind == GuardKind::plant_switch) {
      move_switch(first.index);
      for (int k = 0; k < P::kSwitches; ++k) {
        const std::size_t other = at(2 * P::kCouplings + k);
        if (other != guard && values[other] <= kGuardNoise) move_switch(k);
      }
    }
    return enter(first, Cause::followed);
  }

  void move_switch(int which) {
    auto& position = modes_.switches[at(which)];
    const auto next = static_cast<std::int16_t>(
        plant().next_switch(which, modes_.switches, time_, plant_state()));
    changes_.push_back({time_, Change::Part::plant_switch, which, position, next, Cause::switched});
    position = next;
  }

  [[nodiscard]] bool pass_kinks() {
    while (plant().kink_time(modes_.switches) <= time_) {
      modes_.switches = plant().pass_kink(modes_.switches);
      if (!enter(Fired{}, Cause::kink)) return false;
    }
    // What has fallen in the same instant, as after a lock-up that releases another coupling.
    for (int turn = 0; turn < kMostAtOneInstant; ++turn) {
      const GuardValues<P> values = look(time_, plant_state());
      const auto fallen = std::find_if(watched_.begin(), watched_.begin() + watched_count_,
                                       [&](std::size_t g) { return values[g] < -kGuardNoise; });
      if (fallen == watched_.begin() + watched_count_) return true;
      if (!fire(*fallen)) return false;
    }
    failed_ = true;
    return false;
  }

  [[nodiscard]] bool enter(const Fired& fired, Cause cause) {
    const auto resolved = resolver_.resolve(time_, plant_state(), modes_, fired);
    failed_ = !resolved.found;
    if (failed_) return false;
    for (int i = 0; i < P::kCouplings; ++i) {
      const CouplingMode from = modes_.couplings[at(i)];
      const CouplingMode to = resolved.modes.couplings[at(i)];
      if (from == to) continue;
      changes_.push_back(
          {time_, Change::Part::coupling, i, static_cast<int>(from), static_cast<int>(to), cause});
    }
    modes_ = resolved.modes;
    state_.template head<P::kNodes>() =
        without_stuck_slip(plant().network(), modes_.couplings,
                           Vector<double, P::kNodes>(state_.template head<P::kNodes>()));
    active_ = plant().activate(modes_.switches);
    frozen_ = freeze(plant().network(), modes_.couplings);
    watch();
    return true;
  }

  // Lists the guards of these modes; that of the pedals' line, which never falls, is left out.
  void watch() {
    const State y = plant_state();
    const auto loads = plant().loads(active_, time_, y);
    guards_ = guards_of(plant(), modes_, plant().hold_limits(active_, loads, time_, y));
    watched_count_ = 0;
    needs_torques_ = false;
    for (std::size_t g = 0; g < guards_.kinds.size(); ++g) {
      const GuardKind kind = guards_.kinds[g];
      // The last switch may be the line that the pedals follow, which kinks move.
      const bool is_line = Problem::kHasPedals && g == GuardSet<P>::kCount - 1;
      if (kind == GuardKind::none || is_line) continue;
      watched_[at(watched_count_++)] = g;
      needs_torques_ =
          needs_torques_ || (kind != GuardKind::slip && kind != GuardKind::plant_switch);
    }
    const GuardValues<P> values = look(time_, y);
    for (std::size_t g = 0; g < values.size(); ++g) {
      lift_[g] = values[g] > kGuardNoise ? 0.0 : 2.0 * kGuardNoise;
    }
  }

  Problem problem_;
  ModeResolver<P> resolver_;
  double time_ = 0.0;
  WholeState state_;
  ModesOf<P> modes_;
  Active active_{};
  FrozenOf<P> frozen_;
  GuardSet<P> guards_;
  std::array<std::size_t, static_cast<std::size_t>(GuardSet<P>::kCount)> watched_{};
  int watched_count_ = 0;
  bool needs_torques_ = false;
  GuardValues<P> lift_{};
  SparseLu<double, Pattern> factors_;
  bool failed_ = false;
  std::vector<Change> changes_;
};

}  // namespace layshaft::bench
