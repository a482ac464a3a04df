#include "layshaft/run/sweep_plan.hpp"

#include <stdexcept>

namespace layshaft {

PlannedCars::PlannedCars(const Car& car, const SweepPlan& plan) : car_(car), plan_(plan) {
  for (const std::string& path : plan.paths) columns_.push_back(fields_of(path));
  if (plan.paths.empty() || plan.values.size() % plan.paths.size() != 0) {
    throw std::invalid_argument("SweepPlan.values must hold one value for each path and run");
  }
}

Car PlannedCars::at(std::size_t run) const {
  Car changed = car_;
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    const double value = plan_.values[run * columns_.size() + i];
    for (const Field* field : columns_[i]) {
      check_range(*field, value);
      field->set(changed, value);
    }
  }
  return changed;
}

}  // namespace layshaft
