#pragma once

/// What each coupling and each switch of a network is doing, and the record of its changes.
///
/// Sign: slip = row * speeds; a positive coupling torque brakes positive slip, so torque * slip >=
/// 0 is power lost. A coupling's torque stays inside [low, high].

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <string_view>

namespace layshaft {

/// A limit that is never reached: the driving side of a one-way bearing.
inline constexpr double kNoLimit = std::numeric_limits<double>::max();

/// What a coupling does between two switch instants.
enum class CouplingMode : std::uint8_t {
  open,           ///< Both limits are zero: carries nothing, leaves the solve.
  stuck,          ///< No slip, torque between its limits (>= 0 where the coupling has a loss).
  stuck_back,     ///< No slip, torque <= 0, in a coupling whose loss depends on the direction.
  slip_positive,  ///< Slip > 0, torque at its upper limit.
  slip_negative,  ///< Slip < 0, torque at its lower limit.
};

/// Why a mode changed.
enum class Cause : std::uint8_t {
  slip_vanished,    ///< The slip reached zero.
  limit_reached,    ///< The torque reached what the coupling can hold at rest.
  torque_reversed,  ///< The torque changed sign in a coupling with a loss.
  switched,         ///< A switch of the plant fell (a shoe touched, a clutch engaged).
  kink,             ///< A kink in time of the inputs.
  followed,         ///< Changed because another part changed at the same instant.
};

[[nodiscard]] constexpr bool is_stuck(CouplingMode mode) {
  return mode == CouplingMode::stuck || mode == CouplingMode::stuck_back;
}

/// Modes of all couplings and positions of all switches of a network.
template <int Couplings, int Switches>
struct ModeSet {
  std::array<CouplingMode, static_cast<std::size_t>(Couplings)> couplings{};
  std::array<std::int16_t, static_cast<std::size_t>(Switches)> switches{};
  bool operator==(const ModeSet&) const = default;
};

/// One entry in the list of mode changes.
struct Change {
  enum class Part : std::uint8_t { coupling, plant_switch };
  double time;  ///< [s]
  Part part;    ///< Whether `index` counts couplings or switches.
  int index;
  int from;  ///< A CouplingMode, or the position of the switch.
  int to;
  Cause cause;
  bool operator==(const Change&) const = default;
};

[[nodiscard]] constexpr std::string_view to_string(CouplingMode mode) {
  switch (mode) {
    case CouplingMode::open: return "open";
    case CouplingMode::stuck: return "stuck";
    case CouplingMode::stuck_back: return "stuck_back";
    case CouplingMode::slip_positive: return "slip_positive";
    case CouplingMode::slip_negative: return "slip_negative";
  }
  return "unknown";
}

[[nodiscard]] constexpr std::string_view to_string(Cause cause) {
  switch (cause) {
    case Cause::slip_vanished: return "slip vanished";
    case Cause::limit_reached: return "limit reached";
    case Cause::torque_reversed: return "torque reversed";
    case Cause::switched: return "switched";
    case Cause::kink: return "kink";
    case Cause::followed: return "followed";
  }
  return "unknown";
}

}  // namespace layshaft
