#pragma once

/// A car stepped from outside, for the tests of simulations: its set-ups, its steps, what it says.

#include <algorithm>
#include <array>
#include <cstdint>
#include <functional>
#include <stdexcept>
#include <string>
#include <vector>

#include "layshaft/run/simulation.hpp"
#include "trial_car.hpp"

namespace layshaft {

/// Steps as a clumsy master would make them; none is a multiple of another.
inline constexpr std::array kOddSteps{0.0137, 0.0001, 0.0731, 0.00029, 0.0419};

inline SimulationSetup driven() {
  return {.car = trial_car(), .options = {.own_driver = true, .keep_changes = true}, .inputs = {}};
}

inline SimulationSetup full_throttle(double grade = 0.0) {
  return {.car = trial_car(), .options = {}, .inputs = {1.0, 0.0, grade}};
}

inline void step_oddly(Simulation& simulation, double end) {
  for (std::size_t k = 0; simulation.time() < end; ++k) {
    simulation.step_to(std::min(end, simulation.time() + kOddSteps[k % kOddSteps.size()]));
  }
}

inline std::vector<double> all_outputs(const Simulation& simulation) {
  std::vector<double> values;
  for (std::size_t i = 0; i < outputs().size(); ++i) values.push_back(simulation.output(i));
  return values;
}

inline std::string refusal(const std::function<void()>& work) {
  try {
    work();
  } catch (const std::invalid_argument& refused) {
    return refused.what();
  }
  return "";
}

/// Pedals of a hand that never rests, a new place each millisecond: off as often as on.
class RestlessPedals {
 public:
  Inputs next() { return {pedal(), pedal(), 0.0}; }

 private:
  double share() {
    seed_ = seed_ * 1664525U + 1013904223U;
    return static_cast<double>(seed_ >> 8U) / 16777216.0;
  }
  double pedal() { return share() < 0.5 ? share() : 0.0; }

  std::uint32_t seed_ = 12345;
};

}  // namespace layshaft
