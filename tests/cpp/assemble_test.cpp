#include "layshaft/network/assemble.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "layshaft/network/integrate.hpp"
#include "layshaft/network/part_plant.hpp"
#include "layshaft/network/rosenbrock.hpp"
#include "layshaft/number/lanes.hpp"

namespace layshaft {
namespace {

using parts::Assembly;
using parts::CouplingRow;
using parts::JoinedRow;
using parts::Laws;
using parts::Part;
using parts::PartPlant;
using parts::Port;
using parts::Row;

// A driven shaft: constant torque less drag that grows with the square of the speed.
struct Shaft : Part {
  static constexpr std::array nodes{Row{"shaft", "rad/s", 100.0, "Speed of the shaft"}};
  static constexpr std::array reads{parts::state("shaft")};
  static constexpr std::array gives{parts::force("shaft")};
  static constexpr std::array accounts{
      parts::AccountRow{"work", "J", parts::Flow::source, "Work of the drive"}};
  static constexpr std::array sees = reads;
  static constexpr std::array books{parts::adds_to("work")};
  template <class Real>
  struct Law {
    Real torque, drag, inertia;
  };
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.inertia}; }
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 1>& in) {
    return {law.torque - law.drag * in[0] * in[0]};
  }
  template <class X>
  static std::array<X, 1> book(const auto& law, const std::array<X, 1>& in) {
    return {law.torque * in[0]};
  }
};

enum class Side { left, right };

// A wheel with dry friction to the ground.
template <Side side>
struct Wheel : Part {
  static constexpr bool is_left = side == Side::left;
  static constexpr std::string_view node = is_left ? "left" : "right";
  static constexpr std::string_view rub = is_left ? "left_rub" : "right_rub";
  static constexpr std::array nodes{Row{node, "rad/s", 100.0, "Speed of a wheel"}};
  static constexpr std::array couplings{CouplingRow{rub, 1.0, 100.0, "Dry friction", {node}}};
  static constexpr std::array<Port, 0> reads{};
  static constexpr std::array gives{parts::capacity(rub)};
  template <class Real>
  struct Law {
    Real inertia, friction;
  };
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.inertia}; }
  static std::array<JoinedRow, 1> rows(const Law<double>&) { return {JoinedRow{.slip = {1.0}}}; }
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 0>&) {
    return {X(law.friction)};
  }
};

// A gear differential: the carrier, geared to the shaft, turns with the mean of the wheels.
struct Differential : Part {
  static constexpr std::array couplings{
      CouplingRow{"carrier", 1.0, 100.0, "Differential", {"shaft", "left", "right"}}};
  static constexpr std::array gives{parts::capacity("carrier")};
  template <class Real>
  struct Law {
    Real ratio, efficiency;
  };
  static std::array<JoinedRow, 1> rows(const Law<double>& law) {
    return {JoinedRow{.slip = {1.0 / law.ratio, -0.5, -0.5}, .efficiency = law.efficiency}};
  }
  template <class X>
  static std::array<X, 1> run(const auto&, const auto&, const std::array<X, 0>&) {
    return {X(kNoLimit)};
  }
};

struct Rig {
  using parts = std::tuple<Shaft, Wheel<Side::left>, Wheel<Side::right>, Differential>;
};

Laws<Rig, double> rig_laws(double friction_left) {
  Laws<Rig, double> laws;
  laws.of<Shaft>() = {.torque = 1.5, .drag = 0.0, .inertia = 2e-3};
  laws.of<Wheel<Side::left>>() = {.inertia = 3e-3, .friction = friction_left};
  laws.of<Wheel<Side::right>>() = {.inertia = 5e-3, .friction = 0.0};
  laws.of<Differential>() = {.ratio = 2.5, .efficiency = 0.96};
  return laws;
}

