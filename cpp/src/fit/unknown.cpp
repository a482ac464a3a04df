#include "layshaft/fit/unknown.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <string_view>

#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

// Only the group can be learned.
struct Followed {
  std::string_view path;
  std::string_view follower;
};
constexpr std::array kFollowed{
    Followed{"two_speed.friction", "two_speed.static_friction"},
    Followed{"clutch.axial.friction", "clutch.axial.static_friction"},
    Followed{"clutch.thrown_shoes.friction", "clutch.thrown_shoes.static_friction"},
    Followed{"rear_tyre.friction_peak", "front_tyre.friction_peak"},
    Followed{"rear_tyre.rolling_resistance", "front_tyre.rolling_resistance"},
};

// A follower keeps this far within its range, for the round-off of its ratio [-].
constexpr double kRoundOff = 1e-12;

// That of the path, which must be a plain number.
const Field& number_field(const std::string& path) {
  for (const Field* field : fields_of(path)) {
    if (field->kind != FieldKind::number) {
      throw std::invalid_argument("Unknown.path = " + path + " must be a plain number");
    }
  }
  return *fields_of(path).front();
}

double value_at(const Unknown& unknown, double share) {
  // Exactly on the bound, which the sum may miss by its round-off.
  if (share >= (unknown.high - unknown.guess) / unknown.doubt) return unknown.high;
  if (share <= (unknown.low - unknown.guess) / unknown.doubt) return unknown.low;
  return std::clamp(unknown.guess + share * unknown.doubt, unknown.low, unknown.high);
}

}  // namespace

void validate(const Unknown& unknown) {
  const Field& field = number_field(unknown.path);
  require(unknown.low >= field.minimum, unknown.path, "low", unknown.low,
          "at least the field's minimum");
  require(unknown.high <= field.maximum, unknown.path, "high", unknown.high,
          "at most the field's maximum");
  require(unknown.low < unknown.high, unknown.path, "high", unknown.high, "above the low bound");
  require(unknown.guess >= unknown.low && unknown.guess <= unknown.high, unknown.path, "guess",
          unknown.guess, "between its bounds");
  require(unknown.doubt > 0.0 && std::isfinite(unknown.doubt), unknown.path, "doubt", unknown.doubt,
          "> 0");
  for (const Follower& follower : unknown.followers) {
    (void)number_field(follower.path);
    require(std::isfinite(follower.ratio), follower.path, "ratio", follower.ratio, "finite");
  }
}

std::vector<Follower> followers_of(const Car& car, const std::string& path) {
  const double value = get_field(car, path);
  std::vector<Follower> followers;
  for (const auto& [followed, follower] : kFollowed) {
    if (followed != path) continue;
    followers.push_back({std::string(follower), get_field(car, follower) / value});
  }
  return followers;
}

LearnableRange learnable_range(const Car& car, const std::string& path) {
  const Field& field = number_field(path);
  LearnableRange range{field.minimum, field.maximum};
  for (const Follower& follower : followers_of(car, path)) {
    if (!(follower.ratio > 0.0)) continue;
    const Field& own = number_field(follower.path);
    range.low = std::max(range.low, own.minimum / follower.ratio * (1.0 + kRoundOff));
    range.high = std::min(range.high, own.maximum / follower.ratio * (1.0 - kRoundOff));
  }
  return range;
}

Unknown unknown_of(const Car& car, const std::string& path, double doubt) {
  const auto [low, high] = learnable_range(car, path);
  Unknown unknown{path, get_field(car, path), doubt, low, high, followers_of(car, path)};
  validate(unknown);
  return unknown;
}

Point point_at(std::span<const Unknown> unknowns, std::span<const double> shares) {
  if (shares.size() != unknowns.size()) {
    throw std::invalid_argument("shares must be as many as the unknowns");
  }
  Point point;
  for (std::size_t i = 0; i < unknowns.size(); ++i) {
    const double value = value_at(unknowns[i], shares[i]);
    point.push_back({unknowns[i].path, value});
    for (const Follower& follower : unknowns[i].followers) {
      point.push_back({follower.path, follower.ratio * value});
    }
  }
  return point;
}

}  // namespace layshaft
