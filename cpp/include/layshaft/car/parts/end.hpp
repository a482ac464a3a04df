#pragma once

/// The two ends of the car: parts that are there once for each are templates over it.

#include <array>
#include <cstdint>
#include <string_view>

namespace layshaft::parts {

enum class End : std::uint8_t { rear, front };

/// What lies under the car: corners take grip on a track only.
enum class Road : std::uint8_t { straight, track };

/// The name of one end's quantity.
template <End end>
[[nodiscard]] constexpr std::string_view at(std::string_view rear, std::string_view front) {
  return end == End::rear ? rear : front;
}

}  // namespace layshaft::parts
