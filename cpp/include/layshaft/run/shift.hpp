#pragma once

/// What a shift is, moment by moment, and what is heard of it.
///
/// Up: a shoe touches the drum (contact) while first gear still pulls; first gear lets go once the
/// shoes carry all of the torque; drum and shoes run as one (lock). The engine is heard to rise up
/// to its peak, between let-go and lock: as first gear lets go it still gains speed. It is heard to
/// fall down to its low, behind the lock: the tyres, spun up by the drum, have to grip again first.
/// Down: the drum slips, the shoes come back, first gear takes hold.
///
/// Source: definitions; from the modes of the couplings and the sign of the engine's acceleration.

#include <cmath>
#include <limits>

namespace layshaft {

/// An instant of a run; not a number where it did not come.
struct Moment {
  double time = std::numeric_limits<double>::quiet_NaN();         ///< [s]
  double distance = std::numeric_limits<double>::quiet_NaN();     ///< [m]
  double car_speed = std::numeric_limits<double>::quiet_NaN();    ///< [m/s]
  double crank_speed = std::numeric_limits<double>::quiet_NaN();  ///< [rad/s]
};

[[nodiscard]] inline bool is_known(const Moment& moment) { return !std::isnan(moment.time); }

/// An upshift.
struct Shift {
  Moment contact;  ///< The first shoe touches.
  Moment let_go;   ///< First gear lets go.
  Moment peak;     ///< The engine at its highest from there to the lock: the shift that is heard.
  Moment lock;     ///< Shoes and drum run as one; not a number where they came back before.
  Moment low;      ///< The engine at its lowest from the lock until it has risen by `kHeardRise`.
  double shaft_speed = std::numeric_limits<double>::quiet_NaN();  ///< At contact [rad/s].
  double heat = std::numeric_limits<double>::quiet_NaN();   ///< Of the slip up to the lock [J].
  double error = std::numeric_limits<double>::quiet_NaN();  ///< Estimated, of the largest of the
                                                            ///< times of contact, let-go, lock [s].
};

/// A downshift.
struct Downshift {
  Moment slip;  ///< The drum slips for the last time.
  Moment open;  ///< Both shoes have come back.
  Moment hold;  ///< First gear takes hold.
};

}  // namespace layshaft
