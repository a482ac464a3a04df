#pragma once

/// The cars of a sweep: one car with some fields replaced, row by row.

#include <string>
#include <vector>

#include "layshaft/car/fields.hpp"

namespace layshaft {

/// One row a run; `values` holds one column a path, row after row.
struct SweepPlan {
  std::vector<std::string> paths;
  std::vector<double> values;
};

class PlannedCars {
 public:
  /// Throws std::invalid_argument for an unknown path or a plan of uneven size. Both must outlive
  /// this.
  PlannedCars(const Car& car, const SweepPlan& plan);

  [[nodiscard]] std::size_t count() const { return plan_.values.size() / plan_.paths.size(); }

  /// The car of a run. Throws std::invalid_argument for a value out of range.
  [[nodiscard]] Car at(std::size_t run) const;

 private:
  const Car& car_;
  const SweepPlan& plan_;
  std::vector<std::vector<const Field*>> columns_;
};

}  // namespace layshaft
