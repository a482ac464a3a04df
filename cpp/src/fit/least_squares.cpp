#include "layshaft/fit/least_squares.hpp"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <cstddef>

#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

// A step that goes too far is shortened by no more and no less than to these shares.
constexpr double kShortest = 0.1;
constexpr double kLongest = 0.5;

// A step is taken that lowers the sum by so much of what straight residuals would, and the next may
// be longer where it was nearly all.
constexpr double kEnough = 0.5;
constexpr double kAsHoped = 0.9;

// A change of the residuals so small that only round-off of the sum could speak against it.
constexpr double kSure = 1e-3;

// There a step that points back by so much of the last one tells that both were too long.
constexpr double kBack = 0.5;

// So many steps of that size that do not halve the least of them get no nearer.
constexpr int kPatience = 4;

using Slopes =
    Eigen::Map<const Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>>;
using Numbers = Eigen::Map<const Eigen::VectorXd>;

Numbers numbers_of(const std::vector<double>& values) {
  return {values.data(), static_cast<Eigen::Index>(values.size())};
}

Slopes slopes_of(const FitLook& look) {
  const auto rows = static_cast<Eigen::Index>(look.residuals.size());
  return {look.slopes.data(), rows, static_cast<Eigen::Index>(look.slopes.size()) / rows};
}

double sum_of(const FitLook& look) { return numbers_of(look.residuals).squaredNorm(); }

FitLook checked(FitLook look, std::size_t numbers) {
  if (look.residuals.empty() || look.slopes.size() != look.residuals.size() * numbers) {
    throw std::invalid_argument("FitLook.slopes must hold one value for each residual and number");
  }
  for (const double value : look.residuals) {
    require(std::isfinite(value), "FitLook", "residuals", value, "finite");
  }
  for (const double value : look.slopes) {
    require(std::isfinite(value), "FitLook", "slopes", value, "finite");
  }
  return look;
}

void check_bounds(const std::vector<double>& start, const FitBounds& bounds) {
  if (start.empty() || bounds.low.size() != start.size() || bounds.high.size() != start.size()) {
    throw std::invalid_argument(
        "FitBounds must hold a low and a high for each number of the start");
  }
  for (std::size_t i = 0; i < start.size(); ++i) {
    require(std::isfinite(start[i]) && bounds.low[i] <= start[i] && start[i] <= bounds.high[i],
            "Fit", "start", start[i], "between its bounds");
  }
}

// The numbers that a step may move: all but those pinned at a bound.
struct Step {
  Eigen::VectorXd change;
  std::vector<bool> pinned;
};

// Moves what is not pinned to where the linear problem is least, the pinned ones as they are.
void solve_free(const FitLook& look, Step& step) {
  const Slopes slopes = slopes_of(look);
  std::vector<Eigen::Index> free;
  for (Eigen::Index i = 0; i < slopes.cols(); ++i) {
    if (!step.pinned[static_cast<std::size_t>(i)]) {
      free.push_back(i);
      step.change(i) = 0.0;
    }
  }
  if (free.empty()) return;
  const auto count = static_cast<Eigen::Index>(free.size());
  Eigen::MatrixXd left(slopes.rows(), count);
  for (Eigen::Index k = 0; k < count; ++k) {
    left.col(k) = slopes.col(free[static_cast<std::size_t>(k)]);
  }
  const Eigen::VectorXd right = -numbers_of(look.residuals) - slopes * step.change;
  const Eigen::VectorXd found = left.colPivHouseholderQr().solve(right);
  for (Eigen::Index k = 0; k < count; ++k)
    step.change(free[static_cast<std::size_t>(k)]) = found(k);
}

