#pragma once

/// A car on a track as a plant for the integrator: the whole drivetrain in time along the lap.
///
/// The car's own plant (`drivetrain.hpp`) with the distance and the brake pedal as two more states.
/// Going round corners takes grip of both axles and holds the car back; grip and grade change from
/// piece to piece. The driver keeps the foot down until the speed aimed at (`speed_plan.hpp`) is
/// met, then holds it with throttle and brake until all throttle is wanted again: both are switch
/// instants, as is the end of each piece of the track.

#include <memory>
#include <vector>

#include "layshaft/car/drivetrain.hpp"
#include "layshaft/car/track_jacobian.hpp"
#include "layshaft/car/track_law.hpp"
#include "layshaft/car/track_parts.hpp"

namespace layshaft {

/// Loads of the car with what the corner does; `axles` has the forces that are left.
struct TrackLoads : DrivetrainLoads<double> {
  CornerForces<double> corner;
};

class TrackCar {
 public:
  static constexpr int kNodes = node::count;
  static constexpr int kCouplings = coupling::count;
  static constexpr int kAuxiliaries = static_cast<int>(track_state::count) - kNodes;
  static constexpr int kAccounts = track_account::count;
  static constexpr int kSwitches = track_switch::count;
  using State = Vector<double, track_state::count>;
  using Accounts = std::array<double, kAccounts>;
  using Jacobian = Eigen::Matrix<double, track_state::count, track_state::count>;
  using Positions = std::array<std::int16_t, kSwitches>;

  /// The frozen switches: the car on this piece, and the foot.
  struct Active {
    const DrivetrainLaw<double>* law = nullptr;
    const TrackPiece* piece = nullptr;
    double piece_begin = 0.0;
    bool aims = false;
    DrivetrainActive<double> parts{};
  };

  /// Throws std::invalid_argument naming the field, its value and the broken bound.
  TrackCar(const Car& car, const Track& track, const TrackDriver& driver,
           const std::vector<double>& margins = {});

  [[nodiscard]] const Network<kNodes, kCouplings>& network() const { return base_.network(); }
  [[nodiscard]] const Drivetrain& base() const { return base_; }
  [[nodiscard]] const Track& track() const { return track_; }
  [[nodiscard]] const SpeedCurve& speed_curve() const { return curve_; }
  [[nodiscard]] const DrivetrainLaw<double>& law(std::size_t piece) const { return laws_[piece]; }
  [[nodiscard]] State state_scale() const;
  [[nodiscard]] Vector<double, kCouplings> torque_scale() const { return base_.torque_scale(); }
  [[nodiscard]] Vector<double, kCouplings> slip_scale() const { return base_.slip_scale(); }

  /// Rolling over the line at a speed [m/s], >= 0, everything at the air's temperature.
  [[nodiscard]] State rolling_state(double speed) const;
  [[nodiscard]] Positions rolling_switches(const State& state) const;

  [[nodiscard]] Active activate(const Positions& switches) const;
  [[nodiscard]] TrackLoads loads(const Active& active, double time, const State& state) const;
  [[nodiscard]] HoldLimits<kCouplings> hold_limits(const Active& active, const TrackLoads& loads,
                                                   double time, const State& state) const;
  void auxiliary_rates(const Active& active, double time, const State& state,
                       const TrackLoads& loads, const Vector<double, kCouplings>& sliding,
                       const Vector<double, kNodes>& accelerations, State& rates) const;
  [[nodiscard]] Accounts account_rates(const Active& active, double time, const State& state,
                                       const TrackLoads& loads,
                                       const Vector<double, kCouplings>& torques) const;
  [[nodiscard]] Verdict verdict(double time, const State& state) const;
  [[nodiscard]] Verdict account_verdict(double time, std::span<const double> before,
                                        std::span<const double> after, double error) const;
  void linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                 double time, const State& state, Jacobian& jacobian, State& time_slope) const;

  [[nodiscard]] double switch_guard(int k, const Positions& switches, double time,
                                    const State& state) const;
  /// The same where the loads are known.
  [[nodiscard]] double seen_switch_guard(int k, const Positions& switches, const Active& active,
                                         const TrackLoads& loads, const State& state) const;
  [[nodiscard]] int next_switch(int k, const Positions& switches, double time,
                                const State& state) const;
  [[nodiscard]] bool is_open(int which, const Positions& switches) const;
  [[nodiscard]] static double corner_time(const Positions& /*switches*/) {
    return std::numeric_limits<double>::infinity();
  }
  [[nodiscard]] static Positions pass_corner(Positions switches) { return switches; }

  [[nodiscard]] static constexpr SparsityPattern<track_state::count> jacobian_pattern() {
    return track_jacobian_pattern();
  }
  [[nodiscard]] static constexpr std::pair<int, int> nodes_of(int which) {
    return Drivetrain::nodes_of(which);
  }

  /// Curvature under the car [1/m].
  [[nodiscard]] static double curvature(const Active& active, const State& state) {
    return piece_curvature(*active.piece, state(track_state::distance) - active.piece_begin);
  }
  /// The foot's wish now [-], above 0 for throttle, for a rolling car.
  [[nodiscard]] double wish(const Active& active, const TrackLoads& loads,
                            const State& state) const;

 private:
  [[nodiscard]] Wish wish_at(const State& state, double acceleration) const;
  [[nodiscard]] DrivetrainActive<double> with_pedals(const Active& active, const State& state,
                                                     double throttle) const;

  Drivetrain base_;
  Track track_;
  std::vector<DrivetrainLaw<double>> laws_;  // On each piece.
  SpeedCurve curve_;
  FootLaw foot_;
};

/// The car's coefficients on a piece of track.
[[nodiscard]] DrivetrainLaw<double> law_on(const DrivetrainLaw<double>& level,
                                           const TrackPiece& piece);

}  // namespace layshaft