template <class List>
Integration<PartPlant<List>> run_from_rest(const PartPlant<List>& plant, double end) {
  using P = PartPlant<List>;
  Integrator<P, Rosenbrock> integrator(plant, {1e-10, 1e-3, 100'000});
  const auto watch = [](const auto&) { return std::numeric_limits<double>::infinity(); };
  return integrator.run(0.0, P::State::Zero(), {}, end, watch);
}

// Round-off of some hundred steps.
constexpr double kRoundOff = 1e-12;

// With torque T, ratio i, efficiency e, inertias J, A, B and friction f that slides on the left
// wheel, the carrier's torque L obeys
//     (T - L/(i e))/(i J) = (L/2 - f)/(2 A) + (L/2)/(2 B).
TEST(Differential, SharesItsTorqueEquallyWhileOneWheelRubs) {
  for (const double friction : {0.0, 0.2}) {
    using P = PartPlant<Rig>;
    const P plant(rig_laws(friction));
    constexpr double kEnd = 0.5;
    const auto run = run_from_rest(plant, kEnd);
    ASSERT_EQ(run.ending.status, Status::finished);
    const double carrier =
        (1.5 / (2.5 * 2e-3) + friction / (2.0 * 3e-3)) /
        (1.0 / (2.5 * 2.5 * 0.96 * 2e-3) + 1.0 / (4.0 * 3e-3) + 1.0 / (4.0 * 5e-3));
    const double shaft = kEnd * (1.5 - carrier / (2.5 * 0.96)) / 2e-3;
    const double left = kEnd * (carrier / 2.0 - friction) / 3e-3;
    const double right = kEnd * carrier / 2.0 / 5e-3;
    EXPECT_NEAR(run.state(P::Parts::state("shaft")), shaft, kRoundOff * shaft);
    EXPECT_NEAR(run.state(P::Parts::state("left")), left, kRoundOff * shaft);
    EXPECT_NEAR(run.state(P::Parts::state("right")), right, kRoundOff * shaft);
  }
}

TEST(Differential, DrivesTheOtherWheelAloneWhileOneIsHeld) {
  using P = PartPlant<Rig>;
  const P plant(rig_laws(2.0));
  constexpr double kEnd = 0.5;
  const auto run = run_from_rest(plant, kEnd);
  ASSERT_EQ(run.ending.status, Status::finished);
  const double carrier =
      (1.5 / (2.5 * 2e-3)) / (1.0 / (2.5 * 2.5 * 0.96 * 2e-3) + 1.0 / (4.0 * 5e-3));
  ASSERT_LT(carrier / 2.0, 2.0) << "the friction holds";
  const double right = kEnd * carrier / 2.0 / 5e-3;
  EXPECT_EQ(run.state(P::Parts::state("left")), 0.0);
  EXPECT_NEAR(run.state(P::Parts::state("right")), right, kRoundOff * right);
  EXPECT_NEAR(run.state(P::Parts::state("shaft")), 2.5 * right / 2.0, kRoundOff * right);
  EXPECT_EQ(run.modes.couplings[P::Parts::coupling("left_rub")], CouplingMode::stuck);
}

TEST(PartPlant, BooksTheWorkOfTheDrive) {
  using P = PartPlant<Rig>;
  const P plant(rig_laws(0.0));
  const auto run = run_from_rest(plant, 0.5);
  // Constant torque from rest: work = T * angle, angle = speed * time / 2.
  const double work = 1.5 * 0.5 * 0.5 * run.state(P::Parts::state("shaft"));
  EXPECT_NEAR(run.accounts[P::Parts::account("work")], work, kRoundOff * work);
}

// Heat made at a coupling, through a signal: parts that run once the network is solved.
struct RubPower : Part {
  static constexpr std::array signals{Row{"rub_power", "W", 1.0, "Heat made"}};
  static constexpr std::array reads{parts::sliding("left_rub"), parts::state("left")};
  static constexpr std::array gives{parts::signal("rub_power")};
  template <class X>
  static std::array<X, 1> run(const auto&, const auto&, const std::array<X, 2>& in) {
    return {in[0] * in[1]};
  }
};
struct RubHeat : Part {
  static constexpr std::array states{Row{"rub_rise", "K", 10.0, "Rise over the air"}};
  static constexpr std::array reads{parts::signal("rub_power"), parts::state("rub_rise"),
                                    parts::acceleration("shaft"), parts::now()};
  static constexpr std::array gives{parts::rate("rub_rise")};
  template <class Real>
  struct Law {
    Real rise_per_heat, cooling;
  };
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 4>& in) {
    return {law.rise_per_heat * in[0] - law.cooling * in[1] * in[3] + 1e-3 * in[2]};
  }
};
// Friction that fades with heat and grows with time, in place of the constant one.
struct FadingWheel : Wheel<Side::left> {
  static constexpr std::array reads{parts::state("rub_rise"), parts::now()};
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 2>& in) {
    return {law.friction * (1.0 + in[1]) / (1.0 + 0.01 * in[0])};
  }
};
struct HotRig {
  using parts = std::tuple<Shaft, FadingWheel, Wheel<Side::right>, Differential, RubPower, RubHeat>;
};
Laws<HotRig, double> hot_laws() {
  Laws<HotRig, double> laws;
  laws.of<Shaft>() = {.torque = 1.5, .drag = 1e-5, .inertia = 2e-3};
  laws.of<FadingWheel>() = {.inertia = 3e-3, .friction = 0.3};
  laws.of<Wheel<Side::right>>() = {.inertia = 5e-3, .friction = 0.1};
  laws.of<Differential>() = {.ratio = 2.5, .efficiency = 0.96};
  laws.of<RubHeat>() = {.rise_per_heat = 0.2, .cooling = 0.05};
  return laws;
}

