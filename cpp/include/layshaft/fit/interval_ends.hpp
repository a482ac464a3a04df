#pragma once

/// How far each number of a fit may go while the sum of squares S stays near its least.
///
/// An end of the 95 % interval of a number is the furthest point with S <= S_least + 1.96^2, all
/// other numbers being fitted anew there. Where the residuals bend or kink within the interval (a
/// drum that locks before the engine has peaked, grip that no longer limits) this goes as far as
/// they let it go, and another way up than down; where they do not, it is the value +/- 1.96
/// standard deviations.
///
/// Each end is sought by itself, from where the linearised problem has it: the furthest point in
/// the ellipsoid |r + J d|^2 <= limit, J being taken anew at each point. Steps that turn round are
/// halved; an end that another search has passed is sought on from there, as in a bent valley. What
/// is not settled so, and what is far beyond, as where the residuals are silent to one side of a
/// place and loud to the other, is halved between the furthest point within and the one beyond it.
///
/// Where what was seen pulls so hard beyond a bound that no room is found before it, the sum of
/// squares says that something is wrong, not that the number is known: it keeps the 1.96 standard
/// deviations of the linearised problem, within its bounds.
///
/// Source: profile likelihood, found as by Venzon and Moolgavkar, Applied Statistics 37 (1988), "A
/// method for computing profile-likelihood-based confidence intervals" (from memory).

#include <functional>
#include <span>
#include <vector>

#include "layshaft/fit/least_squares.hpp"

namespace layshaft {

/// Standard deviations to either side that hold 95 % of a normal distribution.
inline constexpr double kWidth95 = 1.959964;

/// Residuals and slopes at each of some points, as `Looking` gives them.
using LookingAround =
    std::function<std::vector<FitLook>(std::span<const std::vector<double>> points)>;

/// Least and greatest of each number, to two hundredths of their distance from the fit. The slopes
/// must tell of each number, as those of its guess do.
[[nodiscard]] FitBounds interval_ends(const LookingAround& looking, const Fit& fit,
                                      const FitBounds& bounds);

}  // namespace layshaft
