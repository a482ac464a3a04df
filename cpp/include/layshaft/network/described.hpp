#pragma once

/// A network given as data: bodies, couplings and loads as a few numbers each, no code.
///
/// For problems with known answers, and for trying out a drivetrain before writing its plant. At
/// most eight bodies and eight couplings; doubles only.
///
/// Sign: as in `network.hpp`: slip = row * speeds, a positive torque brakes positive slip.
/// Law: torque on a body = its time law - drag w |w| - stiffness angle, angle' = w - base_speed.
/// A coupling presses while closed_from <= t and pressure = time law + speed_gain w_k^2 > 0; then
/// its torque lies within +/- pressure sliding, hold_ratio times that at rest. A rigid one has no
/// limit; a one-way one has 0 as its lower limit.
/// Source: first principles; checked by the reference cases of kind `network`.

#include <span>
#include <vector>

#include "layshaft/network/integration.hpp"

namespace layshaft {

inline constexpr int kMostBodies = 8;

/// constant + slope t + amplitude sin(2 pi frequency t + phase).
struct TimeLaw {
  double constant = 0.0;
  double slope = 0.0;      ///< [1/s]
  double amplitude = 0.0;  ///< Unit of the quantity.
  double frequency = 0.0;  ///< [Hz]
  double phase = 0.0;      ///< [rad]
  bool operator==(const TimeLaw&) const = default;
};

/// One body: turning [kg*m^2, rad/s, N*m] or moving [kg, m/s, N].
struct DescribedBody {
  double inertia = 1.0;     ///< [kg*m^2] or [kg], > 0.
  double speed = 0.0;       ///< At the start [rad/s] or [m/s].
  double angle = 0.0;       ///< At the start, of the spring [rad] or [m].
  TimeLaw torque{};         ///< [N*m] or [N].
  double drag = 0.0;        ///< Torque per square of speed [N*m*s^2] or [kg/m], >= 0.
  double stiffness = 0.0;   ///< [N*m/rad] or [N/m], >= 0.
  double base_speed = 0.0;  ///< Speed of the spring's other end [rad/s] or [m/s].
  bool operator==(const DescribedBody&) const = default;
};

/// One coupling.
struct DescribedCoupling {
  std::array<double, kMostBodies> slip{};  ///< Its row of A.
  int driver = 0;                          ///< Body whose entry pays for the loss.
  double efficiency = 1.0;                 ///< Power out over power in [-], > 0, <= 1.
  TimeLaw pressure{};                      ///< Sliding torque [N*m].
  double speed_gain = 0.0;   ///< Sliding torque per square of a body's speed [N*m*s^2].
  int speed_body = 0;        ///< That body.
  double hold_ratio = 1.0;   ///< Torque held at rest over the sliding torque [-], >= 1.
  double closed_from = 0.0;  ///< Open before [s].
  bool rigid = false;        ///< No limit.
  bool one_way = false;      ///< Carries positive torque only.
  bool operator==(const DescribedCoupling&) const = default;
};

struct DescribedNetwork {
  std::vector<DescribedBody> bodies;         ///< 1 to 8.
  std::vector<DescribedCoupling> couplings;  ///< 0 to 8.
  bool operator==(const DescribedNetwork&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const DescribedNetwork& network);

/// The network as a plant. After the speeds come the angles; what each coupling has lost [J] are
/// its accounts.
class DescribedPlant {
 public:
  static constexpr int kNodes = kMostBodies;
  static constexpr int kCouplings = kMostBodies;
  static constexpr int kAuxiliaries = kNodes;
  static constexpr int kAccounts = kCouplings;
  static constexpr int kClosings = kCouplings;  ///< Switch that counts the closing times passed.
  static constexpr int kSwitches = kCouplings + 1;
  using State = Vector<double, kNodes + kAuxiliaries>;
  using Positions = std::array<std::int16_t, kSwitches>;
  using DescribedLoads = Loads<double, kNodes, kCouplings>;
  using Accounts = std::array<double, kAccounts>;

  explicit DescribedPlant(const DescribedNetwork& described);

  [[nodiscard]] State start_state() const;
  [[nodiscard]] Positions start_switches() const;

  [[nodiscard]] const Network<kNodes, kCouplings>& network() const { return network_; }
  [[nodiscard]] State state_scale() const { return state_scale_; }
  [[nodiscard]] Vector<double, kCouplings> torque_scale() const { return torque_scale_; }
  [[nodiscard]] Vector<double, kCouplings> slip_scale() const {
    return Vector<double, kCouplings>::Constant(state_scale_(0));
  }
  [[nodiscard]] Positions activate(const Positions& switches) const { return switches; }
  [[nodiscard]] DescribedLoads loads(const Positions& active, double time,
                                     const State& state) const;
  [[nodiscard]] HoldLimits<kCouplings> hold_limits(const Positions& active,
                                                   const DescribedLoads& loads, double time,
                                                   const State& state) const;
  void auxiliary_rates(const Positions& active, double time, const State& state,
                       const DescribedLoads& loads, const Vector<double, kCouplings>& sliding,
                       const Vector<double, kNodes>& accelerations, State& rates) const;
  [[nodiscard]] Accounts account_rates(const Positions& active, double time, const State& state,
                                       const DescribedLoads& loads,
                                       const Vector<double, kCouplings>& torques) const;
  [[nodiscard]] double switch_guard(int k, const Positions& switches, double time,
                                    const State& state) const;
  [[nodiscard]] int next_switch(int k, const Positions& switches, double time,
                                const State& state) const;
  [[nodiscard]] bool is_open(int coupling, const Positions& switches) const;
  [[nodiscard]] double kink_time(const Positions& switches) const;
  [[nodiscard]] Positions pass_kink(Positions switches) const;

 private:
  [[nodiscard]] const DescribedCoupling& coupling(int k) const {
    return described_.couplings[static_cast<std::size_t>(k)];
  }
  [[nodiscard]] int coupling_count() const { return static_cast<int>(described_.couplings.size()); }
  [[nodiscard]] double pressure(int k, double time, const State& state) const;

  DescribedNetwork described_;
  Network<kNodes, kCouplings> network_;
  std::vector<double> closing_times_;  // Ascending, without repeats.
  State state_scale_;
  Vector<double, kCouplings> torque_scale_;
};

struct DescribedRun {
  Ending ending;
  std::vector<Change> changes;
  std::vector<DescribedPlant::State> states;     ///< At the times asked for, as far as it came.
  std::vector<DescribedPlant::Accounts> losses;  ///< Of each coupling until then [J].
};

/// Runs from 0 to the last of `times` [s], ascending, >= 0, and takes the state at each. Throws
/// std::invalid_argument for bad input.
[[nodiscard]] DescribedRun run_described(const DescribedNetwork& network,
                                         std::span<const double> times,
                                         const IntegrationOptions& options);

}  // namespace layshaft
