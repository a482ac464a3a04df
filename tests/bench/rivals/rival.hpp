#pragma once

/// General solvers on a course, each as its makers mean it to be called.

#include <array>
#include <cstddef>
#include <memory>
#include <string_view>

#include "../any_course.hpp"

namespace layshaft::bench {

/// What a rival is asked to do beside the states.
enum class Work {
  raw,   ///< Look at the guards where a step ends, or as its own root finding does.
  same,  ///< What the library does: look twice inside each step as well, and sum all accounts.
};

/// A solver with its memory, kept from run to run.
class Rival {
 public:
  Rival() = default;
  Rival(const Rival&) = delete;
  Rival& operator=(const Rival&) = delete;
  virtual ~Rival() = default;

  /// Runs a course that has begun to its end; returns the number of steps, or -1 if it failed.
  [[nodiscard]] virtual long run(AnyCourse& course, double tolerance) = 0;
};

/// Order known to `bench_library.py`.
inline constexpr std::array<std::string_view, 11> kRivals{
    "cvode_bdf", "cvode_tuned", "cvode_adams", "esdirk", "sofroniou",     "tsitouras",
    "gsl_rkck",  "gsl_rkf45",   "dopri5",      "rodas",  "hairer_rodas4p"};

/// A rival for courses of a size. Throws std::invalid_argument where it has no such work.
[[nodiscard]] std::unique_ptr<Rival> make_rival(std::size_t which, const AnyCourse& course,
                                                Work work);

}  // namespace layshaft::bench
