#include "layshaft/fit/setting.hpp"

#include <algorithm>

namespace layshaft {

Changes::Changes(std::span<const Point* const> points) {
  std::vector<std::pair<const Field*, double>> single;
  for (const Point* point : points) {
    for (const Setting& setting : *point) {
      const std::vector<const Field*> found = fields_of(setting.path);
      auto& among = found.size() > 1 ? fields_ : single;
      for (const Field* field : found) among.emplace_back(field, setting.value);
    }
  }
  fields_.insert(fields_.end(), single.begin(), single.end());
}

Car Changes::of(const Car& car) const {
  Car changed = car;
  for (const auto& [field, value] : fields_) {
    check_range(*field, value);
    field->set(changed, value);
  }
  return changed;
}

}  // namespace layshaft
