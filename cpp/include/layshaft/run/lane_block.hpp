#pragma once

/// Everything a step of several launches side by side reads and writes, one launch in each lane.
///
/// Only `Real` members: with lanes of some width the block is that many launches, with double it is
/// the image of one of them, and number k of lane l stands at k * width + l of the block. So the
/// plain code moves launches in and out of blocks of any width without knowing their number type.

#include <cstddef>
#include <cstring>
#include <span>

#include "layshaft/car/car_parts.hpp"
#include "layshaft/car/plausible.hpp"
#include "layshaft/network/guards.hpp"
#include "layshaft/network/rosenbrock_step.hpp"
#include "layshaft/number/columns.hpp"
#include "layshaft/run/peaks.hpp"

namespace layshaft {

inline constexpr int kCarGuards = 2 * coupling::count + plant_switch::count;

/// As `Frozen`, in the form of a block.
template <class Real>
struct LaneFrozen {
  Column<Real, coupling::count> low_weight;
  Column<Real, coupling::count> high_weight;
  Grid<Real, coupling::count, node::count> push;
  Grid<Real, node::count, node::count> accelerate;
  Grid<Real, coupling::count, node::count> hold;
};

/// What changes only when a new launch takes the lane.
template <class Real>
struct LaneCar {
  CarLaws<Real> laws;
  PlausibleLaw<Real> plausible;
  Real air_temperature;                                  ///< [K]
  Grid<Real, coupling::count, parts::kMostJoined> slip;  ///< Slip rows at the nodes joined.
  Column<Real, coupling::count> slip_scale;
  Column<Real, coupling::count> torque_scale;
  Column<Real, car_state::count> state_scale;
  Real tolerance;     ///< Of a step [-].
  Real longest_step;  ///< [s]
  Real end_time;      ///< [s]
};

/// What changes with the modes, and what the recorder waits for.
template <class Real>
struct LaneModes {
  parts::Actives<CarList, Real> active;
  LaneFrozen<Real> frozen;
  std::array<Real, 2 * coupling::count> kinds;  ///< `GuardKind` of each guard, as numbers.
  Real kink_time;                               ///< [s]
  Real next_distance;                           ///< Looked at once the car is here [m].
  Real next_speed;                              ///< [m/s]
  Real next_crank;                              ///< [rad/s]
  Real turns_from;  ///< Looked at once the crank's acceleration is not of this sign; never where 0.
};

/// Where a lane stands between steps.
template <class Real>
struct LaneMotion {
  Column<Real, car_state::count> state;  ///< From which the next step starts.
  Column<Real, car_state::count> seen;   ///< The same, off the dense output of the step before.
  std::array<Real, account::count> accounts;
  std::array<Real, account::count> account_rates;
  std::array<Real, kCarGuards> armed;    ///< 1 for a guard that has risen and may fall, else 0.
  std::array<Real, kCarGuards> guards;   ///< Before they are divided by their scale.
  Real time;                             ///< [s]
  Real step;                             ///< To be tried next [s].
  KeptStep<Real> kept;                   ///< The step before.
  Real attempts;                         ///< Failed at this step.
  PeaksOf<Real> peaks;                   ///< At the ends of quiet steps.
  Column<Real, car_state::count> error;  ///< Carried error of the state (`carried_error.hpp`).
  Real car_way_error;                    ///< That of the car's way [m].
};

/// The step just made. In a quiet lane the motion has already gone on to its end.
template <class Real>
struct LaneStep {
  Column<Real, car_state::count> new_state;
  DenseRowsOf<kRodas5P, Column<Real, car_state::count>> dense;
  Real next_step;                        ///< [s]
  Column<Real, car_state::count> error;  ///< Carried to its end.
  Real growth;                           ///< Its possible growth [-].
  Real outcome;                          ///< A `LaneOutcome`.
};

template <class Real>
struct LaneBlock {
  LaneCar<Real> car;
  LaneModes<Real> modes;
  LaneMotion<Real> motion;
  LaneStep<Real> made;
};

enum class LaneOutcome : int {
  failed,   ///< The error was too large; a smaller step is set.
  quiet,    ///< Nothing happened in the step.
  eventful  ///< Something may have: motion stands at its begin, to be looked at by plain code.
};

using LaneImage = LaneBlock<double>;
inline constexpr std::size_t kLaneNumbers = sizeof(LaneImage) / sizeof(double);

/// Makes one step in every lane of a block.
using LaneKernel = void (*)(double* block);

/// Moves the numbers of `part`, a member of `image`, into its lane of the block.
template <class Part>
void put_part(const LaneImage& image, const Part& part, double* block, std::size_t width,
              std::size_t lane) {
  static_assert(sizeof(Part) % sizeof(double) == 0 && std::is_trivially_copyable_v<Part>);
  std::array<double, sizeof(Part) / sizeof(double)> numbers;
  std::memcpy(numbers.data(), &part, sizeof(Part));
  const auto offset = static_cast<std::size_t>(reinterpret_cast<const char*>(&part) -
                                               reinterpret_cast<const char*>(&image)) /
                      sizeof(double);
  double* const place = block + offset * width + lane;
  for (std::size_t k = 0; k < numbers.size(); ++k) place[k * width] = numbers[k];
}

/// Moves them back.
template <class Part>
void get_part(const LaneImage& image, Part& part, const double* block, std::size_t width,
              std::size_t lane) {
  std::array<double, sizeof(Part) / sizeof(double)> numbers;
  const auto offset = static_cast<std::size_t>(reinterpret_cast<const char*>(&part) -
                                               reinterpret_cast<const char*>(&image)) /
                      sizeof(double);
  const double* const place = block + offset * width + lane;
  for (std::size_t k = 0; k < numbers.size(); ++k) numbers[k] = place[k * width];
  std::memcpy(static_cast<void*>(&part), numbers.data(), sizeof(Part));
}

}  // namespace layshaft