// Every rate on dual numbers of all states and time, through the network's equations as they stand.
template <class P>
void expect_jacobian_of_duals(const P& plant, const ModesOf<P>& modes, double time,
                              const typename P::State& state) {
  constexpr auto kSize = static_cast<std::size_t>(P::State::RowsAtCompileTime);
  using D = Dual<double, kSize + 1>;
  const auto active = plant.activate(modes.switches);
  const auto frozen = freeze(plant.network(), modes.couplings);
  Vector<D, static_cast<int>(kSize)> at;
  for (std::size_t i = 0; i < kSize; ++i) {
    at(static_cast<int>(i)) = D::variable(state(static_cast<int>(i)), i);
  }
  const D now = D::variable(time, kSize);
  auto loads = plant.loads(active, now, at);
  Vector<D, P::kCouplings> sliding;
  Vector<D, P::kNodes> force;
  P::Parts::push(frozen, loads, sliding, force);
  const auto sums = times<P::kNodes, P::kNodes, D>(frozen.accelerate, force);
  Vector<D, P::kNodes> accelerations;
  for (int i = 0; i < P::kNodes; ++i) accelerations(i) = sums(i);
  Vector<D, static_cast<int>(kSize)> rates;
  rates.template head<P::kNodes>() = accelerations;
  plant.auxiliary_rates(active, now, at, loads, sliding, accelerations, rates);

  typename P::Jacobian jacobian;
  typename P::State time_slope;
  plant.linearise(active, frozen, time, state, jacobian, time_slope);
  const auto pattern = P::jacobian_pattern();
  for (std::size_t i = 0; i < kSize; ++i) {
    const D& rate = rates(static_cast<int>(i));
    double row = 0.0;
    for (const double slope : rate.slopes) row = std::max(row, std::abs(slope));
    for (std::size_t j = 0; j < kSize; ++j) {
      const double entry = jacobian(static_cast<int>(i), static_cast<int>(j));
      EXPECT_NEAR(entry, rate.slopes[j], 1e-14 * row) << "row " << i << ", column " << j;
      if (!pattern.filled[i][j]) {
        EXPECT_EQ(rate.slopes[j], 0.0) << "row " << i << ", column " << j;
      }
    }
    EXPECT_NEAR(time_slope(static_cast<int>(i)), rate.slopes[kSize], 1e-14 * row) << "row " << i;
  }
}

TEST(PartPlant, LinearisesExactlyInEveryMode) {
  using P = PartPlant<HotRig>;
  const P plant(hot_laws());
  std::mt19937_64 draw(7);
  std::uniform_real_distribution<double> speed(-50.0, 50.0);
  const std::array modes{CouplingMode::stuck, CouplingMode::slip_positive,
                         CouplingMode::slip_negative};
  for (int k = 0; k < 200; ++k) {
    ModesOf<P> mode;
    mode.couplings[P::Parts::coupling("left_rub")] = modes[static_cast<std::size_t>(k) % 3];
    mode.couplings[P::Parts::coupling("right_rub")] = modes[static_cast<std::size_t>(k) / 3 % 3];
    mode.couplings[P::Parts::coupling("carrier")] = CouplingMode::stuck;
    P::State state;
    for (int i = 0; i < P::kNodes; ++i) state(i) = speed(draw);
    state(P::Parts::state("rub_rise")) = 20.0 + 0.2 * speed(draw);
    expect_jacobian_of_duals(plant, mode, 0.7, state);
  }
}

