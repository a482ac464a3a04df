#include "layshaft/laws/curve_points.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>

#include "layshaft/laws/curve.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

/// Least way between two points: with the bounds on the values no coefficient overflows.
constexpr double kLeastStep = 1e-9;

std::string entry(const char* array, std::size_t index) {
  return std::string(array) + '[' + std::to_string(index) + ']';
}

}  // namespace

void validate_points(std::span<const double> x, std::span<const double> y) {
  require(x.size() >= 2, "Curve", "x.size", static_cast<double>(x.size()), ">= 2");
  require(y.size() == x.size(), "Curve", "y.size", static_cast<double>(y.size()),
          "the same as x.size");
  // The names of the entries are put together for a bad one only: this runs for every car of a
  // sweep.
  for (std::size_t k = 0; k < x.size(); ++k) {
    if (!(std::abs(x[k]) <= 1e100)) refuse("Curve", entry("x", k), x[k], "finite");
    if (!(std::abs(y[k]) <= 1e100)) refuse("Curve", entry("y", k), y[k], "finite");
    if (k > 0 && !(x[k] > x[k - 1])) refuse("Curve", entry("x", k), x[k], "> " + entry("x", k - 1));
    if (k > 0 && !(x[k] - x[k - 1] >= kLeastStep)) {
      refuse("Curve", entry("x", k), x[k], entry("x", k - 1) + " + 1e-9 or more");
    }
  }
}

std::vector<double> entries_at(std::span<const double> values,
                               std::span<const std::size_t> positions) {
  std::vector<double> found;
  for (const std::size_t position : positions) found.push_back(values[position]);
  return found;
}

PointsKept keep_points(std::span<const double> x, std::span<const double> y) {
  validate_points(x, y);
  if (x.size() <= kMaxKnots) {
    std::vector<std::size_t> all(x.size());
    std::iota(all.begin(), all.end(), 0);
    return {all, 0.0};
  }
  std::vector<std::size_t> kept{0, x.size() - 1};
  while (true) {
    const CurveLaw<double> law =
        make_curve_law(make_curve(entries_at(x, kept), entries_at(y, kept)));
    std::size_t farthest = 0;
    double off = 0.0;
    for (std::size_t k = 0; k < x.size(); ++k) {
      const double miss = std::abs(curve_value(law, x[k]) - y[k]);
      if (miss > off) farthest = k;
      off = std::max(off, miss);
    }
    if (kept.size() == kMaxKnots || off == 0.0) return {kept, off};
    kept.insert(std::ranges::upper_bound(kept, farthest), farthest);
  }
}

}  // namespace layshaft
