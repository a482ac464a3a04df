#pragma once

/// One lap of a track with the whole drivetrain in time: flying (periodic) or from a standing
/// start.
///
/// A flying lap is driven again from where it ended until it ends as it began, on request with the
/// temperatures of clutch and two-speed settled too. Where the car was faster than the tyres hold,
/// the driver brakes earlier and aims lower there (`lap_margins.hpp`), and all is driven anew. A
/// lap that remains too fast somewhere, rolls back or comes to stand is no lap: the result says so.
/// What of a flying lap reaches over the line belongs together: the foot comes off before it for
/// the corner behind it, a gear locks behind it that was changed before it.

#include <limits>
#include <vector>

#include "layshaft/car/track_car.hpp"
#include "layshaft/network/integration.hpp"
#include "layshaft/run/launch.hpp"

namespace layshaft {

/// Of the grip used sideways: more is too fast [-].
inline constexpr double kAllGrip = 1.002;
/// A driver who cannot use so much of the grip at a corner is beside a jump: a little faster, and a
/// shift or a slide comes at another place. So much more grip is a fortieth more speed.
inline constexpr double kMuchGripLeft = 0.05;

/// Behind the furthest it has been a car is rolling back [m].
inline constexpr double kRolledBack = 0.5;

/// A car that does not come on by the one within the other stands.
inline constexpr double kStandsWithin = 0.5;  // [m]
inline constexpr double kStandsFor = 30.0;    // [s]

struct LapOptions {
  TrackDriver driver{};
  bool standing = false;          ///< From rest on the line; else flying.
  bool settled = true;            ///< A flying lap's temperatures repeat as well; else they are
                                  ///< those of the second lap from cold.
  double sample_spacing = 0.0;    ///< Between samples along the lap [m]; 0 keeps none.
  std::vector<double> sectors{};  ///< Where a sector ends [m], ascending; the line ends the last.
  double before_corner = 2.0;   ///< A shift so near to a corner counts as just before it [m], >= 0.
  double least_power = 0.5;     ///< An exit with less of the engine's most power, and slower than
                                ///< at that power, is weak [-], 0..1.
  double longest_time = 120.0;  ///< Of one lap [s], > 0.
  int most_laps = 40;           ///< Driven until the lap repeats, > 1; with other margins too, four
                                ///< times as many.
  IntegrationOptions integration{.tolerance = 1e-5};
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const LapOptions& options, const Track& track);

/// Where on the track something happened.
enum class Place : std::uint8_t { straight, before_corner, in_corner };

/// A change of gear, or the engine clutch letting go and biting.
struct LapEvent {
  enum class Kind : std::uint8_t { upshift, downshift, clutch_opens, clutch_bites };
  Kind kind;
  Moment at;  ///< Up: the engine at its peak, the shift that is heard. Down: the shoes are back.
  Place place;
  int corner;        ///< The corner meant by `place`, or the next one; -1 where there is none.
  Shift up{};        ///< Of an upshift; may begin before the line or end behind it.
  Downshift down{};  ///< Of a downshift; not a number what lies beyond the line.
};

/// How a corner was passed. Not a number where it did not happen.
struct CornerPass {
  double begin;           ///< [m]
  double end;             ///< [m]
  double brake_distance;  ///< Where the foot came off the throttle for it [m].
  double entry_speed;     ///< Where it begins [m/s].
  double least_speed;     ///< [m/s]
  double least_distance;  ///< Where that was [m].
  double most_grip;       ///< Largest share of the grip used sideways in it [-].
  double exit_distance;   ///< Where the foot is down again [m].
  double exit_crank;      ///< Engine speed there [rad/s].
  double exit_power;      ///< Full-throttle power there over the engine's most [-].
  bool bogs;              ///< The engine is weak there, and limits.
  bool tyres_limit;       ///< It is weak there, but the driver keeps it back for the tyres.
};

/// Width of a class of the engine speeds [rad/s]: 1000 rpm.
inline constexpr double kCrankClass = 1000.0 * kPi / 30.0;
inline constexpr std::size_t kCrankClasses = 60;

struct LapSample : SampleOf<TrackNames> {
  double lateral_acceleration;  ///< [m/s^2], positive to the left.
  double grip_taken;            ///< Share of the grip used sideways [-].
  double aimed_speed;           ///< [m/s]
};

/// Value of the output of that number of a lap [SI]; 0 <= number < lap_outputs().size().
[[nodiscard]] double read_lap_output(const LapSample& sample, double air_temperature,
                                     std::size_t number);

struct LapResult {
  Ending ending;
  bool complete;      ///< Reached the line.
  bool repeats;       ///< A flying lap that ended as it began; true for a standing one.
  int laps;           ///< Driven in all, with these margins and those before.
  bool holds;         ///< Used no more than `kAllGrip` of the grip sideways anywhere.
  bool rolls_back;    ///< Given up because the car rolled backwards.
  bool stands;        ///< Given up because the car stood.
  int margin_rounds;  ///< Times all was driven anew with other margins before some corners.
  std::vector<double> margins;     ///< Factors on the driver's shares of the grip, one for each of
                                   ///< the `Approaches` [-].
  std::vector<double> most_grips;  ///< Share of the grip used sideways, at most, on each of the
                                   ///< `Approaches` [-].
  double period_error;  ///< Largest difference of end and begin of the motion, over its scales [-].
  double time;          ///< Of the lap [s].
  std::vector<double> sector_times;   ///< From the line to each sector's end [s].
  std::vector<double> sector_speeds;  ///< [m/s]
  ModesOf<TrackCar> first_modes;
  ModesOf<TrackCar> last_modes;
  std::vector<Change> changes;
  std::vector<LapEvent> events;
  std::vector<CornerPass> corners;
  std::array<double, kCrankClasses> crank_times;  ///< Spent in each class of engine speeds [s].
  StateOf<TrackCar> begin;
  StateOf<TrackCar> end;
  AccountsOf<TrackCar> accounts;
  Peaks peaks;
  double lifted_time;      ///< How long an axle was off the ground [s].
  double least_speed;      ///< [m/s]
  double car_energy;       ///< Gained by the car [J].
  double rotating_energy;  ///< Gained by all that turns [J].
  double energy_residual;  ///< Engine work less gains, losses and stored work [J].
  std::vector<LapSample> samples;
  double time_error;  ///< Largest estimated error of the times at the sectors' ends and of the
                      ///< lap, from where it began [s]; not a number where none was reached.
  long edges;         ///< Times that a switch hung on less than the estimated error.
  bool doubtful;      ///< The times may be off by more than `kSureTime`, or hang on which side of a
                      ///< jump the driver stays (`kMuchGripLeft`).
};

/// Largest of `most_grips` [-]; not a number without any.
[[nodiscard]] double most_grip(const LapResult& result);

/// Largest share of the grip left unused on an approach with a margin [-]: where a shift comes and
/// goes with the speed, no margin uses it up. 0 where there is none.
[[nodiscard]] double grip_left(const LapResult& result);

/// Drives the lap. Throws std::invalid_argument for bad input before any work.
[[nodiscard]] LapResult lap(const Car& car, const Track& track, const LapOptions& options);

[[nodiscard]] constexpr std::string_view to_string(Place place) {
  switch (place) {
    case Place::straight: return "straight";
    case Place::before_corner: return "before_corner";
    case Place::in_corner: return "in_corner";
  }
  return "unknown";
}

[[nodiscard]] constexpr std::string_view to_string(LapEvent::Kind kind) {
  switch (kind) {
    case LapEvent::Kind::upshift: return "upshift";
    case LapEvent::Kind::downshift: return "downshift";
    case LapEvent::Kind::clutch_opens: return "clutch_opens";
    case LapEvent::Kind::clutch_bites: return "clutch_bites";
  }
  return "unknown";
}

}  // namespace layshaft
