#pragma once

/// The runs of a sweep, handed out in order to workers on all cores.

#include <atomic>
#include <condition_variable>
#include <cstddef>
#include <functional>
#include <mutex>
#include <optional>

#include "layshaft/run/sweep.hpp"

namespace layshaft {

class RunQueue {
 public:
  /// Writes the status of runs that are refused into `result`, which must outlive it.
  explicit RunQueue(SweepResult& result) : result_(result) {}

  /// Number of the next run; none once all are handed out or the sweep was stopped.
  [[nodiscard]] std::optional<std::size_t> next();
  /// Counts a run as over.
  void finish();
  void refuse(std::size_t run, const std::string& why);

  /// Calls `work` on each of `threads` threads (0 for as many as the machine has cores) and tells
  /// of the progress on this one until all runs are over or that says to stop. One thread that
  /// nobody is told of is this one.
  void work_off(unsigned threads, const std::function<void()>& work, const Progress& progress);
  /// On how many threads: no more than there are runs.
  [[nodiscard]] std::size_t workers(unsigned threads) const;

 private:
  SweepResult& result_;
  std::atomic<std::size_t> next_{0};
  std::atomic<std::size_t> done_{0};
  std::atomic<bool> stopped_{false};
  std::mutex mutex_;
  std::condition_variable all_done_;
};

/// Tables for so many runs with nothing in them yet.
[[nodiscard]] SweepResult empty_result(std::size_t runs, std::size_t scalars, std::size_t distances,
                                       std::size_t speeds);

/// Writes a run's row into a table.
void put_row(const std::vector<double>& row, std::size_t run, std::vector<double>& table);

/// Writes all scalars of a run.
template <class Scalars, class Result>
void put_scalars(const Scalars& scalars, const Result& of, std::size_t run, SweepResult& result) {
  double* value = &result.scalars[run * scalars.size()];
  for (const auto& scalar : scalars) *value++ = scalar.get(of);
}

}  // namespace layshaft
