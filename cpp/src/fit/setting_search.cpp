#include "layshaft/fit/setting_search.hpp"

#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "layshaft/fit/prediction.hpp"
#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();
constexpr std::size_t kGrid = 11;
constexpr std::uintmax_t kMostRuns = 60;
// In units of what counts as no loss; of a run that fails.
constexpr double kWorst = 1e3;
constexpr double kLeastWithin = 1e-9;

// Cost in units of what counts as no loss; squared, it is smooth where a target is met. What
// passes a limit is worse than the start, the more so the further.
double objective(const Judged& judged, const Aim& aim, double start_cost) {
  const double scale = std::max(aim.within, kLeastWithin);
  const auto square = [](double value) { return value * value; };
  const auto worth = [&](double cost) {
    return aim.is_target ? square(std::min(cost / scale, kWorst))
                         : std::min((cost - start_cost) / scale, kWorst);
  };
  if (judged.excess <= 0.0) return worth(judged.cost);
  return worth(start_cost) + 1.0 + std::min(judged.excess, kWorst);
}

// The measure and the limited scalars as predictions; what was "seen" of them does not matter.
std::vector<Observation> looks_of(const Goal& goal) {
  std::vector<Observation> looks{{goal.measure, 0.0, 1.0, {}, goal.options}};
  for (const Limit& limit : goal.limits) {
    looks.push_back({limit.scalar, 0.0, 1.0, {}, goal.options});
  }
  return looks;
}

// Of a row of predictions.
Judged judged(const double* shown, const Goal& goal) {
  const double cost = goal.target ? std::abs(shown[0] - *goal.target) : shown[0];
  Judged result{std::isfinite(cost) ? cost : kInfinite};
  for (std::size_t i = 0; i < goal.limits.size(); ++i) {
    const double most = goal.limits[i].most;
    const double value = shown[i + 1];
    if (value <= most) continue;
    const double excess = value / most - 1.0;
    // Not a number, or a limit that is no scale.
    result.excess = std::max(result.excess, excess > 0.0 ? excess : 1.0);
  }
  return result;
}

void check(const std::string& path, double low, double high, const Goal& goal) {
  for (const Field* field : fields_of(path)) {
    check_range(*field, low);
    check_range(*field, high);
    if (field->kind != FieldKind::number) {
      throw std::invalid_argument(path + ": takes single values, not a range");
    }
  }
  require(low < high, path, "high", high, "above the low end of the range");
  require(goal.within >= 0.0, "Goal", "within", goal.within, ">= 0");
  if (goal.target) {
    require(std::isfinite(*goal.target), "Goal", "target", *goal.target, "finite");
  }
  for (const Limit& limit : goal.limits) {
    require(std::isfinite(limit.most), "Limit", "most", limit.most, "finite");
  }
}

}  // namespace

SettingFound refine(const Judge& judge, const Aim& aim, const SettingFound& start, double low,
                    double high) {
  require(low < high, "Search", "high", high, "above its low end");
  require(low <= start.setting && start.setting <= high, "Search", "start", start.setting,
          "between its ends");
  SettingFound best = start;
  const auto look = [&](double place) {
    // From 1 to 2, so that the method's relative precision is one of the width.
    const double setting = std::clamp(low + (place - 1.0) * (high - low), low, high);
    const Judged found = judge(setting);
    if (found.excess <= 0.0 && found.cost < best.cost) best = {setting, found.cost};
    return objective(found, aim, start.cost);
  };
  const int bits = static_cast<int>(std::ceil(1.0 - std::log2(kFinest)));
  std::uintmax_t runs = kMostRuns;
  (void)boost::math::tools::brent_find_minima(look, 1.0, 2.0, bits, runs);
  return best;
}

std::optional<BestSetting> best_setting(const Car& car, const std::string& path, double low,
                                        double high, const Goal& goal, unsigned threads) {
  check(path, low, high, goal);
  const std::vector<Observation> looks = looks_of(goal);
  const double step = (high - low) / static_cast<double>(kGrid - 1);
  std::vector<Point> grid;
  for (std::size_t i = 0; i < kGrid; ++i) {
    grid.push_back({{path, i + 1 < kGrid ? low + static_cast<double>(i) * step : high}});
  }
  const std::vector<double> shown = predict(car, looks, grid, threads);
  SettingFound start{low, kInfinite};
  std::size_t missed = 0;
  for (std::size_t i = 0; i < kGrid; ++i) {
    const Judged found = judged(&shown[i * looks.size()], goal);
    if (!std::isfinite(found.cost)) ++missed;
    if (found.excess <= 0.0 && found.cost < start.cost) start = {grid[i][0].value, found.cost};
  }
  if (!std::isfinite(start.cost)) return std::nullopt;
  const auto look = [&](double setting) {
    const Point point{{path, setting}};
    return predict(car, looks, {&point, 1}, 1);
  };
  const SettingFound best =
      refine([&](double setting) { return judged(look(setting).data(), goal); },
             {goal.target.has_value(), goal.within}, start, std::max(low, start.setting - step),
             std::min(high, start.setting + step));
  return BestSetting{best.setting, best.cost, look(best.setting)[0], step, kGrid, missed};
}

}  // namespace layshaft
