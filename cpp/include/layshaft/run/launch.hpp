#pragma once

/// One run of the car in time: from rest or rolling, to a distance.
///
/// Gives the times and speeds at distances, the shift, the exact list of mode changes, peaks, where
/// the energy went, and on request samples over time. A run that stops early says why and keeps
/// what it has.

#include <array>
#include <vector>

#include "layshaft/car/car.hpp"
#include "layshaft/car/car_list.hpp"
#include "layshaft/car/pedals.hpp"
#include "layshaft/network/ending.hpp"
#include "layshaft/run/peaks.hpp"
#include "layshaft/run/sample.hpp"
#include "layshaft/run/shift.hpp"

namespace layshaft {

struct LaunchOptions {
  double distance = 60.0;        ///< Where the run ends [m], > 0.
  double longest_time = 20.0;    ///< It ends here at the latest [s], > 0.
  double start_speed = 0.0;      ///< Speed of the car at the start [m/s], >= 0: a corner exit.
  double grade = 0.0;            ///< Rise over run of the road [-], -1..1.
  double sample_interval = 0.0;  ///< Between samples [s]; 0 keeps none.
  std::vector<double> distance_marks{};  ///< Ascending [m], > 0; times are taken here.
  std::vector<double> speed_marks{};     ///< Ascending [m/s], > 0; times are taken here.
  Pedals pedals{};                       ///< With `count` 0 the car's own driver presses them.
  IntegrationOptions integration{};
  bool operator==(const LaunchOptions&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const LaunchOptions& options);

/// Why a run ended.
enum class LaunchEnd : std::uint8_t { distance, longest_time, early };

struct Peaks : PeaksOf<double> {
  double pitch;  ///< Of the body with an axle off the ground, either way [rad].
};

using Sample = SampleOf<CarNames>;

struct LaunchResult {
  Ending ending;
  LaunchEnd end;
  CarModes first_modes;
  std::vector<Change> changes;
  Column<double, car_state::count> state;       ///< At the end.
  std::array<double, account::count> accounts;  ///< At the end.
  std::vector<double> distance_times;           ///< [s], not a number where not reached.
  std::vector<double> distance_speeds;          ///< [m/s]
  std::vector<double> distance_time_errors;     ///< Estimated, of each time [s].
  std::vector<double> speed_times;              ///< [s]
  Shift shift;              ///< That led to the first lock-up of the drum; unknown without one.
  double clutch_lock_time;  ///< First lock-up of the engine clutch [s].
  double lifted_time;       ///< How long an axle was off the ground [s].
  int upshifts;             ///< Lock-ups of the drum.
  int downshifts;           ///< Times both shoes came back.
  Peaks peaks;
  double car_energy;       ///< Gained by the car [J].
  double rotating_energy;  ///< Gained by all that turns [J].
  double energy_residual;  ///< Engine work less gains, losses and stored work [J].
  std::vector<Sample> samples;
  double time_error;  ///< Largest estimated error of the times at distances, shift and end [s].
  long edges;         ///< Times that a switch hung on less than the estimated error.
  bool doubtful;      ///< The times may be off by more than `kSureTime`.
};

/// Error up to which a time counts as sure [s].
inline constexpr double kSureTime = 5e-4;

/// Runs the car. Throws std::invalid_argument for bad input before any work.
[[nodiscard]] LaunchResult launch(const Car& car, const LaunchOptions& options);

/// The pedals of the car's own driver: shut, then opened steadily within the rise time.
[[nodiscard]] Pedals driver_pedals(const Driver& driver);

[[nodiscard]] constexpr std::string_view to_string(LaunchEnd end) {
  switch (end) {
    case LaunchEnd::distance: return "distance";
    case LaunchEnd::longest_time: return "longest_time";
    case LaunchEnd::early: return "early";
  }
  return "unknown";
}

}  // namespace layshaft
