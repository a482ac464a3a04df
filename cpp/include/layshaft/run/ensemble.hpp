#pragma once

/// Many launches at once, side by side in the lanes of the processor's vector registers.
///
/// A lane takes the next launch of a queue as soon as its own has ended. Each has its own car,
/// time, step size and modes, and what happens in it - modes, marks, the shift - is worked out by
/// the same code as for a launch alone. Results are the same bits as those of `launch`, for any
/// number of lanes and any order of the queue.

#include <cstddef>
#include <functional>
#include <string>

#include "layshaft/run/lane_kernels.hpp"
#include "layshaft/run/launch.hpp"

namespace layshaft {

/// Where launches come from and their results go to; called on the thread of `run_ensemble`.
struct LaunchQueue {
  /// Sets number and car of the next launch; false where there is none left.
  std::function<bool(std::size_t& number, Car& car)> next;
  std::function<void(std::size_t number, const LaunchResult& result)> finished;
  /// A car that was refused, with the reason.
  std::function<void(std::size_t number, const std::string& why)> refused;
};

/// Runs the whole queue. The options must be valid and ask for no samples: throws
/// std::invalid_argument otherwise. Without lanes (`form.step` null) it runs one by one.
void run_ensemble(const LaunchOptions& options, const LaneForm& form, const LaunchQueue& queue);

}  // namespace layshaft
