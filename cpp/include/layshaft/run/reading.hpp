#pragma once

/// Where each output of a simulation is found in a sample.

#include "layshaft/run/launch.hpp"
#include "layshaft/run/outputs.hpp"

namespace layshaft {

/// The car at one instant, and what a sample does not hold.
struct Reading {
  Sample sample;
  double air_temperature;  ///< Temperatures of the state are rises over it [K].
  double stopwatch;        ///< [s]
};

/// Value of the output of that number, SI unit; 0 <= number < outputs().size().
[[nodiscard]] double read_output(const Reading& reading, std::size_t number);

}  // namespace layshaft
