#pragma once

/// What a solver of single steps needs to stop where the first guard falls, and to do the same work
/// as the library: looks at the guards, their first root by the step's dense output, and accounts.

#include <algorithm>
#include <array>
#include <boost/math/tools/toms748_solve.hpp>
#include <cstdint>
#include <limits>
#include <vector>

#include "layshaft/network/quadrature.hpp"
#include "rival.hpp"

namespace layshaft::bench {

class StepWatch {
 public:
  StepWatch(AnyCourse& course, Work work)
      : course_(course),
        work_(work),
        state_(static_cast<std::size_t>(course.size())),
        sums_(static_cast<std::size_t>(course.account_count())),
        account_rates_(sums_.size()) {}

  /// Looks at a step; `inside(time, state)` is its dense output. True where a guard fell: `time()`
  /// and `state()` are then those of the first root.
  template <class Inside>
  [[nodiscard]] bool falls(double begin, double end, const double* at_end, const Inside& inside) {
    guards_.resize(static_cast<std::size_t>(course_.guard_count()));
    double clear = begin;
    if (work_ == Work::same) {
      sum(begin, end, at_end, inside);
      for (const double share : {1.0 / 3.0, 2.0 / 3.0}) {
        const double time = begin + share * (end - begin);
        inside(time, state_.data());
        if (find(clear, time, state_.data(), inside)) return true;
        clear = time;
      }
    }
    return find(clear, end, at_end, inside);
  }

  [[nodiscard]] double time() const { return time_; }
  [[nodiscard]] const double* state() const { return state_.data(); }

 private:
  template <class Inside>
  [[nodiscard]] bool find(double clear, double time, const double* state, const Inside& inside) {
    course_.guards(time, state, guards_.data());
    fallen_.clear();
    for (std::size_t g = 0; g < guards_.size(); ++g) {
      if (!(guards_[g] > 0.0)) fallen_.push_back(g);
    }
    if (fallen_.empty()) return false;
    time_ = std::numeric_limits<double>::infinity();
    for (const std::size_t g : fallen_) time_ = std::min(time_, root_of(g, clear, time, inside));
    inside(time_, state_.data());
    return true;
  }

  template <class Inside>
  [[nodiscard]] double root_of(std::size_t guard, double low, double high, const Inside& inside) {
    const auto value = [&](double time) {
      inside(time, state_.data());
      course_.guards(time, state_.data(), guards_.data());
      return guards_[guard];
    };
    const double at_low = value(low);
    if (!(at_low > 0.0)) return low;
    const double at_high = value(high);
    if (!(at_high < 0.0)) return high;
    std::uintmax_t most_tries = 60;
    return boost::math::tools::toms748_solve(value, low, high, at_low, at_high,
                                             boost::math::tools::eps_tolerance<double>(50),
                                             most_tries)
        .second;
  }

  template <class Inside>
  void sum(double begin, double end, const double* at_end, const Inside& inside) {
    for (std::size_t k = 0; k < kLobattoPoints; ++k) {
      const double time = begin + kLobattoShares[k] * (end - begin);
      if (k + 1 == kLobattoPoints) {
        course_.account_rates(end, at_end, account_rates_.data());
      } else {
        inside(time, state_.data());
        course_.account_rates(time, state_.data(), account_rates_.data());
      }
      for (std::size_t i = 0; i < sums_.size(); ++i) {
        sums_[i] += (end - begin) * kLobattoWeights[k] * account_rates_[i];
      }
    }
  }

  AnyCourse& course_;
  Work work_;
  double time_ = 0.0;
  std::vector<double> state_;
  std::vector<double> guards_;
  std::vector<std::size_t> fallen_;
  std::vector<double> sums_;
  std::vector<double> account_rates_;
};

}  // namespace layshaft::bench
