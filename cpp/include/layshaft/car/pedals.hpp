#pragma once

/// Throttle and brake over time: straight lines between kinks, level outside them.
///
/// A run hits each kink exactly: between two of them the pedals follow one *line*, which
/// goes on past its end while a step looks ahead.

#include <array>
#include <cstddef>
#include <limits>
#include <span>

#include "layshaft/number/bounds.hpp"

namespace layshaft {

inline constexpr std::size_t kMostKinks = 16;

/// Kinks; `count` may be 0 (nothing pressed). Entries from `count` on are 0.
struct Pedals {
  std::size_t count;
  std::array<double, kMostKinks> time;      ///< [s], strictly ascending.
  std::array<double, kMostKinks> throttle;  ///< Opening asked for [-], 0..1.
  std::array<double, kMostKinks> brake;     ///< Pedal [-], 0..1.
  bool operator==(const Pedals&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
inline void validate(const Pedals& pedals) {
  require(pedals.count <= kMostKinks, "Pedals", "count", static_cast<double>(pedals.count),
          "at most 16");
  for (std::size_t i = 0; i < pedals.count; ++i) {
    require(pedals.throttle[i] >= 0.0 && pedals.throttle[i] <= 1.0, "Pedals", "throttle",
            pedals.throttle[i], "from 0 to 1");
    require(pedals.brake[i] >= 0.0 && pedals.brake[i] <= 1.0, "Pedals", "brake", pedals.brake[i],
            "from 0 to 1");
    const double previous = i == 0 ? -std::numeric_limits<double>::max() : pedals.time[i - 1];
    require(pedals.time[i] > previous && pedals.time[i] < 1e9, "Pedals", "time", pedals.time[i],
            "ascending");
  }
}

/// Pedals from rows of (time [s], throttle [-], brake [-]). Throws as `validate`.
[[nodiscard]] inline Pedals make_pedals(std::span<const std::array<double, 3>> rows) {
  require(rows.size() <= kMostKinks, "Pedals", "count", static_cast<double>(rows.size()),
          "at most 16");
  Pedals pedals{};
  pedals.count = rows.size();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    pedals.time[i] = rows[i][0];
    pedals.throttle[i] = rows[i][1];
    pedals.brake[i] = rows[i][2];
  }
  validate(pedals);
  return pedals;
}

/// One straight line: value = offset + slope * time.
template <class Real>
struct PedalLine {
  Real throttle_offset;
  Real throttle_slope;  ///< [1/s]
  Real brake_offset;
  Real brake_slope;  ///< [1/s]
};

/// The line of a number: 0 before the first kink, `count` after the last.
[[nodiscard]] inline PedalLine<double> pedal_line(const Pedals& pedals, std::size_t line) {
  if (pedals.count == 0) return {0.0, 0.0, 0.0, 0.0};
  if (line == 0) return {pedals.throttle[0], 0.0, pedals.brake[0], 0.0};
  const std::size_t a = line - 1;
  if (line >= pedals.count) {
    return {pedals.throttle[pedals.count - 1], 0.0, pedals.brake[pedals.count - 1], 0.0};
  }
  const double span = pedals.time[line] - pedals.time[a];
  const double throttle_slope = (pedals.throttle[line] - pedals.throttle[a]) / span;
  const double brake_slope = (pedals.brake[line] - pedals.brake[a]) / span;
  return {pedals.throttle[a] - throttle_slope * pedals.time[a], throttle_slope,
          pedals.brake[a] - brake_slope * pedals.time[a], brake_slope};
}

/// Time at which a line ends [s]; infinity for the last.
[[nodiscard]] inline double line_end(const Pedals& pedals, std::size_t line) {
  return line < pedals.count ? pedals.time[line] : std::numeric_limits<double>::infinity();
}

}  // namespace layshaft