// The bounded step: what leaves its bounds is pinned to them, one round after the other.
Eigen::VectorXd bounded_step(const FitLook& look, const std::vector<double>& at,
                             const FitBounds& bounds) {
  const Eigen::VectorXd pull = slopes_of(look).transpose() * numbers_of(look.residuals);
  Step step{Eigen::VectorXd::Zero(pull.size()), std::vector<bool>(at.size())};
  for (std::size_t i = 0; i < at.size(); ++i) {
    const double slope = pull(static_cast<Eigen::Index>(i));
    step.pinned[i] =
        (at[i] <= bounds.low[i] && slope >= 0.0) || (at[i] >= bounds.high[i] && slope <= 0.0);
  }
  for (bool again = true; again;) {
    again = false;
    solve_free(look, step);
    for (std::size_t i = 0; i < at.size(); ++i) {
      double& change = step.change(static_cast<Eigen::Index>(i));
      const double least = bounds.low[i] - at[i];
      const double most = bounds.high[i] - at[i];
      if (step.pinned[i] || (change >= least && change <= most)) continue;
      change = change < least ? least : most;
      step.pinned[i] = again = true;
    }
  }
  return step.change;
}

std::vector<double> moved(const std::vector<double>& at, const Eigen::VectorXd& step,
                          const FitBounds& bounds) {
  std::vector<double> there = at;
  for (std::size_t i = 0; i < at.size(); ++i) {
    const double change = step(static_cast<Eigen::Index>(i));
    // Exactly on the bound, which a sum may miss by its round-off.
    if (change <= bounds.low[i] - at[i]) {
      there[i] = bounds.low[i];
    } else if (change >= bounds.high[i] - at[i]) {
      there[i] = bounds.high[i];
    } else {
      there[i] += change;
    }
  }
  return there;
}

// What a step of some share did to the sum, and what straight residuals would have made of it.
struct Trial {
  double rise;
  double slope;  // Of the sum along the step.
  double hoped;  // The rise that straight residuals would have had, below 0.

  [[nodiscard]] bool is_good() const { return rise <= kEnough * hoped; }
  [[nodiscard]] bool is_as_hoped() const { return rise <= kAsHoped * hoped; }
  // By what share it is to be shortened: where a parabola has its least.
  [[nodiscard]] double shortening() const {
    const double least = -0.5 * slope / (rise - slope);
    return std::isfinite(least) ? std::clamp(least, kShortest, kLongest) : kShortest;
  }
};

Trial trial_of(const FitLook& before, const FitLook& after, const Eigen::VectorXd& change) {
  const double slope = 2.0 * change.dot(numbers_of(before.residuals));
  return {sum_of(after) - sum_of(before), slope, slope + change.squaredNorm()};
}

}  // namespace

Fit least_squares(const Looking& looking, std::vector<double> start, const FitBounds& bounds,
                  const FitOptions& options) {
  check_bounds(start, bounds);
  const std::size_t count = start.size();
  FitLook first = checked(looking(start), count);
  Fit fit{std::move(start), std::move(first), 1, FitEnd::most_looks};
  double share = 1.0;    // Of a step; what served one serves the next.
  Eigen::VectorXd last;  // Change of the residuals by the last step, were it whole.
  double least = kSure;
  int no_nearer = 0;
  while (true) {
    const Eigen::VectorXd step = bounded_step(fit.look, fit.at, bounds);
    const Eigen::VectorXd change = slopes_of(fit.look) * step;
    if (change.norm() < options.settled) {
      fit.end = FitEnd::settled;
      return fit;
    }
    if (change.norm() < 0.5 * least) {
      least = change.norm();
      no_nearer = 0;
    } else if (least < kSure && ++no_nearer == kPatience) {
      fit.end = FitEnd::rough;
      return fit;
    }
    if (last.size() > 0 && share * last.norm() < kSure) {
      const double again = change.dot(last) / last.squaredNorm();
      if (again < -kBack) share /= 1.0 - again;
    }
    last = change;
    for (bool is_taken = false; !is_taken;) {
      if (fit.looks >= options.most_looks) return fit;
      std::vector<double> there = moved(fit.at, share * step, bounds);
      FitLook look = checked(looking(there), count);
      ++fit.looks;
      const bool is_sure = share * change.norm() < kSure;
      const Trial trial = trial_of(fit.look, look, share * change);
      is_taken = is_sure || trial.is_good();
      if (is_taken) {
        fit.at = std::move(there);
        fit.look = std::move(look);
        if (!is_sure && trial.is_as_hoped()) share = std::min(2.0 * share, 1.0);
      } else {
        share *= trial.shortening();
      }
    }
  }
}

}  // namespace layshaft
