#include "layshaft/laws/flat_belt.hpp"

#include <algorithm>
#include <cmath>

#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

/// The offset that tilts the spans: difference of the radii, or their sum when crossed [m].
double tilt_offset(const PulleyPair& pulleys) {
  return pulleys.run == BeltRun::kOpen ? std::abs(pulleys.in_radius - pulleys.out_radius)
                                       : pulleys.in_radius + pulleys.out_radius;
}

double tilt(const PulleyPair& pulleys) { return std::asin(tilt_offset(pulleys) / pulleys.centre); }

PulleyPair open_pair(double in_radius, double out_radius, double centre) {
  return {
      .in_radius = in_radius, .out_radius = out_radius, .centre = centre, .run = BeltRun::kOpen};
}

}  // namespace

void validate(const PulleyPair& pulleys) {
  const auto check = [](bool good, const char* field, double value, const char* bound) {
    require(good, "PulleyPair", field, value, bound);
  };
  check(pulleys.in_radius > 0.0 && pulleys.in_radius < 1e3, "in_radius", pulleys.in_radius,
        "> 0 and finite");
  check(pulleys.out_radius > 0.0 && pulleys.out_radius < 1e3, "out_radius", pulleys.out_radius,
        "> 0 and finite");
  check(pulleys.centre >= pulleys.in_radius + pulleys.out_radius && pulleys.centre < 1e6, "centre",
        pulleys.centre, ">= the sum of the radii");
}

double span_length(const PulleyPair& pulleys) {
  validate(pulleys);
  return std::sqrt(square(pulleys.centre) - square(tilt_offset(pulleys)));
}

double belt_length(const PulleyPair& pulleys) {
  const double sum = pulleys.in_radius + pulleys.out_radius;
  // The larger pulley gains what the smaller loses when open; both gain when crossed.
  return 2.0 * span_length(pulleys) + kPi * sum + 2.0 * tilt(pulleys) * tilt_offset(pulleys);
}

double belt_length_three_terms(const PulleyPair& pulleys) {
  validate(pulleys);
  return 2.0 * pulleys.centre + kPi * (pulleys.in_radius + pulleys.out_radius) +
         square(tilt_offset(pulleys)) / pulleys.centre;
}

double least_wrap(const PulleyPair& pulleys) {
  validate(pulleys);
  const double turn = 2.0 * tilt(pulleys);
  return pulleys.run == BeltRun::kOpen ? kPi - turn : kPi + turn;
}

double centre_for_length(double in_radius, double out_radius, double length) {
  const double below = in_radius + out_radius;
  const double shortest = belt_length(open_pair(in_radius, out_radius, below));
  require(length >= shortest && length < 1e6, "centre_for_length", "length", length,
          ">= the belt around pulleys that touch");
  // The length is convex in the centre distance, with the slope 2 cos(tilt), so Newton's rule from
  // above comes down to the root and stops where rounding no longer lets it.
  double centre = std::max(0.5 * (length - kPi * below), below);
  for (;;) {
    const PulleyPair pulleys = open_pair(in_radius, out_radius, centre);
    const double slope = 2.0 * span_length(pulleys) / centre;
    const double next = std::max(centre - (belt_length(pulleys) - length) / slope, below);
    if (!(next < centre)) return centre;
    centre = next;
  }
}

double centre_for_length_three_terms(double in_radius, double out_radius, double length) {
  const double straight = length - kPi * (in_radius + out_radius);
  const double offset = in_radius - out_radius;
  const double root = square(straight) - 8.0 * square(offset);
  require(straight > 0.0 && root >= 0.0, "centre_for_length_three_terms", "length", length,
          "long enough to go round both pulleys");
  return 0.25 * (straight + std::sqrt(root));
}

}  // namespace layshaft
