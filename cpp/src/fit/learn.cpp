#include "layshaft/fit/learn.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <iterator>
#include <ranges>
#include <stdexcept>
#include <utility>

#include "layshaft/fit/interval_ends.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

// Of a difference quotient, in doubts: far above the noise of a run, far below a doubt.
constexpr double kStep = 0.02;
// Residual that stands for a run without the thing seen, such as no shift at all.
constexpr double kMissed = 30.0;

using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

// Cars to either side of each unknown, behind the one in the middle, and how far they lie apart.
struct Surrounding {
  std::vector<Point> points;
  std::vector<double> widths;  // In doubts; less than two steps at a bound.
};

double bounded(const Unknown& unknown, double share) {
  return std::clamp(share, (unknown.low - unknown.guess) / unknown.doubt,
                    (unknown.high - unknown.guess) / unknown.doubt);
}

Surrounding surrounding(std::span<const Unknown> unknowns, std::span<const double> shares) {
  Surrounding around{{point_at(unknowns, shares)}, {}};
  for (std::size_t i = 0; i < unknowns.size(); ++i) {
    const double above = bounded(unknowns[i], shares[i] + kStep);
    const double below = bounded(unknowns[i], shares[i] - kStep);
    for (const double share : {above, below}) {
      std::vector<double> beside(shares.begin(), shares.end());
      beside[i] = share;
      around.points.push_back(point_at(unknowns, beside));
    }
    around.widths.push_back(above - below);
  }
  return around;
}

// What the car in the middle shows, and the slopes around it in errors by doubts.
struct Shown {
  std::vector<double> values;
  Matrix slopes;
};

// From what the cars around a point show, the one in the middle first.
Matrix slopes_of(std::span<const double> shown, const std::vector<double>& widths,
                 const std::vector<double>& errors) {
  const std::size_t count = errors.size();
  Matrix slopes =
      Matrix::Zero(static_cast<Eigen::Index>(count), static_cast<Eigen::Index>(widths.size()));
  for (std::size_t j = 0; j < widths.size(); ++j) {
    for (std::size_t i = 0; i < count; ++i) {
      const double rise = shown[(2 * j + 1) * count + i] - shown[(2 * j + 2) * count + i];
      const double slope = rise / (widths[j] * errors[i]);
      if (!std::isfinite(slope)) continue;
      slopes(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) = slope;
    }
  }
  return slopes;
}

std::vector<Shown> shown_around(std::span<const Unknown> unknowns, const Evidence& evidence,
                                std::span<const std::vector<double>> points) {
  std::vector<Surrounding> arounds;
  std::vector<Point> all_points;
  for (const std::vector<double>& shares : points) {
    arounds.push_back(surrounding(unknowns, shares));
    std::ranges::copy(arounds.back().points, std::back_inserter(all_points));
  }
  const std::vector<double> all = evidence.predict(all_points);
  const std::size_t count = evidence.values.size();
  if (all.size() != all_points.size() * count) {
    throw std::invalid_argument("Evidence.predict must give one value for each point and value");
  }
  std::vector<Shown> shown;
  const double* values = all.data();
  for (const Surrounding& around : arounds) {
    const std::span one(values, around.points.size() * count);
    shown.push_back({{one.begin(), one.begin() + static_cast<std::ptrdiff_t>(count)},
                     slopes_of(one, around.widths, evidence.errors)});
    values += one.size();
  }
  return shown;
}

void check(std::span<const Unknown> unknowns, const Evidence& evidence) {
  if (unknowns.empty()) throw std::invalid_argument("unknowns must name at least one number");
  for (std::size_t i = 0; i < unknowns.size(); ++i) {
    validate(unknowns[i]);
    for (std::size_t j = 0; j < i; ++j) {
      if (unknowns[i].path == unknowns[j].path) {
        throw std::invalid_argument("unknowns must name " + unknowns[i].path + " once");
      }
    }
  }
  if (evidence.values.empty() || evidence.errors.size() != evidence.values.size()) {
    throw std::invalid_argument("Evidence must hold at least one value, and an error for each");
  }
  for (const double value : evidence.values) {
    require(std::isfinite(value), "Evidence", "values", value, "finite");
  }
  for (const double error : evidence.errors) {
    require(error > 0.0 && std::isfinite(error), "Evidence", "errors", error, "> 0");
  }
}

// Residuals of what was seen, then those of the guesses.
FitLook look_of(const Shown& shown, const Evidence& evidence, std::span<const double> shares) {
  FitLook look;
  for (std::size_t i = 0; i < evidence.values.size(); ++i) {
    const double misfit = (shown.values[i] - evidence.values[i]) / evidence.errors[i];
    look.residuals.push_back(std::isfinite(misfit) ? misfit : kMissed);
  }
  look.residuals.insert(look.residuals.end(), shares.begin(), shares.end());
  look.slopes.assign(shown.slopes.data(), shown.slopes.data() + shown.slopes.size());
  for (std::size_t i = 0; i < shares.size(); ++i) {
    for (std::size_t j = 0; j < shares.size(); ++j) look.slopes.push_back(i == j ? 1.0 : 0.0);
  }
  return look;
}

