#pragma once

/// Which of many measured points a curve is put through.
///
/// A `Curve` holds up to sixteen. Of more, the first and the last are kept, and then, one after the
/// other, the point from which the curve through those kept is farthest off.
///
/// Law: next = the k of the largest |y(x_k) - y_k|, y() being the curve through the points so far.
///
/// Source (from memory): D. H. Douglas and T. K. Peucker, Cartographica 10 (1973) 112, who split at
/// the farthest point in the same way, with straight lines and up to a given distance.

#include <cstddef>
#include <span>
#include <vector>

namespace layshaft {

/// The points kept, and what that costs.
struct PointsKept {
  std::vector<std::size_t> positions;  ///< Ascending; all where there are no more than sixteen.
  double off;                          ///< Largest error at a point left out, unit of y.
};

/// Throws std::invalid_argument naming the point if the points are fewer than 2, not finite, or not
/// ascending in x by 1e-9 or more, or if the lengths differ.
void validate_points(std::span<const double> x, std::span<const double> y);

/// The points (x[k], y[k]) to keep. Throws as `validate_points` does.
[[nodiscard]] PointsKept keep_points(std::span<const double> x, std::span<const double> y);

/// The values at some positions.
[[nodiscard]] std::vector<double> entries_at(std::span<const double> values,
                                             std::span<const std::size_t> positions);

}  // namespace layshaft
