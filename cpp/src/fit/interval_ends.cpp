#include "layshaft/fit/interval_ends.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <optional>

#include "layshaft/number/arithmetic.hpp"

namespace layshaft {
namespace {

// An end is found to this share of its distance from the solution of the linearised problem.
constexpr double kClose = 0.02;
// What that is of the sum of squares.
constexpr double kSlack = 2.0 * kClose * kWidth95 * kWidth95;
constexpr int kMostRounds = 20;
// From a sum of squares this far above the limit the slopes do not show the way back.
constexpr double kFar = 4.0 * kWidth95 * kWidth95;
// After so many what is left between a point within and one beyond is halved.
constexpr int kStepRounds = 8;
// Longest step, in standard deviations of the linearised problem.
constexpr double kLongestStep = 2.0;
// A shorter one changes an end by its square alone.
constexpr double kLeastStep = 0.25;

using Vector = Eigen::VectorXd;
using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

Vector vector_of(const std::vector<double>& values) {
  return Eigen::Map<const Vector>(values.data(), static_cast<Eigen::Index>(values.size()));
}

// The problem linearised at a point.
struct Linear {
  Vector residuals;
  Matrix slopes;
  Eigen::MatrixXd covariance;

  explicit Linear(const FitLook& look)
      : residuals(vector_of(look.residuals)),
        slopes(Eigen::Map<const Matrix>(
            look.slopes.data(), residuals.size(),
            static_cast<Eigen::Index>(look.slopes.size()) / residuals.size())),
        covariance((slopes.transpose() * slopes).inverse()) {}

  // The way to the furthest point within the limit, or to the least sum if there is none within.
  [[nodiscard]] Vector step(Eigen::Index which, double sign, double limit) const {
    const Vector down = -covariance * (slopes.transpose() * residuals);
    const double room = limit - (residuals + slopes * down).squaredNorm();
    if (!(room > 0.0)) return down;
    const Vector column = covariance.col(which);
    return down + sign * std::sqrt(room / column(which)) * column;
  }
};

// The search for one end of the interval of one number.
class Side {
 public:
  Side(const Vector& best, const Linear& at_best, Eigen::Index which, double sign,
       const Vector& low, const Vector& high)
      : which_(which), sign_(sign), low_(low), high_(high), within_(best) {
    const Vector column = at_best.covariance.col(which);
    const double spread = std::sqrt(column(which));
    point_ = clipped(best + sign * kWidth95 / spread * column);
    close_ = kClose * kWidth95 * spread;
  }

  [[nodiscard]] bool settled() const { return settled_; }
  [[nodiscard]] const Vector& point() const { return point_; }
  // The furthest that is known to be within.
  [[nodiscard]] double end() const { return within_(which_); }

  // Goes on from the point, where the problem is linear so.
  void move(const Linear& linear, double limit) {
    ++rounds_;
    const double sum = linear.residuals.squaredNorm();
    if (sum > limit + kSlack && past(point_) > 0.0) beyond_ = point_;
    if (beyond_ && (sum > limit + kFar || rounds_ > kStepRounds)) {
      settled_ = past(*beyond_) <= close_;
      point_ = 0.5 * (within_ + *beyond_);
      return;
    }
    Vector step = linear.step(which_, sign_, limit);
    const double along = step(which_);
    if (along * before_ < 0.0 && std::abs(along) > close_) longest_ *= 0.5;
    before_ = along;
    const double length = (linear.slopes * step).norm();
    if (length > longest_) step *= longest_ / length;
    const Vector after = clipped(point_ + step);
    const Vector moved = after - point_;
    point_ = after;
    settled_ = std::abs(moved(which_)) <= close_ && (linear.slopes * moved).norm() <= kLeastStep;
    if (settled_ && past(after) > 0.0) within_ = after;
  }

  // Takes note of a point within, and seeks on from there if it is beyond what was found.
  void hear(const Vector& within) {
    const double further = past(within);
    if (further > close_ && settled_) {
      point_ = within;
      settled_ = false;
      longest_ = kLongestStep;
    }
    if (further > 0.0) within_ = within;
  }

 private:
  [[nodiscard]] double past(const Vector& point) const { return sign_ * (point(which_) - end()); }
  [[nodiscard]] Vector clipped(const Vector& point) const {
    return point.cwiseMax(low_).cwiseMin(high_);
  }

  Eigen::Index which_;
  double sign_;
  Vector low_, high_;
  Vector within_;
  Vector point_;
  std::optional<Vector> beyond_;
  double close_ = 0.0;
  double longest_ = kLongestStep;
  double before_ = 0.0;
  int rounds_ = 0;
  bool settled_ = false;
};

// One round of all searches that go on; false once none does.
bool go_on(std::vector<Side>& sides, const LookingAround& looking, double limit) {
  std::vector<std::size_t> open;
  std::vector<std::vector<double>> points;
  for (std::size_t i = 0; i < sides.size(); ++i) {
    if (sides[i].settled()) continue;
    open.push_back(i);
    const Vector& point = sides[i].point();
    points.emplace_back(point.data(), point.data() + point.size());
  }
  if (open.empty()) return false;
  const std::vector<FitLook> looks = looking(points);
  for (std::size_t k = 0; k < open.size(); ++k) {
    const Linear linear(looks[k]);
    if (linear.residuals.squaredNorm() <= limit + kSlack) {
      const Vector within = vector_of(points[k]);
      for (Side& other : sides) other.hear(within);
    }
    sides[open[k]].move(linear, limit);
  }
  return true;
}

}  // namespace

FitBounds interval_ends(const LookingAround& looking, const Fit& fit, const FitBounds& bounds) {
  const Linear at_best(fit.look);
  const double limit = at_best.residuals.squaredNorm() + square(kWidth95);
  const Vector best = vector_of(fit.at);
  std::vector<Side> sides;
  for (Eigen::Index i = 0; i < best.size(); ++i) {
    for (const double sign : {-1.0, 1.0}) {
      sides.emplace_back(best, at_best, i, sign, vector_of(bounds.low), vector_of(bounds.high));
    }
  }
  for (int round = 0; round < kMostRounds && go_on(sides, looking, limit); ++round) continue;
  FitBounds ends;
  for (Eigen::Index i = 0; i < best.size(); ++i) {
    const auto side = 2 * static_cast<std::size_t>(i);
    double low = sides[side].end();
    double high = sides[side + 1].end();
    if (!(low < high)) {
      const double reach = kWidth95 * std::sqrt(at_best.covariance(i, i));
      low = std::max(best(i) - reach, bounds.low[static_cast<std::size_t>(i)]);
      high = std::min(best(i) + reach, bounds.high[static_cast<std::size_t>(i)]);
    }
    ends.low.push_back(low);
    ends.high.push_back(high);
  }
  return ends;
}

}  // namespace layshaft