// Coefficients or matrices of several cars, each number in its lane.
template <int Width, class Packed, class Plain>
Packed packed(const std::array<Plain, Width>& each) {
  static_assert(sizeof(Packed) == Width * sizeof(Plain));
  Packed lanes;
  const auto put = [&lanes](std::size_t number, int lane, double value) {
    auto* const pack = reinterpret_cast<Lanes<Width>*>(&lanes) + number;
    pack->set(lane, value);
  };
  for (int lane = 0; lane < Width; ++lane) {
    const auto* const numbers =
        reinterpret_cast<const double*>(&each[static_cast<std::size_t>(lane)]);
    for (std::size_t k = 0; k < sizeof(Plain) / sizeof(double); ++k) put(k, lane, numbers[k]);
  }
  return lanes;
}

TEST(Assembly, GivesTheSameBitsInLanes) {
  constexpr int kWidth = 4;
  using Pack = Lanes<kWidth>;
  using Parts = Assembly<HotRig>;
  using P = PartPlant<HotRig>;
  const P plant(hot_laws());
  ModesOf<P> modes;
  modes.couplings.fill(CouplingMode::slip_positive);
  const auto frozen = freeze(plant.network(), modes.couplings);
  struct {
    Column<Pack, Parts::kCouplings> low_weight, high_weight;
    Grid<Pack, Parts::kCouplings, Parts::kNodes> push;
    Grid<Pack, Parts::kNodes, Parts::kNodes> accelerate;
  } lane_frozen;
  for (int i = 0; i < Parts::kCouplings; ++i) {
    lane_frozen.low_weight(i) = Pack(frozen.low_weight(i));
    lane_frozen.high_weight(i) = Pack(frozen.high_weight(i));
    for (int j = 0; j < Parts::kNodes; ++j) lane_frozen.push(i, j) = Pack(frozen.push(i, j));
  }
  for (int i = 0; i < Parts::kNodes; ++i) {
    for (int j = 0; j < Parts::kNodes; ++j) {
      lane_frozen.accelerate(i, j) = Pack(frozen.accelerate(i, j));
    }
  }
  std::array<Laws<HotRig, double>, kWidth> laws;
  std::array<Column<double, Parts::kStates>, kWidth> states;
  std::mt19937_64 draw(11);
  std::uniform_real_distribution<double> share(0.5, 1.5);
  for (std::size_t lane = 0; lane < kWidth; ++lane) {
    laws[lane] = hot_laws();
    laws[lane].of<Shaft>().torque *= share(draw);
    laws[lane].of<RubHeat>().cooling *= share(draw);
    for (int i = 0; i < Parts::kStates; ++i) states[lane](i) = 40.0 * share(draw);
  }
  const auto lane_laws = packed<kWidth, Laws<HotRig, Pack>>(laws);
  const auto lane_states = packed<kWidth, Column<Pack, Parts::kStates>>(states);
  Grid<Pack, Parts::kStates, Parts::kStates> lane_jacobian;
  Column<Pack, Parts::kStates> lane_slope;
  Parts::linearise(lane_laws, parts::Actives<HotRig, Pack>{}, lane_frozen, Pack(0.7), lane_states,
                   lane_jacobian, lane_slope);
  constexpr auto kPattern = Parts::jacobian_pattern();
  for (std::size_t lane = 0; lane < kWidth; ++lane) {
    Grid<double, Parts::kStates, Parts::kStates> jacobian;
    Column<double, Parts::kStates> slope;
    Parts::linearise(laws[lane], parts::Actives<HotRig, double>{}, frozen, 0.7, states[lane],
                     jacobian, slope);
    for (int i = 0; i < Parts::kStates; ++i) {
      EXPECT_EQ(lane_slope(i).at(static_cast<int>(lane)), slope(i));
      for (int j = 0; j < Parts::kStates; ++j) {
        if (!kPattern.filled[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)]) continue;
        EXPECT_EQ(lane_jacobian(i, j).at(static_cast<int>(lane)), jacobian(i, j))
            << i << ", " << j << " in lane " << lane;
      }
    }
  }
}

TEST(PartPlant, FindsWhichPartsRunOnceTheNetworkIsSolved) {
  using Net = parts::Wiring<HotRig>;
  constexpr std::array expected{false, false, false, false, true, true};
  EXPECT_EQ(Net::late, expected);
}

