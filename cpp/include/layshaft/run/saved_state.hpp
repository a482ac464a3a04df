#pragma once

/// The complete state of a simulation as numbers, and back.
///
/// What is kept is where the integrator set out in the modes of its last step; the steps from there
/// are made again, so that all goes on with the same bits.

#include <span>
#include <vector>

#include "layshaft/run/saved_numbers.hpp"
#include "layshaft/run/simulation.hpp"
#include "layshaft/run/step_ahead.hpp"

namespace layshaft {

struct SavedState {
  SimulationSetup setup;
  double time;        ///< At which it was saved [s].
  double stopped_at;  ///< The stopwatch, where it stood still at the outset, else infinity [s].
  Outset outset;
  long steps;                   ///< From the outset on.
  std::vector<Change> changes;  ///< Until `time`, where the options keep them.
};

/// The first of the numbers is how many they are.
[[nodiscard]] std::vector<double> to_numbers(const SavedState& state);

/// Throws std::invalid_argument for numbers that `to_numbers` of this version did not make, as far
/// as that can be seen.
[[nodiscard]] SavedState from_numbers(std::span<const double> numbers);

/// Room that numbers take as bytes: their own and that of a checksum.
[[nodiscard]] std::size_t size_as_bytes(std::span<const double> numbers);

/// Writes so many bytes.
void write_bytes(std::span<const double> numbers, void* bytes);

/// Numbers that were handed on as bytes; the first says how many. Throws std::invalid_argument for
/// a size that is not theirs, before more than the first is read, and for bytes that were changed.
[[nodiscard]] std::vector<double> numbers_of_bytes(const void* bytes, std::size_t size);

}  // namespace layshaft
