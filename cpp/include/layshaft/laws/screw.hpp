#pragma once

/// Metric screw threads, and the turns between two caliper readings.
///
/// Sign: positive turns screw in. What a caliper reads over the screw falls in some arrangements
/// and rises in others as the screw goes in; every reading comes with its `ReadingDirection`.
/// Equation: travel in = sign (old reading - new reading) = turns * pitch.
/// Source: ISO 261 (coarse pitches); ISO 724: d2 = d - 0.649519 P, d1 = d - 1.082532 P.

#include <array>
#include <string>

#include "layshaft/number/bounds.hpp"

namespace layshaft {

/// One coarse thread.
struct CoarseThread {
  double nominal_diameter;  ///< Major diameter [m].
  double pitch;             ///< Advance in one turn [m].
  bool operator==(const CoarseThread&) const = default;
};

/// What a caliper reading does as the screw goes in.
enum class ReadingDirection { falls_as_screw_goes_in, rises_as_screw_goes_in };

/// Coarse pitches of small screws. Source: ISO 261.
inline constexpr std::array<CoarseThread, 5> kCoarseThreads{{{2.0e-3, 0.40e-3},
                                                             {2.5e-3, 0.45e-3},
                                                             {3.0e-3, 0.50e-3},
                                                             {4.0e-3, 0.70e-3},
                                                             {5.0e-3, 0.80e-3}}};

/// Throws std::invalid_argument unless both lengths are above zero and the pitch leaves a core.
inline void validate(const CoarseThread& thread) {
  require(thread.nominal_diameter > 0.0, "CoarseThread", "nominal_diameter",
          thread.nominal_diameter, "> 0");
  require(thread.pitch > 0.0 && thread.pitch < 0.5 * thread.nominal_diameter, "CoarseThread",
          "pitch", thread.pitch, "> 0 and below half the nominal diameter");
}

/// Coarse thread of a listed size; throws std::invalid_argument for a size that is not listed.
/// `nominal_diameter` [m] must lie within a micrometre of the listed one.
[[nodiscard]] inline CoarseThread coarse_thread(double nominal_diameter) {
  for (const CoarseThread& thread : kCoarseThreads) {
    const double difference = nominal_diameter - thread.nominal_diameter;
    if (difference > -1e-6 && difference < 1e-6) return thread;
  }
  refuse("CoarseThread", "nominal_diameter", nominal_diameter, "2, 2.5, 3, 4 or 5 mm");
}

/// Pitch diameter d2 [m].
[[nodiscard]] inline double pitch_diameter(const CoarseThread& thread) {
  return thread.nominal_diameter - 0.649519 * thread.pitch;
}

/// Minor diameter of the internal thread d1 [m].
[[nodiscard]] inline double minor_diameter(const CoarseThread& thread) {
  return thread.nominal_diameter - 1.082532 * thread.pitch;
}

/// +1 where the reading falls as the screw goes in, -1 where it rises [-].
[[nodiscard]] constexpr double reading_sign(ReadingDirection direction) {
  return direction == ReadingDirection::falls_as_screw_goes_in ? 1.0 : -1.0;
}

/// Travel of the screw inwards [m] between two readings [m].
[[nodiscard]] constexpr double travel_in(double old_reading, double new_reading,
                                         ReadingDirection direction) {
  return reading_sign(direction) * (old_reading - new_reading);
}

/// Turns in [-] (negative: out) that bring one reading [m] to another with this pitch [m], > 0.
[[nodiscard]] inline double turns_between(double old_reading, double new_reading, double pitch,
                                          ReadingDirection direction) {
  require(pitch > 0.0, "screw", "pitch", pitch, "> 0");
  return travel_in(old_reading, new_reading, direction) / pitch;
}

/// Reading [m] after so many turns in [-].
[[nodiscard]] inline double reading_after(double reading, double turns, double pitch,
                                          ReadingDirection direction) {
  require(pitch > 0.0, "screw", "pitch", pitch, "> 0");
  return reading - reading_sign(direction) * turns * pitch;
}

[[nodiscard]] inline std::string to_string(ReadingDirection direction) {
  return direction == ReadingDirection::falls_as_screw_goes_in ? "falls_as_screw_goes_in"
                                                               : "rises_as_screw_goes_in";
}

}  // namespace layshaft
