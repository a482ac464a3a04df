#include "layshaft/run/run_queue.hpp"

#include <algorithm>
#include <chrono>
#include <thread>
#include <vector>

#include "layshaft/number/absent.hpp"

namespace layshaft {
namespace {

constexpr auto kPollInterval = std::chrono::milliseconds(50);

}  // namespace

std::optional<std::size_t> RunQueue::next() {
  if (stopped_) return std::nullopt;
  const std::size_t run = next_++;
  return run < result_.runs ? std::optional(run) : std::nullopt;
}

void RunQueue::finish() {
  if (++done_ == result_.runs) {
    const std::lock_guard lock(mutex_);
    all_done_.notify_one();
  }
}

void RunQueue::refuse(std::size_t run, const std::string& why) {
  result_.status[run] = RunStatus::refused;
  result_.messages[run] = why;
  finish();
}

std::size_t RunQueue::workers(unsigned threads) const {
  const unsigned wanted = threads > 0 ? threads : std::thread::hardware_concurrency();
  return std::clamp<std::size_t>(wanted, 1, std::max<std::size_t>(result_.runs, 1));
}

void RunQueue::work_off(unsigned threads, const std::function<void()>& work,
                        const Progress& progress) {
  const std::size_t runs = result_.runs;
  if (workers(threads) == 1 && !progress) {
    work();
    return;
  }
  {
    std::vector<std::jthread> crew;
    const std::size_t count = workers(threads);
    crew.reserve(count);
    for (std::size_t i = 0; i < count; ++i) crew.emplace_back(work);
    std::unique_lock lock(mutex_);
    try {
      while (!stopped_ && !all_done_.wait_for(lock, kPollInterval, [&] { return done_ == runs; })) {
        stopped_ = progress && !progress(done_, runs);
      }
    } catch (...) {
      stopped_ = true;  // Before the workers are joined, or they would run the whole plan.
      throw;
    }
  }
  if (progress) (void)progress(done_, runs);
}

SweepResult empty_result(std::size_t runs, std::size_t scalars, std::size_t distances,
                         std::size_t speeds) {
  SweepResult result{};
  result.runs = runs;
  result.scalars.assign(runs * scalars, kNotANumber);
  result.distance_times.assign(runs * distances, kNotANumber);
  result.distance_speeds.assign(runs * distances, kNotANumber);
  result.speed_times.assign(runs * speeds, kNotANumber);
  result.status.assign(runs, RunStatus::not_run);
  result.messages.assign(runs, {});
  return result;
}

void put_row(const std::vector<double>& row, std::size_t run, std::vector<double>& table) {
  std::ranges::copy(row, table.begin() + static_cast<std::ptrdiff_t>(run * row.size()));
}

}  // namespace layshaft
