#pragma once

/// Least squares between bounds: Gauss-Newton steps, shortened where they go too far.
///
///     minimise |r(x)|^2 over low <= x <= high, with slopes J = dr/dx
///     step: minimise |r + J s|^2 over low <= x + s <= high
///
/// Numbers that a step takes beyond a bound are pinned there and the others found again. Where a
/// step lowers the sum by less than half of what straight residuals would, it is shortened to where
/// a parabola through what is known has its least; so is the next. Far from linear residuals this
/// ends in the nearest valley, as all such methods do.
///
/// Source of the shortening: Dennis & Schnabel, Numerical Methods for Unconstrained Optimization
/// and Nonlinear Equations (1983), section 6.3, from memory. Held against certified values of
/// NIST's reference datasets in `tests/cpp/least_squares_test.cpp`.

#include <functional>
#include <span>
#include <string_view>
#include <vector>

namespace layshaft {

/// Residuals at a point, and how they change there.
struct FitLook {
  std::vector<double> residuals;
  std::vector<double> slopes;  ///< Residuals x numbers, row after row.
};

/// Works out both at a point; must give as many residuals each time, finite numbers all.
using Looking = std::function<FitLook(std::span<const double> at)>;

/// One of each for each number; infinite where there is none.
struct FitBounds {
  std::vector<double> low;
  std::vector<double> high;
};

struct FitOptions {
  /// It has settled once the next step would change the residuals by less than this, in the root
  /// of the sum of squares; where residuals are in standard errors, this is a share of one.
  double settled = 1e-7;
  int most_looks = 30;
};

/// Why a fit ended.
enum class FitEnd {
  settled,     ///< At a valley, or as low as the bounds allow.
  rough,       ///< Within a thousandth of a valley: jumps or kinks of the residuals hide the rest.
  most_looks,  ///< Not yet there.
};

struct Fit {
  std::vector<double> at;
  FitLook look;  ///< There.
  int looks;     ///< How many were taken.
  FitEnd end;
};

/// Throws std::invalid_argument for bounds that do not hold the start, and for residuals that are
/// no numbers.
[[nodiscard]] Fit least_squares(const Looking& looking, std::vector<double> start,
                                const FitBounds& bounds, const FitOptions& options = {});

[[nodiscard]] constexpr std::string_view to_string(FitEnd end) {
  switch (end) {
    case FitEnd::settled: return "settled";
    case FitEnd::rough: return "rough";
    case FitEnd::most_looks: return "most_looks";
  }
  return "unknown";
}

}  // namespace layshaft