FitBounds bounds_of(std::span<const Unknown> unknowns) {
  FitBounds bounds;
  for (const Unknown& each : unknowns) {
    bounds.low.push_back((each.low - each.guess) / each.doubt);
    bounds.high.push_back((each.high - each.guess) / each.doubt);
  }
  return bounds;
}

// Value of a path at a point, where the last counts.
double value_of(const Point& point, const std::string& path) {
  const auto settings = std::views::reverse(point);
  return std::ranges::find(settings, path, &Setting::path)->value;
}

// What the fit has looked at.
struct Seen {
  std::vector<double> shares;
  std::vector<double> shown;
};

std::vector<double> plain(const Matrix& matrix) {
  return {matrix.data(), matrix.data() + matrix.size()};
}

// Inverse of what data and guesses know, as wide as the intervals are.
Matrix covariance_of(const Matrix& information, const FitBounds& ends,
                     std::span<const Unknown> unknowns) {
  Matrix known = information;
  known.diagonal().array() += 1.0;
  const Eigen::LLT<Eigen::MatrixXd> factors(known);
  Eigen::MatrixXd half = Eigen::MatrixXd::Identity(known.rows(), known.cols());
  factors.matrixL().solveInPlace(half);
  for (std::size_t i = 0; i < unknowns.size(); ++i) {
    auto column = half.col(static_cast<Eigen::Index>(i));
    const double spread = (ends.high[i] - ends.low[i]) / (2.0 * kWidth95);
    column *= unknowns[i].doubt * spread / column.norm();
  }
  return half.transpose() * half;
}

// The unknowns at a point.
std::vector<double> values_at(std::span<const Unknown> unknowns, const Point& point) {
  std::vector<double> values;
  for (const Unknown& each : unknowns) values.push_back(value_of(point, each.path));
  return values;
}

}  // namespace

Learned learn(std::span<const Unknown> unknowns, const Evidence& evidence) {
  check(unknowns, evidence);
  std::vector<Seen> seen;  // The start's first.
  const auto look_around = [&](std::span<const std::vector<double>> points) {
    std::vector<Shown> shown = shown_around(unknowns, evidence, points);
    const auto known = [](double value) { return std::isfinite(value); };
    if (seen.empty() && std::ranges::none_of(shown.front().values, known)) {
      throw std::invalid_argument("the starting car reproduces none of what was seen");
    }
    std::vector<FitLook> looks;
    for (std::size_t i = 0; i < points.size(); ++i) {
      looks.push_back(look_of(shown[i], evidence, points[i]));
      seen.push_back({points[i], std::move(shown[i].values)});
    }
    return looks;
  };
  const auto look = [&](std::span<const double> shares) {
    const std::vector<double> point(shares.begin(), shares.end());
    return std::move(look_around({&point, 1}).front());
  };
  const FitBounds bounds = bounds_of(unknowns);
  const Fit fit = least_squares(look, std::vector<double>(unknowns.size(), 0.0), bounds);
  const FitBounds ends = interval_ends(look_around, fit, bounds);
  Learned learned{};
  learned.point = point_at(unknowns, fit.at);
  learned.values = values_at(unknowns, learned.point);
  learned.low = values_at(unknowns, point_at(unknowns, ends.low));
  learned.high = values_at(unknowns, point_at(unknowns, ends.high));
  const auto count = static_cast<Eigen::Index>(evidence.values.size());
  const Matrix slopes = Eigen::Map<const Matrix>(fit.look.slopes.data(), count,
                                                 static_cast<Eigen::Index>(unknowns.size()));
  const Matrix information = slopes.transpose() * slopes;
  learned.information = plain(information);
  learned.covariance = plain(covariance_of(information, ends, unknowns));
  learned.shown = std::ranges::find(seen, fit.at, &Seen::shares)->shown;
  learned.shown_before = std::move(seen.front().shown);
  learned.looks = fit.looks;
  learned.cars = seen.size() * (1 + 2 * unknowns.size());
  learned.end = fit.end;
  return learned;
}

Learned learn(const Car& car, std::span<const Unknown> unknowns,
              std::span<const Observation> observations, unsigned threads) {
  Evidence evidence{{}, {}, [&](std::span<const Point> points) {
                      return predict(car, observations, points, threads);
                    }};
  if (observations.empty()) {
    throw std::invalid_argument("nothing was seen: give at least one observation");
  }
  for (const Observation& each : observations) {
    validate(each);
    evidence.values.push_back(each.value);
    evidence.errors.push_back(each.error);
  }
  return learn(unknowns, evidence);
}

std::vector<double> slopes_at(std::span<const Unknown> unknowns, const Evidence& evidence,
                              std::span<const double> shares) {
  check(unknowns, evidence);
  const std::vector<double> point(shares.begin(), shares.end());
  return plain(shown_around(unknowns, evidence, {&point, 1}).front().slopes);
}

}  // namespace layshaft
