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
/// the strain of their carcasses. The parts are listed in `car_list.hpp`. Source: first principles;
/// laws as cited in their own headers.

#include <span>

#include "layshaft/car/car.hpp"
#include "layshaft/car/car_law.hpp"
#include "layshaft/car/car_parts.hpp"
#include "layshaft/car/pedals.hpp"
#include "layshaft/car/plausible.hpp"
#include "layshaft/network/integration.hpp"
#include "layshaft/network/part_plant.hpp"
#include "layshaft/network/plant.hpp"

namespace layshaft {

/// What may differ from run to run on the same car.
struct RunInputs {
  Pedals pedals;
  double grade;  ///< Rise over run of the road [-], -1..1; positive is uphill.
  bool operator==(const RunInputs&) const = default;
};

/// Coefficients of all parts of a list, from those of the car.
template <class List>
[[nodiscard]] parts::Laws<List, double> make_laws(const Car& car, const CarLaw& of) {
  parts::Laws<List, double> laws{};
  parts::Assembly<List>::for_each_part([&]<class Part, parts::PartPlaces places>() {
    if constexpr (!std::is_empty_v<typename Part::template Law<double>>) {
      laws.template of<Part>() = Part::law_of(car, of);
    }
  });
  return laws;
}

class Drivetrain : public parts::PartPlant<CarList> {
 public:
  using Loads = parts::AssemblyLoads<CarList, double>;

  /// Throws std::invalid_argument naming the field, its value and the broken bound.
  explicit Drivetrain(const Car& car, const RunInputs& inputs = {});

  [[nodiscard]] const CarLaw& law() const { return law_; }
  [[nodiscard]] const PlausibleLaw<double>& plausible() const { return plausible_; }
  [[nodiscard]] const RunInputs& inputs() const { return inputs_; }

  /// State and switches of the car rolling at `speed` [m/s], >= 0, shoes in where they hold at that
  /// speed, engine at idle or at the speed the wheels ask for.
  [[nodiscard]] State rolling_state(double speed) const;
  [[nodiscard]] Positions rolling_switches(const State& state) const;

  [[nodiscard]] Active activate(const Positions& switches) const;
  [[nodiscard]] double kink_time(const Positions& switches) const;
  [[nodiscard]] Positions pass_kink(Positions switches) const;

  /// Energy of motion [J]: car, and all that turns.
  [[nodiscard]] double car_energy(const State& state) const;
  [[nodiscard]] double rotating_energy(const State& state) const;

  /// State derivatives; the same as `rates_of` of the base, compiled once.
  [[nodiscard]] State rates(const Active& active, const Frozen<double, kNodes, kCouplings>& frozen,
                            double time, const State& state) const;
  [[nodiscard]] Loads loads(const Active& active, double time, const State& state) const;
  [[nodiscard]] HoldLimits<kCouplings> hold_limits(const Active& active, const Loads& loads,
                                                   double time, const State& state) const;
  [[nodiscard]] Accounts account_rates(const Active& active, double time, const State& state,
                                       const Loads& loads,
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

 private:
  Drivetrain(const Car& car, const RunInputs& inputs, const CarLaw& law);

  CarLaw law_;
  PlausibleLaw<double> plausible_;
  RunInputs inputs_;
};

}  // namespace layshaft
