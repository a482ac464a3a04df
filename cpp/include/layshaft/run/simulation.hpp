#pragma once

/// The car as a part of another program: stepped from outside, with pedals and road set on the way.
///
/// The steps are those of a launch. They go on as long as the integrator likes, and what is read at
/// a time in between comes from its dense output: the times at which an outsider stops change no
/// bit of the result. Setting an input to another value ends the step there. Inputs are held until
/// they are set again.

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "layshaft/car/car.hpp"
#include "layshaft/network/modes.hpp"
#include "layshaft/run/outputs.hpp"

namespace layshaft {

/// What an outsider sets while the car runs.
struct Inputs {
  double throttle = 0.0;  ///< Opening asked for [-], 0..1.
  double brake = 0.0;     ///< Pedal [-], 0..1.
  double grade = 0.0;     ///< Rise over run of the road [-], -1..1; positive is uphill.
  bool operator==(const Inputs&) const = default;
};

/// What is settled before the start.
struct SimulationOptions {
  double start_speed = 0.0;  ///< Speed of the car at the start [m/s], >= 0.
  bool own_driver = false;   ///< The car's own driver presses the pedals, as in a launch; throttle
                             ///< and brake of the inputs are then left aside.
  double stopwatch_distance = 60.0;  ///< Where the output `stopwatch` stops [m], > 0.
  double tolerance = 1e-6;           ///< Of an integration step, relative [-].
  bool keep_changes = false;  ///< All mode changes since the start are kept, in memory that grows
                              ///< with them; else those of the last step.
  bool operator==(const SimulationOptions&) const = default;
};

/// All that a run depends on.
struct SimulationSetup {
  Car car;
  SimulationOptions options{};
  Inputs inputs{};
  bool operator==(const SimulationSetup&) const = default;
};

/// At most twice as many changes are held where they are not all kept; the oldest go first.
inline constexpr std::size_t kMostChanges = 1024;

class Simulation {
 public:
  /// The car at its start, time 0. Throws std::invalid_argument naming the field, its value and
  /// the broken bound, and std::runtime_error for a car that cannot start.
  explicit Simulation(const SimulationSetup& setup);
  Simulation(Simulation&&) noexcept;
  Simulation& operator=(Simulation&&) noexcept;
  ~Simulation();

  /// With the inputs of the moment.
  [[nodiscard]] const SimulationSetup& setup() const;

  /// Inputs from now on. The same values again change nothing. Throws std::invalid_argument for a
  /// value out of bounds and std::runtime_error where the car cannot go on with them, and then
  /// changes nothing.
  void set_inputs(const Inputs& inputs);

  /// Goes on to `time` [s], from the present to 1e6, and returns the time reached: less where the
  /// run cannot go on, see `failure`. Throws std::invalid_argument for another time.
  double step_to(double time);
  /// The same, but stops at the next change of a mode, after all that change at that instant.
  double step_to_change(double time);

  /// Undoes the last of `step_to`, `step_to_change` and `set_inputs`: all is as before it.
  void take_back();

  [[nodiscard]] double time() const;  ///< [s]
  /// Why the run cannot go on, in one sentence; empty where it can.
  [[nodiscard]] std::string failure() const;

  /// Value of an output now, by its number in `outputs()`, SI unit. Just after a change where one
  /// is now.
  [[nodiscard]] double output(std::size_t number) const;
  /// The same by name. Throws std::invalid_argument for an unknown one.
  [[nodiscard]] double output(std::string_view name) const;

  /// Mode changes of the last step and of the inputs set before and after it, in order; all since
  /// the start where the options keep them.
  [[nodiscard]] std::span<const Change> changes() const;
  /// Whether a mode has changed in the last step.
  [[nodiscard]] bool changed() const;

  /// The complete state, car and options with it. Loaded by the same version of the library, into
  /// any simulation, it goes on with the same bits. Changes belong to it where they are kept.
  [[nodiscard]] std::vector<double> save() const;
  /// Throws std::invalid_argument for numbers that `save` did not make, and then changes nothing.
  void load(std::span<const double> saved);

 private:
  class Run;
  std::unique_ptr<Run> run_;
};

}  // namespace layshaft
