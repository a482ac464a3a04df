#include "layshaft/laws/gear_pair.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

bool is_whole(double teeth) { return std::floor(teeth) == teeth; }

/// Involute function: tan(angle) - angle.
double involute(double angle) { return std::tan(angle) - angle; }

/// Distance along the line of action from the base tangent point to a tip circle [m].
double tangent_length(double tip, double base) {
  return std::sqrt(std::max(0.0, tip * tip - base * base));
}

/// Centre distance [m] at which the backlash is `wanted` [m]. Backlash grows with the centre
/// distance, from 0 at the nominal one, so halving finds it to the last bit.
double centre_at_backlash(const GearPair& pair, double wanted) {
  double below = nominal_centre(pair);
  double above = below;
  while (backlash(pair, above) < wanted) above += pair.module;
  for (;;) {
    const double middle = 0.5 * (below + above);
    if (!(middle > below && middle < above)) return above;
    (backlash(pair, middle) < wanted ? below : above) = middle;
  }
}

}  // namespace

void validate(const GearPair& pair) {
  const auto check = [](bool good, const char* field, double value, const char* bound) {
    require(good, "GearPair", field, value, bound);
  };
  const auto teeth = [&check](const char* field, double value) {
    check(value >= 8.0 && value <= 200.0 && is_whole(value), field, value,
          "a whole number from 8 to 200");
  };
  teeth("spur", pair.spur);
  teeth("pinion", pair.pinion);
  check(pair.module > 0.0 && pair.module < 1.0, "module", pair.module, "> 0 and < 1 m");
  check(pair.pressure_angle >= 0.17 && pair.pressure_angle <= 0.53, "pressure_angle",
        pair.pressure_angle, "from 0.17 to 0.53 rad");
  check(pair.addendum >= 0.5 && pair.addendum <= 1.3, "addendum", pair.addendum, "from 0.5 to 1.3");
  check(pair.friction >= 0.0 && pair.friction <= 0.5, "friction", pair.friction, "from 0 to 0.5");
  check(pair.efficiency > 0.0 && pair.efficiency <= 1.0, "efficiency", pair.efficiency,
        "> 0 and <= 1");
}

double base_radius(const GearPair& pair, double teeth) {
  return 0.5 * pair.module * teeth * std::cos(pair.pressure_angle);
}

double tip_radius(const GearPair& pair, double teeth) {
  return pair.module * (0.5 * teeth + pair.addendum);
}

double working_pressure_angle(const GearPair& pair, double centre) {
  const double base_sum = base_radius(pair, tooth_sum(pair));
  require(centre >= base_sum && centre < 1e3, "GearPair", "centre", centre,
          ">= the sum of the base radii");
  return std::acos(base_sum / centre);
}

double backlash(const GearPair& pair, double centre) {
  return 2.0 * centre *
         (involute(working_pressure_angle(pair, centre)) - involute(pair.pressure_angle));
}

double undercut_limit(const GearPair& pair) {
  return 2.0 * pair.addendum / square(std::sin(pair.pressure_angle));
}

ToothContact tooth_contact(const GearPair& pair, double centre, double pinion_tip,
                           double spur_tip) {
  validate(pair);
  const double angle = working_pressure_angle(pair, centre);
  const double pinion_base = base_radius(pair, pair.pinion);
  const double spur_base = base_radius(pair, pair.spur);
  const double base_pitch = kPi * pair.module * std::cos(pair.pressure_angle);
  const double line_length = centre * std::sin(angle);
  const double pinion_reach = tangent_length(pinion_tip, pinion_base);
  const double spur_reach = tangent_length(spur_tip, spur_base);
  const double approach = spur_reach - spur_base * std::tan(angle);
  const double recess = pinion_reach - pinion_base * std::tan(angle);
  const double path = approach + recess;
  const double contact_ratio = path / base_pitch;
  const double u = ratio(pair);
  const double shares = square(approach / base_pitch) + square(recess / base_pitch);
  return {.working_pressure_angle = angle,
          .approach_length = approach,
          .recess_length = recess,
          .path_length = path,
          .arc_length = path / std::cos(angle),
          .contact_ratio = contact_ratio,
          .loss_factor = kPi * (u + 1.0) / (pair.pinion * u) * (1.0 - contact_ratio + shares),
          .clear = pinion_reach <= line_length && spur_reach <= line_length};
}

ToothContact tooth_contact(const GearPair& pair, double centre) {
  return tooth_contact(pair, centre, tip_radius(pair, pair.pinion), tip_radius(pair, pair.spur));
}

double sliding_speed(const GearPair& pair, const ToothContact& contact, double pinion_speed) {
  return std::max(contact.approach_length, contact.recess_length) * std::abs(pinion_speed) *
         (1.0 + 1.0 / ratio(pair));
}

double mesh_efficiency(const GearPair& pair) {
  validate(pair);
  if (pair.loss == MeshLoss::given) return pair.efficiency;
  return 1.0 - pair.friction * tooth_contact(pair, nominal_centre(pair)).loss_factor;
}

CentreRange centres_for_backlash(const GearPair& pair, double least, double most) {
  validate(pair);
  require(least >= 0.0 && least <= most, "shared_centres", "least", least, ">= 0 and <= most");
  require(most <= pair.module, "shared_centres", "most", most, "<= module");
  return {.lowest = centre_at_backlash(pair, least), .highest = centre_at_backlash(pair, most)};
}

CentreRange shared_centres(const GearPair& first, const GearPair& second, double least,
                           double most) {
  const CentreRange a = centres_for_backlash(first, least, most);
  const CentreRange b = centres_for_backlash(second, least, most);
  return {.lowest = std::max(a.lowest, b.lowest), .highest = std::min(a.highest, b.highest)};
}

bool is_standard_module(double module) {
  constexpr std::array kStandard = {0.3, 0.4,  0.5, 0.6, 0.7, 0.8, 0.9,
                                    1.0, 1.25, 1.5, 2.0, 2.5, 3.0};  // [mm]
  constexpr double kRounding = 1e-9;  // a millimetre value turned into metres and back
  return std::any_of(kStandard.begin(), kStandard.end(), [module](double standard) {
    return std::abs(module * 1e3 - standard) < kRounding;
  });
}

}  // namespace layshaft
