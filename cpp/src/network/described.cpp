#include "layshaft/network/described.hpp"

#include "layshaft/network/dormand_prince.hpp"
#include "layshaft/network/integrate.hpp"
#include "layshaft/number/absent.hpp"
#include "layshaft/number/bounds.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {
namespace {

double value_at(const TimeLaw& law, double time) {
  return law.constant + law.slope * time +
         law.amplitude * sin(2.0 * kPi * law.frequency * time + law.phase);
}

void check_law(const TimeLaw& law, std::string_view owner, std::string_view field) {
  for (const double part : {law.constant, law.slope, law.amplitude, law.frequency, law.phase}) {
    require(std::abs(part) < 1e100, owner, field, part, "finite");
  }
}

void check(const DescribedBody& body) {
  require(body.inertia > 0.0 && body.inertia < 1e100, "DescribedBody", "inertia", body.inertia,
          "> 0");
  require(std::abs(body.speed) < 1e100, "DescribedBody", "speed", body.speed, "finite");
  require(std::abs(body.angle) < 1e100, "DescribedBody", "angle", body.angle, "finite");
  require(std::abs(body.base_speed) < 1e100, "DescribedBody", "base_speed", body.base_speed,
          "finite");
  require(body.drag >= 0.0 && body.drag < 1e100, "DescribedBody", "drag", body.drag, ">= 0");
  require(body.stiffness >= 0.0 && body.stiffness < 1e100, "DescribedBody", "stiffness",
          body.stiffness, ">= 0");
  check_law(body.torque, "DescribedBody", "torque");
}

void check(const DescribedCoupling& coupling, int bodies) {
  const auto is_body = [bodies](int index) { return index >= 0 && index < bodies; };
  require(is_body(coupling.driver), "DescribedCoupling", "driver", coupling.driver,
          "one of the bodies");
  require(is_body(coupling.speed_body), "DescribedCoupling", "speed_body", coupling.speed_body,
          "one of the bodies");
  for (int i = 0; i < kMostBodies; ++i) {
    const double entry = coupling.slip[static_cast<std::size_t>(i)];
    require(is_body(i) ? std::abs(entry) < 1e100 : entry == 0.0, "DescribedCoupling", "slip", entry,
            "finite, and 0 past the last body");
  }
  require(coupling.efficiency > 0.0 && coupling.efficiency <= 1.0, "DescribedCoupling",
          "efficiency", coupling.efficiency, "> 0 and <= 1");
  require(std::abs(coupling.speed_gain) < 1e100, "DescribedCoupling", "speed_gain",
          coupling.speed_gain, "finite");
  require(coupling.hold_ratio >= 1.0 && coupling.hold_ratio < 1e100, "DescribedCoupling",
          "hold_ratio", coupling.hold_ratio, ">= 1");
  require(coupling.closed_from >= 0.0 && coupling.closed_from < 1e100, "DescribedCoupling",
          "closed_from", coupling.closed_from, ">= 0");
  check_law(coupling.pressure, "DescribedCoupling", "pressure");
}

Network<kMostBodies, kMostBodies> network_of(const DescribedNetwork& described) {
  Network<kMostBodies, kMostBodies> network;
  network.inertia.setOnes();
  network.slip.setZero();
  for (std::size_t i = 0; i < described.bodies.size(); ++i) {
    network.inertia(static_cast<int>(i)) = described.bodies[i].inertia;
  }
  for (std::size_t k = 0; k < described.couplings.size(); ++k) {
    for (std::size_t i = 0; i < kMostBodies; ++i) {
      network.slip(static_cast<int>(k), static_cast<int>(i)) = described.couplings[k].slip[i];
    }
  }
  network.forward = network.slip;
  network.backward = network.slip;
  for (std::size_t k = 0; k < described.couplings.size(); ++k) {
    const DescribedCoupling& coupling = described.couplings[k];
    network.forward(static_cast<int>(k), coupling.driver) /= coupling.efficiency;
    network.backward(static_cast<int>(k), coupling.driver) *= coupling.efficiency;
  }
  return network;
}

}  // namespace

void validate(const DescribedNetwork& network) {
  const auto bodies = static_cast<int>(network.bodies.size());
  require(bodies >= 1 && bodies <= kMostBodies, "DescribedNetwork", "bodies", bodies, "1 to 8");
  require(network.couplings.size() <= kMostBodies, "DescribedNetwork", "couplings",
          static_cast<double>(network.couplings.size()), "at most 8");
  for (const DescribedBody& body : network.bodies) check(body);
  for (const DescribedCoupling& coupling : network.couplings) check(coupling, bodies);
}

DescribedPlant::DescribedPlant(const DescribedNetwork& described) : described_(described) {
  validate(described);
  network_ = network_of(described);
  double speed = 1.0;
  for (const DescribedBody& body : described.bodies) speed = std::max(speed, std::abs(body.speed));
  state_scale_.setOnes();
  state_scale_.head<kNodes>().setConstant(speed);
  torque_scale_.setOnes();
  for (int k = 0; k < coupling_count(); ++k) {
    const TimeLaw& law = coupling(k).pressure;
    const double size = std::max(std::abs(law.constant), std::abs(law.amplitude));
    if (size > 0.0) torque_scale_(k) = size;
    if (coupling(k).closed_from > 0.0) closing_times_.push_back(coupling(k).closed_from);
  }
  std::sort(closing_times_.begin(), closing_times_.end());
  closing_times_.erase(std::unique(closing_times_.begin(), closing_times_.end()),
                       closing_times_.end());
}

DescribedPlant::State DescribedPlant::start_state() const {
  State state = State::Zero();
  for (std::size_t i = 0; i < described_.bodies.size(); ++i) {
    state(static_cast<int>(i)) = described_.bodies[i].speed;
    state(kNodes + static_cast<int>(i)) = described_.bodies[i].angle;
  }
  return state;
}