TEST(EliminationOrder, IsAPermutationThatTakesTheEmptiestFirst) {
  // An arrow: the last row and column full, a diagonal else. In natural order nothing fills in;
  // with the full one first everything does. It may come last or share the last place.
  constexpr std::size_t kSize = 6;
  SparsityPattern<kSize> pattern;
  for (std::size_t i = 0; i < kSize; ++i) {
    pattern.filled[i][i] = pattern.filled[0][i] = pattern.filled[i][0] = true;
  }
  const auto order = elimination_order(pattern);
  EXPECT_TRUE(sparse_lu::is_permutation(order));
  EXPECT_GE(std::find(order.begin(), order.end(), 0U) - order.begin(), 4);
}

// Grips from an engagement speed on: a switch of its own.
struct ThrownClutch : Part {
  static constexpr std::array nodes{Row{"driven", "rad/s", 100.0, "Speed of the driven side"}};
  static constexpr std::array couplings{
      CouplingRow{"grip", 1.0, 100.0, "Clutch", {"shaft", "driven"}}};
  static constexpr std::array switches{Row{"presses", "1", 1.0, "Whether it presses"}};
  static constexpr std::array reads{parts::state("shaft")};
  static constexpr std::array gives{parts::capacity("grip")};
  static constexpr std::array watches = reads;
  template <class Real>
  struct Law {
    Real gain, engagement, inertia;
  };
  template <class Real>
  struct Active {
    Real side;
  };
  static std::array<double, 1> inertias(const Law<double>& law) { return {law.inertia}; }
  static std::array<JoinedRow, 1> rows(const Law<double>&) {
    return {JoinedRow{.slip = {1.0, -1.0}}};
  }
  static Active<double> activate(const Law<double>&, const std::array<std::int16_t, 1>& at) {
    return {at[0] == 1 ? 1.0 : -1.0};
  }
  static bool is_open(const auto&, int, const std::array<std::int16_t, 1>& at) {
    return at[0] == 0;
  }
  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 1>& in) {
    return {law.gain * (in[0] * in[0] - law.engagement * law.engagement)};
  }
  template <class X>
  static std::array<X, 1> guard(const auto& law, const auto& active, const std::array<X, 1>& in) {
    return {active.side * (in[0] / law.engagement - 1.0)};
  }
};
struct Launch {
  using parts = std::tuple<Shaft, ThrownClutch>;
};

// With T = K (w^2 - w_e^2) against a constant torque T_e the engine's side settles at the stall
// speed w_q, w_q^2 = w_e^2 + T_e/K, and w(t) = w_q tanh(K w_q t/I) from the engagement on, shifted
// by artanh(w_e/w_q). The driven side, heavy, is not yet up to it.
// I dw/dt = T_e - K (w^2 - w_e^2) is a Riccati equation.
TEST(PartPlant, SwitchesWhereItsPartsGuardFalls) {
  using P = PartPlant<Launch>;
  Laws<Launch, double> laws;
  constexpr double kTorque = 0.4;
  constexpr double kInertia = 1.4e-5;
  constexpr double kGain = 2e-7;
  constexpr double kEngagement = 1200.0;
  laws.of<Shaft>() = {.torque = kTorque, .drag = 0.0, .inertia = kInertia};
  laws.of<ThrownClutch>() = {.gain = kGain, .engagement = kEngagement, .inertia = 10.0};
  const P plant(laws);
  const double engaged = kInertia * kEngagement / kTorque;
  const double stall = std::sqrt(kEngagement * kEngagement + kTorque / kGain);
  const double after = 2e-3;
  const auto run = run_from_rest(plant, engaged + after);
  ASSERT_EQ(run.ending.status, Status::finished);
  ASSERT_EQ(run.changes.size(), 2U);  // The switch, and the coupling that begins to slide with it.
  // The switch time is located to the bracket's width, the speed to the tolerance of 1e-10.
  EXPECT_NEAR(run.changes[0].time, engaged, 1e-12);
  const double expected =
      stall * std::tanh(kGain * stall * after / kInertia + std::atanh(kEngagement / stall));
  EXPECT_NEAR(run.state(P::Parts::state("shaft")), expected, 1e-7 * expected);
}

}  // namespace
}  // namespace layshaft
