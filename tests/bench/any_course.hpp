#pragma once

/// A run in the form a foreign solver can carry out, for callers that do not know the problem.

#include <vector>

#include "layshaft/network/integration.hpp"

namespace layshaft::bench {

/// Smooth stretches between switch instants. The solver asks for rates, Jacobian and guards of the
/// present stretch, and stops where the first guard falls through zero or the stretch ends.
class AnyCourse {
 public:
  AnyCourse() = default;
  AnyCourse(const AnyCourse&) = delete;
  AnyCourse& operator=(const AnyCourse&) = delete;
  virtual ~AnyCourse() = default;

  [[nodiscard]] virtual int size() const = 0;
  [[nodiscard]] virtual int guard_count() const = 0;
  /// Absolute weight of each state: errors are measured against tolerance * (scale + |state|).
  virtual void scale(double* out) const = 0;
  /// Goes to the start of the run. False where no modes are found.
  [[nodiscard]] virtual bool begin() = 0;
  [[nodiscard]] virtual double time() const = 0;
  [[nodiscard]] virtual double stretch_end() const = 0;
  [[nodiscard]] virtual const double* state() const = 0;
  virtual void rates(double time, const double* state, double* out) const = 0;
  /// Column after column; with the rates' derivative by time where `time_slope` is given.
  virtual void jacobian(double time, const double* state, double* out,
                        double* time_slope = nullptr) const = 0;
  /// Positive inside the stretch.
  virtual void guards(double time, const double* state, double* out) const = 0;
  /// What the library sums along a run.
  [[nodiscard]] virtual int account_count() const = 0;
  virtual void account_rates(double time, const double* state, double* out) const = 0;
  /// The library's factors of a matrix with the Jacobian's pattern, column after column.
  virtual void factorise(const double* matrix) = 0;
  virtual void solve(double* right) const = 0;
  /// Takes the end of a stretch and enters the next; false where the run has ended.
  [[nodiscard]] virtual bool stop(double time, const double* state, bool at_root) = 0;
  [[nodiscard]] virtual bool failed() const = 0;
  [[nodiscard]] virtual const std::vector<Change>& changes() const = 0;
};

}  // namespace layshaft::bench
