#include "layshaft/fit/observation.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string_view>

#include "layshaft/number/bounds.hpp"
#include "layshaft/run/scalars.hpp"

namespace layshaft {
namespace {

constexpr std::string_view kTime = "time";

}  // namespace

std::optional<std::size_t> scalar_of(const std::string& measure) {
  if (measure == kTime) return std::nullopt;
  const auto found = std::ranges::find(scalars(), measure, &Scalar::name);
  if (found == scalars().end()) {
    throw std::invalid_argument("Observation.measure = " + measure +
                                " must be time or a scalar of a launch");
  }
  return static_cast<std::size_t>(found - scalars().begin());
}

LaunchOptions with_mark(LaunchOptions options) {
  if (options.distance_marks.empty()) options.distance_marks.push_back(options.distance);
  return options;
}

void validate(const Observation& observation) {
  (void)scalar_of(observation.measure);
  require(std::isfinite(observation.value), "Observation", "value", observation.value, "finite");
  require(observation.error > 0.0 && std::isfinite(observation.error), "Observation", "error",
          observation.error, "> 0");
  for (const Setting& setting : observation.changes) {
    for (const Field* field : fields_of(setting.path)) check_range(*field, setting.value);
  }
  validate(observation.options);
}

}  // namespace layshaft