DescribedPlant::Positions DescribedPlant::start_switches() const {
  Positions switches{};
  for (int k = 0; k < coupling_count(); ++k) {
    switches[static_cast<std::size_t>(k)] = pressure(k, 0.0, start_state()) > 0.0 ? 1 : 0;
  }
  return switches;
}

double DescribedPlant::pressure(int k, double time, const State& state) const {
  const DescribedCoupling& c = coupling(k);
  return value_at(c.pressure, time) + c.speed_gain * square(state(c.speed_body));
}

Loads<double, DescribedPlant::kNodes, DescribedPlant::kCouplings> DescribedPlant::loads(
    const Positions& active, double time, const State& state) const {
  Loads<double, kNodes, kCouplings> loads;
  loads.applied.setZero();
  for (std::size_t i = 0; i < described_.bodies.size(); ++i) {
    const DescribedBody& body = described_.bodies[i];
    const double speed = state(static_cast<int>(i));
    loads.applied(static_cast<int>(i)) = value_at(body.torque, time) -
                                         body.drag * speed * std::abs(speed) -
                                         body.stiffness * state(kNodes + static_cast<int>(i));
  }
  loads.high.setZero();
  for (int k = 0; k < coupling_count(); ++k) {
    if (is_open(k, active)) continue;
    loads.high(k) = coupling(k).rigid ? kNoLimit : pressure(k, time, state);
  }
  loads.low = -loads.high;
  for (int k = 0; k < coupling_count(); ++k) {
    if (coupling(k).one_way) loads.low(k) = 0.0;
  }
  return loads;
}

HoldLimits<DescribedPlant::kCouplings> DescribedPlant::hold_limits(const Positions& /*active*/,
                                                                   const DescribedLoads& sliding,
                                                                   double /*time*/,
                                                                   const State& /*state*/) const {
  HoldLimits<kCouplings> hold{sliding.low, sliding.high};
  for (int k = 0; k < coupling_count(); ++k) {
    if (coupling(k).rigid) continue;
    hold.low(k) *= coupling(k).hold_ratio;
    hold.high(k) *= coupling(k).hold_ratio;
  }
  return hold;
}

void DescribedPlant::auxiliary_rates(const Positions& /*active*/, double /*time*/,
                                     const State& state, const DescribedLoads& /*loads*/,
                                     const Vector<double, kCouplings>& /*sliding*/,
                                     const Vector<double, kNodes>& /*accelerations*/,
                                     State& rates) const {
  rates.tail<kNodes>().setZero();
  for (std::size_t i = 0; i < described_.bodies.size(); ++i) {
    const auto node = static_cast<int>(i);
    rates(kNodes + node) = state(node) - described_.bodies[i].base_speed;
  }
}

DescribedPlant::Accounts DescribedPlant::account_rates(
    const Positions& /*active*/, double /*time*/, const State& state,
    const DescribedLoads& /*loads*/, const Vector<double, kCouplings>& torques) const {
  Accounts rates{};
  for (int k = 0; k < kCouplings; ++k) {
    const auto& push = torques(k) >= 0.0 ? network_.forward : network_.backward;
    rates[static_cast<std::size_t>(k)] = torques(k) * push.row(k).dot(state.head<kNodes>());
  }
  return rates;
}

double DescribedPlant::switch_guard(int k, const Positions& switches, double time,
                                    const State& state) const {
  if (k == kClosings || k >= coupling_count() || coupling(k).rigid) return 1.0;
  const double share = pressure(k, time, state) / torque_scale_(k);
  return switches[static_cast<std::size_t>(k)] == 1 ? share : -share;
}

int DescribedPlant::next_switch(int k, const Positions& switches, double /*time*/,
                                const State& /*state*/) const {
  return 1 - switches[static_cast<std::size_t>(k)];
}

bool DescribedPlant::is_open(int k, const Positions& switches) const {
  if (k >= coupling_count()) return true;
  const auto passed = static_cast<std::size_t>(switches[kClosings]);
  const double reached = passed == 0 ? 0.0 : closing_times_[passed - 1];
  if (coupling(k).closed_from > reached) return true;
  return !coupling(k).rigid && switches[static_cast<std::size_t>(k)] == 0;
}

double DescribedPlant::kink_time(const Positions& switches) const {
  const auto passed = static_cast<std::size_t>(switches[kClosings]);
  return passed < closing_times_.size() ? closing_times_[passed] : kNever;
}

DescribedPlant::Positions DescribedPlant::pass_kink(Positions switches) const {
  ++switches[kClosings];
  return switches;
}

DescribedRun run_described(const DescribedNetwork& network, std::span<const double> times,
                           const IntegrationOptions& options) {
  require(!times.empty(), "run_described", "times", 0.0, "at least one");
  double previous = 0.0;
  for (const double time : times) {
    require(time >= previous && time < 1e9, "run_described", "times", time, "ascending, >= 0");
    previous = time;
  }
  const DescribedPlant plant(network);
  ModesOf<DescribedPlant> modes;
  modes.switches = plant.start_switches();
  DescribedRun run;
  const auto take = [&](const auto& segment) {
    while (run.states.size() < times.size() && times[run.states.size()] <= segment.end) {
      const double time = times[run.states.size()];
      run.states.push_back(segment.state(time));
      run.losses.push_back(segment.accounts(time));
    }
    return kNever;
  };
  Integrator<DescribedPlant, DormandPrince> integrator(plant, options);
  const auto result = integrator.run(0.0, plant.start_state(), modes, times.back(), take);
  run.ending = result.ending;
  run.changes = result.changes;
  return run;
}

}  // namespace layshaft
