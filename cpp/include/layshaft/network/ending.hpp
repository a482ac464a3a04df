#pragma once

/// What a run is asked for, and how it ended.

#include <cstdint>
#include <string_view>

namespace layshaft {

enum class Status : std::uint8_t {
  finished,       ///< Reached its end.
  step_budget,    ///< Used all its steps.
  non_finite,     ///< A state stopped being a number.
  no_modes,       ///< No set of modes satisfies the limits.
  chatter,        ///< Too many mode changes at one instant.
  step_vanished,  ///< The step size control found no step that meets the tolerance.
  goes_over,      ///< The car turned over an axle.
  leaves_ground,  ///< Lift took the car off the road.
  implausible,    ///< A value is beyond what the plant can do: its laws do not hold there.
};

[[nodiscard]] constexpr std::string_view to_string(Status status) {
  switch (status) {
    case Status::finished: return "finished";
    case Status::step_budget: return "step_budget";
    case Status::non_finite: return "non_finite";
    case Status::no_modes: return "no_modes";
    case Status::chatter: return "chatter";
    case Status::step_vanished: return "step_vanished";
    case Status::goes_over: return "goes_over";
    case Status::leaves_ground: return "leaves_ground";
    case Status::implausible: return "implausible";
  }
  return "unknown";
}

struct IntegrationOptions {
  double tolerance = 1e-6;   ///< Of a step, relative to scale + |state| [-], > 0.
  double first_step = 1e-2;  ///< At most this is tried first [s], > 0.
  long most_steps = 200'000;
  bool operator==(const IntegrationOptions&) const = default;
};

/// What a plant thinks of a state that a step has reached: anything but `finished` ends the run.
struct Verdict {
  Status status = Status::finished;
  int part = -1;  ///< As that of an `Ending`.
};

/// How a run ended: `part` is the state, or the coupling or switch concerned, -1 where none is.
/// Switches count on from the couplings.
struct Ending {
  Status status;
  double time;  ///< [s]
  int part;
  long steps;
};

}  // namespace layshaft
