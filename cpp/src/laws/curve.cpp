#include "layshaft/laws/curve.hpp"

#include <cmath>

#include "layshaft/laws/curve_points.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

/// Farther than any abscissa allowed by `validate`: a piece that starts here is never reached.
constexpr double kNeverReached = 1e300;

using Slopes = std::array<double, kMaxKnots>;

double step(const Curve& curve, std::size_t k) { return curve.x[k + 1] - curve.x[k]; }

double secant(const Curve& curve, std::size_t k) {
  return (curve.y[k + 1] - curve.y[k]) / step(curve, k);
}

/// Slope at an inner knot k, with the secants before and after it.
double inner_slope(const Curve& curve, std::size_t k) {
  const double before = secant(curve, k - 1);
  const double after = secant(curve, k);
  if (!(before * after > 0.0)) return 0.0;
  const double weight_before = 2.0 * step(curve, k) + step(curve, k - 1);
  const double weight_after = step(curve, k) + 2.0 * step(curve, k - 1);
  return (weight_before + weight_after) / (weight_before / before + weight_after / after);
}

/// Slope at an end: `near` the secant and step that touch the end, `far` the next ones inward.
double end_slope(double near_step, double far_step, double near_secant, double far_secant) {
  const double slope = ((2.0 * near_step + far_step) * near_secant - near_step * far_secant) /
                       (near_step + far_step);
  if (!(slope * near_secant > 0.0)) return 0.0;
  const bool turns = near_secant * far_secant <= 0.0;
  const bool too_steep = std::abs(slope) > 3.0 * std::abs(near_secant);
  return turns && too_steep ? 3.0 * near_secant : slope;
}

Slopes knot_slopes(const Curve& curve) {
  Slopes slopes{};
  const std::size_t last = curve.count - 1;
  if (curve.count == 2) {
    slopes[0] = slopes[1] = secant(curve, 0);
    return slopes;
  }
  for (std::size_t k = 1; k < last; ++k) slopes[k] = inner_slope(curve, k);
  slopes[0] = end_slope(step(curve, 0), step(curve, 1), secant(curve, 0), secant(curve, 1));
  slopes[last] = end_slope(step(curve, last - 1), step(curve, last - 2), secant(curve, last - 1),
                           secant(curve, last - 2));
  return slopes;
}

}  // namespace

void validate(const Curve& curve) {
  require(curve.count >= 2 && curve.count <= kMaxKnots, "Curve", "count",
          static_cast<double>(curve.count), "from 2 to 16");
  const std::span x(curve.x);
  const std::span y(curve.y);
  validate_points(x.first(curve.count), y.first(curve.count));
}

Curve make_curve(std::span<const double> x, std::span<const double> y) {
  require(x.size() >= 2 && x.size() <= kMaxKnots, "Curve", "x.size", static_cast<double>(x.size()),
          "from 2 to 16");
  validate_points(x, y);
  Curve curve{.count = x.size(), .x = {}, .y = {}};
  for (std::size_t k = 0; k < x.size(); ++k) {
    curve.x[k] = x[k];
    curve.y[k] = y[k];
  }
  return curve;
}

CurveLaw<double> make_curve_law(const Curve& curve) {
  validate(curve);
  const Slopes slopes = knot_slopes(curve);
  CurveLaw<double> law{};
  law.starts.fill(kNeverReached);
  // `interval_of` compares from entry 1 on, so entry 0 is free to hold where piece 0 is expanded.
  law.starts[0] = curve.x[0];
  law.constant[0] = curve.y[0];
  law.linear[0] = slopes[0];
  for (std::size_t k = 0; k < curve.count; ++k) {
    const std::size_t piece = k + 1;
    law.starts[piece] = curve.x[k];
    law.constant[piece] = curve.y[k];
    law.linear[piece] = slopes[k];
    if (piece == curve.count) break;
    const double width = step(curve, k);
    const double rise = secant(curve, k);
    law.quadratic[piece] = (3.0 * rise - 2.0 * slopes[k] - slopes[k + 1]) / width;
    law.cubic[piece] = (slopes[k] + slopes[k + 1] - 2.0 * rise) / (width * width);
  }
  return law;
}

}  // namespace layshaft
