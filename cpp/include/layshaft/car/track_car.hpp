#pragma once

/// A car on a track as a plant for the integrator: the whole drivetrain in time along the lap.
///
/// The car's own parts with the distance and the brake pedal as two more states (`track_list.hpp`).
/// Going round corners takes grip of both axles and holds the car back; grip and grade change from
/// piece to piece. The driver keeps the foot down until the speed aimed at (`speed_plan.hpp`) is
/// met, then holds it with throttle and brake until all throttle is wanted again: both are switch
/// instants, as is the end of each piece of the track.

#include <limits>
#include <vector>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/track_list.hpp"

namespace layshaft {

using TrackParts = parts::Assembly<TrackList>;

class TrackCar {
 public:
  using Parts = TrackParts;
  using Laws = parts::Laws<TrackList, double>;
  using Loads = parts::AssemblyLoads<TrackList, double>;
  static constexpr int kNodes = Parts::kNodes;
  static constexpr int kCouplings = Parts::kCouplings;
  static constexpr int kAuxiliaries = Parts::kStates - kNodes;
  static constexpr int kAccounts = Parts::kAccounts;
  static constexpr int kSwitches = Parts::kSwitches;
  using State = Vector<double, Parts::kStates>;
  using Accounts = std::array<double, kAccounts>;
  using Jacobian = Eigen::Matrix<double, Parts::kStates, Parts::kStates>;
  using Positions = std::array<std::int16_t, kSwitches>;

  /// The frozen switches, on this piece of the track.
  struct Active {
    const Laws* laws = nullptr;
    parts::Actives<TrackList, double> parts{};
  };

  /// Throws std::invalid_argument naming the field, its value and the broken bound.
  TrackCar(const Car& car, const Track& track, const TrackDriver& driver,
           const std::vector<double>& margins = {});

  [[nodiscard]] const Network<kNodes, kCouplings>& network() const { return level_.network(); }
  [[nodiscard]] const Drivetrain& base() const { return base_; }
  [[nodiscard]] const Track& track() const { return track_; }
  [[nodiscard]] const SpeedCurve& speed_curve() const { return curve_; }
  [[nodiscard]] const CarLaw& law(std::size_t piece) const { return car_laws_[piece]; }
  [[nodiscard]] State state_scale() const { return level_.state_scale(); }
  [[nodiscard]] Vector<double, kCouplings> torque_scale() const { return level_.torque_scale(); }
  [[nodiscard]] Vector<double, kCouplings> slip_scale() const { return level_.slip_scale(); }

  /// Rolling over the line at a speed [m/s], >= 0, everything at the air's temperature.
  [[nodiscard]] State rolling_state(double speed) const;
  [[nodiscard]] Positions rolling_switches(const State& state) const;

  [[nodiscard]] Active activate(const Positions& switches) const;
  [[nodiscard]] Loads loads(const Active& active, double time, const State& state) const;
  [[nodiscard]] HoldLimits<kCouplings> hold_limits(const Active& active, const Loads& loads,
                                                   double time, const State& state) const;
  void auxiliary_rates(const Active& active, double time, const State& state, Loads& loads,
                       const Vector<double, kCouplings>& sliding,
                       const Vector<double, kNodes>& accelerations, State& rates) const;
  [[nodiscard]] Accounts account_rates(const Active& active, double time, const State& state,
                                       const Loads& loads,
                                       const Vector<double, kCouplings>& torques) const;
  [[nodiscard]] Verdict verdict(double time, const State& state) const;
  [[nodiscard]] Verdict account_verdict(double time, std::span<const double> before,
                                        std::span<const double> after, double error) const;
  void linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                 double time, const State& state, Jacobian& jacobian, State& time_slope) const;

  [[nodiscard]] double switch_guard(int k, const Positions& switches, double time,
                                    const State& state) const;
  /// Of all switches, where the loads are known.
  [[nodiscard]] std::array<double, kSwitches> switch_guards(const Active& active,
                                                            const Loads& loads, double time,
                                                            const State& state) const;
  [[nodiscard]] int next_switch(int k, const Positions& switches, double time,
                                const State& state) const {
    return level_.next_switch(k, switches, time, state);
  }
  [[nodiscard]] bool is_open(int which, const Positions& switches) const {
    return level_.is_open(which, switches);
  }
  [[nodiscard]] static double kink_time(const Positions& /*switches*/) {
    return std::numeric_limits<double>::infinity();
  }
  [[nodiscard]] static Positions pass_kink(Positions switches) { return switches; }

  [[nodiscard]] static constexpr auto jacobian_pattern() { return Parts::jacobian_pattern(); }
  template <class Frozen>
  static void push(const Frozen& frozen, const Loads& loads, Vector<double, kCouplings>& sliding,
                   Vector<double, kNodes>& force) {
    Parts::push(frozen, loads, sliding, force);
  }

  /// Curvature under the car [1/m], and the slope of that which turns it [1/m^2].
  [[nodiscard]] static double curvature(const Active& active, const State& state) {
    const auto& piece = active.parts.of<parts::Corner>();
    return piece_curvature(piece.curvature, state(track_state::distance) - piece.begin);
  }

  [[nodiscard]] static double curvature_slope(const Active& active, const State& state) {
    return active.parts.of<parts::Corner>().turn->at(double(state(track_state::distance)));
  }

 private:
  TrackCar(const Car& car, const Track& track, const TrackDriver& driver,
           const std::vector<double>& margins, const Drivetrain& base);

  Drivetrain base_;
  Track track_;
  std::vector<CarLaw> car_laws_;  // On each piece.
  std::vector<Laws> laws_;
  TurnCurve turn_;
  SpeedCurve curve_;
  parts::PartPlant<TrackList> level_;  // What is the same on all pieces.
};

/// The car's coefficients on a piece of track.
[[nodiscard]] CarLaw law_on(const CarLaw& level, const TrackPiece& piece);

}  // namespace layshaft
