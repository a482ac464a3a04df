// A winch as a plant of its own, made of three parts (invented numbers): a motor drives a drum
// through a centrifugal clutch and a gear; a pawl keeps the load from pulling the drum back. Prints
// what happens and when, beside closed forms: `time expected what` for each change.
#include <array>
#include <cmath>
#include <cstdio>
#include <layshaft/network/integrate.hpp>
#include <layshaft/network/part_plant.hpp>
#include <limits>
#include <tuple>

namespace {

using namespace layshaft::parts;  // NOLINT: the vocabulary of parts

struct Motor : Part {
  static constexpr std::array nodes{Row{"motor", "rad/s", 100.0, "Speed of the motor"}};
  static constexpr std::array gives{force("motor")};
  template <class Real>
  struct Law {
    Real torque, inertia;  // [N*m], [kg*m^2]
  };
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.inertia}; }
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 0>&) {
    return {X(law.torque)};
  }
};

struct Clutch : Part {
  static constexpr std::array couplings{
      CouplingRow{"clutch", 1.0, 100.0, "Centrifugal clutch", {"motor", "drum"}}};
  static constexpr std::array switches{Row{"pressing", "1", 1.0, "Whether the shoes are out"}};
  static constexpr std::array reads{state("motor")};
  static constexpr std::array gives{capacity("clutch")};
  static constexpr std::array watches = reads;
  static constexpr std::array accounts{AccountRow{"heat", "J", Flow::loss, "Slip heat so far"}};
  static constexpr std::array sees{torque("clutch"), state("motor"), state("drum")};
  static constexpr std::array books{adds_to("heat")};
  template <class Real>
  struct Law {
    Real gain, engagement, ratio;  // [N*m*s^2], [rad/s], motor over drum speed [-]
  };
  template <class Real>
  struct Active {
    Real side;
  };
  using Position = std::array<std::int16_t, 1>;
  static Active<double> activate(const Law<double>&, const Position& at) {
    return {at[0] == 1 ? 1.0 : -1.0};
  }
  static bool is_open(const auto&, int, const Position& at) { return at[0] == 0; }
  static std::array<JoinedRow, 1> rows(const Law<double>& law) {
    return {JoinedRow{.slip = {1.0, -law.ratio}}};
  }
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 1>& in) {
    return {law.gain * (in[0] * in[0] - law.engagement * law.engagement)};
  }
  template <class X>
  static std::array<X, 1> guard(const auto& law, const auto& active, const std::array<X, 1>& in) {
    return {active.side * (in[0] / law.engagement - 1.0)};
  }
  template <class X>
  static std::array<X, 1> book(const auto& law, const std::array<X, 3>& in) {
    return {in[0] * (in[1] - law.ratio * in[2])};
  }
};

struct Drum : Part {
  static constexpr std::array nodes{Row{"drum", "rad/s", 10.0, "Speed of the drum"}};
  static constexpr std::array couplings{CouplingRow{"pawl", 10.0, 10.0, "Pawl", {"drum"}}};
  static constexpr std::array gives{force("drum"), low("pawl"), high("pawl")};
  template <class Real>
  struct Law {
    Real load_torque, inertia;  // [N*m], with the load's mass [kg*m^2]
  };
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.inertia}; }
  static std::array<JoinedRow, 1> rows(const Law<double>&) { return {JoinedRow{.slip = {1.0}}}; }
  template <class X>
  static std::array<X, 3> run(const auto& law, const auto&, const std::array<X, 0>&) {
    return {X(-law.load_torque), X(-layshaft::kNoLimit), X(0.0)};
  }
};

struct WinchList {
  using parts = std::tuple<Motor, Clutch, Drum>;
};
using Winch = PartPlant<WinchList>;

}  // namespace

int main() {
  Laws<WinchList, double> laws;
  const auto& motor = laws.of<Motor>() = {.torque = 2.0, .inertia = 1e-3};
  const auto& clutch = laws.of<Clutch>() = {.gain = 2e-5, .engagement = 300.0, .ratio = 10.0};
  const auto& drum = laws.of<Drum>() = {.load_torque = 15.0, .inertia = 0.5};
  const Winch plant(laws);
  layshaft::Integrator<Winch, layshaft::Rosenbrock> integrator(plant, {.tolerance = 1e-9});
  const auto watch = [](const auto&) { return std::numeric_limits<double>::infinity(); };
  const auto run = integrator.run(0.0, Winch::State::Zero(), {}, 6.0, watch);

  // The motor alone; then against the clutch, whose drum the pawl still holds, with the stall speed
  // q, q^2 = engagement^2 + torque/gain: motor = q tanh(gain q t/inertia + artanh(engagement/q)).
  const double engages = motor.inertia * clutch.engagement / motor.torque;
  const double stall =
      std::sqrt(clutch.engagement * clutch.engagement + motor.torque / clutch.gain);
  const double lifting = std::sqrt(clutch.engagement * clutch.engagement +
                                   drum.load_torque / (clutch.ratio * clutch.gain));
  const double lifts =
      engages + motor.inertia / (clutch.gain * stall) *
                    (std::atanh(lifting / stall) - std::atanh(clutch.engagement / stall));
  for (const layshaft::Change& change : run.changes) {
    if (change.part == layshaft::Change::Part::plant_switch) {
      std::printf("%.12g %.12g engages\n", change.time, engages);
    } else if (change.index == Winch::Parts::coupling("pawl")) {
      std::printf("%.12g %.12g lifts\n", change.time, lifts);
    }
  }
  const double lifted = run.state(Winch::Parts::state("drum"));
  std::printf("%.12g %.12g turns\n", run.state(Winch::Parts::state("motor")) / clutch.ratio,
              lifted);
}
