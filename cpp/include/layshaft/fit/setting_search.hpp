#pragma once

/// The best value of one setting within a range: a grid over all of it, then a search by Brent's
/// method between the neighbours of the grid's best.
///
/// What is narrower than a step of the grid may be stepped over. A search finds the least of a cost
/// that has one valley between the neighbours, else one of its valleys; never anything worse than
/// its start.
///
/// Source: Brent, Algorithms for Minimization without Derivatives (1973), chapter 5, as
/// Boost.Math's `brent_find_minima`.

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "layshaft/fit/setting.hpp"
#include "layshaft/run/launch.hpp"

namespace layshaft {

/// What a run at a setting is worth.
struct Judged {
  double cost;           ///< The lower the better; infinite where the goal is not reached.
  double excess = -1.0;  ///< By what share the worst limit is passed; kept up to 0.
};

using Judge = std::function<Judged(double setting)>;

/// What counts in a search.
struct Aim {
  bool is_target;  ///< The cost is a distance to a target, so that 0 is the least.
  double within;   ///< Loss that counts as none, >= 0.
};

struct SettingFound {
  double setting;
  double cost;
};

/// Searches from `start`, which keeps the limits, between its neighbours `low` and `high`, to
/// `kFinest` of their distance. Throws std::invalid_argument unless low <= start <= high and
/// low < high.
[[nodiscard]] SettingFound refine(const Judge& judge, const Aim& aim, const SettingFound& start,
                                  double low, double high);

/// A search ends at this share of the distance between the neighbours: of a range of 1.6 mm and its
/// grid, at 0.002 mm.
inline constexpr double kFinest = 5e-3;

/// Upper limit of a scalar of a launch.
struct Limit {
  std::string scalar;
  double most;
};

/// What a setting of a launch should achieve.
struct Goal {
  std::string measure;           ///< As that of an `Observation`.
  std::optional<double> target;  ///< Aimed at; none for as low as it goes.
  double within;                 ///< Loss that counts as none, >= 0.
  LaunchOptions options;
  std::vector<Limit> limits;
};

struct BestSetting {
  double setting;
  double cost;         ///< In the unit of the measure.
  double shown;        ///< What the measure is there.
  double step;         ///< Of the grid.
  std::size_t tried;   ///< Settings of the grid.
  std::size_t missed;  ///< Of them: do not reach the goal.
};

/// Finds it between `low` and `high`; nothing where no setting reaches the goal and keeps the
/// limits. `threads` as for `predict`. Throws std::invalid_argument for bad input before any work.
[[nodiscard]] std::optional<BestSetting> best_setting(const Car& car, const std::string& path,
                                                      double low, double high, const Goal& goal,
                                                      unsigned threads = 0);

}  // namespace layshaft
