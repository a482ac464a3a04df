#pragma once

/// The car as a plant for the integrator: engine, clutch, two gears, belts, tyres and body.
///
/// Slips and torques: a positive slip is the engine's side faster; a positive torque drives the
/// car.
///
// clang-format off
///     clutch      crank - bell         +/- capacity, sliding or at rest
///     first       bell / i1 - shaft    [0, no limit): drives, overruns (one-way bearing)
///     second      bell / i2 - shaft    +/- sum over the shoes that are out
///     belts       shaft / i - axle     +/- torque at which the teeth jump; 0 below for a one-way axle
///     brake       shaft                +/- (brake + bearing drag); its sign is the way of travel
///     rolling     car                  +/- rolling drag [N]
// clang-format on
///
/// Losses of gear mesh and belts stand in the rows that push (see `network.hpp`): the driving side
/// pays torque / efficiency, driven by the road it gets torque * efficiency. Tyres are forces from
/// the strain of their carcasses. Source: first principles; laws as cited in their own headers.

#include <span>

#include "layshaft/car/car.hpp"
#include "layshaft/car/drivetrain_jacobian.hpp"
#include "layshaft/car/drivetrain_law.hpp"
#include "layshaft/car/parts.hpp"
#include "layshaft/car/pedals.hpp"
#include "layshaft/network/integration.hpp"
#include "layshaft/network/plant.hpp"

namespace layshaft {

/// What may differ from run to run on the same car.
struct RunInputs {
  Pedals pedals;
  double grade;  ///< Rise over run of the road [-], -1..1; positive is uphill.
  bool operator==(const RunInputs&) const = default;
};

class Drivetrain {
 public:
  static constexpr int kNodes = node::count;
  static constexpr int kCouplings = coupling::count;
  static constexpr int kAuxiliaries = auxiliary::count;
  static constexpr int kAccounts = account::count;
  static constexpr int kSwitches = plant_switch::count;
  using State = Vector<double, kNodes + kAuxiliaries>;
  using Accounts = std::array<double, kAccounts>;
  using Jacobian = Eigen::Matrix<double, kNodes + kAuxiliaries, kNodes + kAuxiliaries>;
  using Positions = std::array<std::int16_t, kSwitches>;

  using Active = DrivetrainActive<double>;

  /// Throws std::invalid_argument naming the field, its value and the broken bound.
  explicit Drivetrain(const Car& car, const RunInputs& inputs = {});

  [[nodiscard]] const Network<kNodes, kCouplings>& network() const { return network_; }
  [[nodiscard]] const DrivetrainLaw<double>& law() const { return law_; }
  [[nodiscard]] const RunInputs& inputs() const { return inputs_; }
  [[nodiscard]] State state_scale() const;
  [[nodiscard]] Vector<double, kCouplings> torque_scale() const { return torque_scale_; }
  [[nodiscard]] Vector<double, kCouplings> slip_scale() const { return slip_scale_; }

  /// State and switches of the car rolling at `speed` [m/s], >= 0, shoes in where they hold at that
  /// speed, engine at idle or at the speed the wheels ask for.
  [[nodiscard]] State rolling_state(double speed) const;
  [[nodiscard]] Positions rolling_switches(const State& state) const;

  [[nodiscard]] Active activate(const Positions& switches) const;
  [[nodiscard]] HoldLimits<kCouplings> hold_limits(const Active& active,
                                                   const DrivetrainLoads<double>& loads,
                                                   double time, const State& state) const;
  [[nodiscard]] double switch_guard(int k, const Positions& switches, double time,
                                    const State& state) const;
  [[nodiscard]] int next_switch(int k, const Positions& switches, double time,
                                const State& state) const;
  [[nodiscard]] bool is_open(int which, const Positions& switches) const;
  [[nodiscard]] double corner_time(const Positions& switches) const;
  [[nodiscard]] Positions pass_corner(Positions switches) const;

  /// Energy of motion [J]: car, and all that turns.
  [[nodiscard]] double car_energy(const State& state) const;
  [[nodiscard]] double rotating_energy(const State& state) const;

  template <class Real>
  [[nodiscard]] DrivetrainLoads<Real> loads(const Active& active, const Real& time,
                                            const Vector<Real, kNodes + kAuxiliaries>& state) const;

  template <class Real>
  void auxiliary_rates(const Active& active, const Real& time,
                       const Vector<Real, kNodes + kAuxiliaries>& state,
                       const DrivetrainLoads<Real>& loads, const Vector<Real, kCouplings>& sliding,
                       const Vector<Real, kNodes>& accelerations,
                       Vector<Real, kNodes + kAuxiliaries>& rates) const;

  [[nodiscard]] Accounts account_rates(const Active& active, double time, const State& state,
                                       const DrivetrainLoads<double>& loads,
                                       const Vector<double, kCouplings>& torques) const;

  /// Whether the car has left the ground, and what is impossible of a state or of a step's
  /// accounts: `part` is the state, an account counts on from the last state. `error` is that of a
  /// step [-].
  [[nodiscard]] Verdict verdict(double time, const State& state) const;
  [[nodiscard]] Verdict account_verdict(double time, std::span<const double> before,
                                        std::span<const double> after, double error) const;

  /// Exact Jacobian of the state's rates, and their slope in time; zero outside
  /// `jacobian_pattern`.
  void linearise(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                 double time, const State& state, Jacobian& jacobian, State& time_slope) const;

  [[nodiscard]] static constexpr SparsityPattern<kNodes + kAuxiliaries> jacobian_pattern() {
    return drivetrain_jacobian_pattern();
  }

  /// The two nodes a coupling joins; twice the same where the other side is the ground.
  [[nodiscard]] static constexpr std::pair<int, int> nodes_of(int which) {
    return kCouplingNodes[static_cast<std::size_t>(which)];
  }

 private:
  DrivetrainLaw<double> law_;
  RunInputs inputs_;
  Network<kNodes, kCouplings> network_;
  Vector<double, kCouplings> torque_scale_;
  Vector<double, kCouplings> slip_scale_;
};

template <class Real>
DrivetrainLoads<Real> Drivetrain::loads(const Active& active, const Real& time,
                                        const Vector<Real, kNodes + kAuxiliaries>& state) const {
  return drivetrain_loads(law_, active, time, state);
}

template <class Real>
void Drivetrain::auxiliary_rates(const Active& active, const Real& time,
                                 const Vector<Real, kNodes + kAuxiliaries>& state,
                                 const DrivetrainLoads<Real>& loads,
                                 const Vector<Real, kCouplings>& sliding,
                                 const Vector<Real, kNodes>& accelerations,
                                 Vector<Real, kNodes + kAuxiliaries>& rates) const {
  set_auxiliary_rates(law_, active, time, state, loads.axles, sliding, accelerations, rates);
}

}  // namespace layshaft
