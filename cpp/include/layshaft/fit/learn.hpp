#pragma once

/// Learns numbers of a car from what it did: least squares with a guess, a doubt and bounds.
///
///     minimise sum ((shown(x) - seen) / error)^2 + sum ((x - guess) / doubt)^2
///
/// Each guess counts as one more observation, with its doubt for an error; so doubts are the prior
/// of a normal distribution. Slopes are difference quotients over a share of each doubt. Where a
/// car does not do what was seen at all, such as shift, a fixed large residual stands for it.
/// Intervals end where the car no longer shows what was seen (`interval_ends`); covariances are
/// those of the problem linearised at the solution, made as wide as the intervals.
///
/// What cars would have shown comes from a `Predictor`: launches of the core (`predict`), or
/// whatever else drives a car.

#include <functional>
#include <span>
#include <vector>

#include "layshaft/fit/least_squares.hpp"
#include "layshaft/fit/prediction.hpp"
#include "layshaft/fit/unknown.hpp"

namespace layshaft {

/// What cars at some points would have shown, points x values, row after row; not a number where
/// they do no such thing.
using Predictor = std::function<std::vector<double>(std::span<const Point> points)>;

/// All that was seen, as one list.
struct Evidence {
  std::vector<double> values;
  std::vector<double> errors;  ///< One standard deviation each, > 0.
  Predictor predict;
};

struct Learned {
  Point point;                 ///< Settings of the learned car, followers with them.
  std::vector<double> values;  ///< Of the unknowns.
  std::vector<double> low;     ///< Of their 95 % intervals.
  std::vector<double> high;
  std::vector<double> covariance;    ///< Of the values, unknowns x unknowns.
  std::vector<double> information;   ///< Of the data alone, in doubts, unknowns x unknowns.
  std::vector<double> shown_before;  ///< What the guessed car shows of what was seen.
  std::vector<double> shown;         ///< What the learned car shows.
  int looks;                         ///< Steps of the fit and its start, without the intervals.
  std::size_t cars;                  ///< How many were predicted, each at all that was seen.
  FitEnd end;
};

/// Finds the values that would have shown what was seen. Throws std::invalid_argument for bad
/// input, and where the guessed car shows none of it.
[[nodiscard]] Learned learn(std::span<const Unknown> unknowns, const Evidence& evidence);

/// The same from launches of a car; `threads` as for `predict`.
[[nodiscard]] Learned learn(const Car& car, std::span<const Unknown> unknowns,
                            std::span<const Observation> observations, unsigned threads = 0);

/// By how many of its errors each value changes for one doubt of each unknown, at shares of doubts
/// away from the guesses: values x unknowns, row after row; 0 where there is no telling.
[[nodiscard]] std::vector<double> slopes_at(std::span<const Unknown> unknowns,
                                            const Evidence& evidence,
                                            std::span<const double> shares);

}  // namespace layshaft
