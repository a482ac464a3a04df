#pragma once

/// What a mechanic reads off a two-speed set-up: when it shifts, what a small change does, and what
/// to be warned of.
///
/// Sign: speeds are of the two-speed shaft [rad/s]; screw in = later shift. A shoe that is out at
///   any speed counts as 0 rad/s.
/// Equation: for unequal shoes dw/w = du/(2 u) - dS/(2 S), u the travel of the spring at the swing
///   that decides and S the centrifugal gain (see `two_speed.hpp`); out of balance = |sum m c|.
/// Source: closed forms derived from the moment balance of `two_speed.hpp`.

#include <string>
#include <vector>

#include "layshaft/laws/shift_estimate.hpp"
#include "layshaft/laws/two_speed.hpp"

namespace layshaft {

/// Speeds of the shaft at which one shoe goes out and comes back.
struct ShoeSpeeds {
  double contact;  ///< Going out [rad/s].
  double release;  ///< Coming back [rad/s].
};

/// All shoes together, by the shaft's speed.
struct ShiftBand {
  double first_contact;  ///< The earlier shoe goes out [rad/s].
  double last_contact;   ///< The last shoe goes out [rad/s].
  double first_release;  ///< The first shoe comes back [rad/s].
  double last_release;   ///< The last shoe comes back [rad/s].
};

/// Mass out of balance on the shaft.
struct Unbalance {
  double all_seated;  ///< Before the first contact [kg*m].
  double one_out;     ///< The earliest shoe out alone [kg*m].
  double all_out;     ///< After the last contact [kg*m].
  double force;       ///< Turning force when the second shoe is about to go out [N].
};

/// Changes of the contact speed [rad/s] of one shoe.
struct ContactChanges {
  double tenth_millimetre_in;  ///< Screw 0.1 mm in.
  double eighth_turn_in;       ///< Screw an eighth of a turn in.
  double half_gram_slug;       ///< 0.5 g more in the slug's place.
};

[[nodiscard]] ShoeSpeeds shoe_speeds(const TwoSpeed& two_speed, const ShoeSetting& setting);

[[nodiscard]] ShiftBand shift_band(const TwoSpeed& two_speed);

/// Out-of-balance of the shoes, which stand evenly round the shaft.
[[nodiscard]] Unbalance unbalance(const TwoSpeed& two_speed);

[[nodiscard]] ContactChanges contact_changes(const TwoSpeed& two_speed, const ShoeSetting& setting);

/// Setting whose screw has been turned in by `turns` [-] (negative: out).
[[nodiscard]] ShoeSetting screwed_in(const TwoSpeed& two_speed, const ShoeSetting& setting,
                                     double turns);

/// Friction coefficient at which the shoe locks by itself [-], in one of the two senses of slip.
[[nodiscard]] double locking_friction(const TwoSpeed& two_speed);

/// Torque per speed squared once all shoes are out K [N*m*s^2], cold; `direction` +1 or -1.
[[nodiscard]] double capacity_gain(const TwoSpeed& two_speed, double direction);

/// Torque of the shoes that are out [N*m], cold and sliding, as the shaft speeds up from rest.
[[nodiscard]] double rising_torque(const TwoSpeed& two_speed, double shaft_speed, double direction);

enum class SetupWarningCode {
  near_self_locking,  ///< Static friction above 0.7 of self-locking.
  never_releases,     ///< Nothing brings a shoe back.
  hunting,            ///< Shifts up and down again and again.
  lasting_slip        ///< Second gear slips under this load without going back to first.
};

/// One thing to be warned of, for a program (code) and for a reader (text).
struct SetupWarning {
  SetupWarningCode code;
  std::string text;
  bool operator==(const SetupWarning&) const = default;
};

/// Warnings of a validated set-up; empty when there is nothing to say.
[[nodiscard]] std::vector<SetupWarning> setup_warnings(const TwoSpeed& two_speed);

/// Warnings of hunting under a load; empty when the load does not lie between the gears.
[[nodiscard]] std::vector<SetupWarning> hunting_warnings(const TwoSpeed& two_speed,
                                                         const HuntingLoad& load);

[[nodiscard]] std::string to_string(SetupWarningCode code);

}  // namespace layshaft
