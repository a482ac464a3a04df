#pragma once

/// Records how a lap passes its corners.
///
/// The laps of a flying lap follow each other: where the foot comes off before the line, that is
/// for the corner behind it; where it goes down behind the line before any corner, the exit is that
/// of the last corner; and a corner across the line begins before it and ends behind it. A standing
/// lap drives of such a corner only what lies before the line.
///
/// An exit is weak below the clutch's engagement, or with too little of the engine's power below
/// the speed of the most. It bogs unless the tyres limit: over the next `kExit`, with the foot down
/// and the engine clutch holding, the driver keeps back a share of the throttle for their slip
/// (`car/parts/driver.hpp`), so that more power would only spin the wheels.

#include <limits>
#include <vector>

#include "layshaft/run/lap.hpp"

namespace layshaft {

/// Whether a distance lies in [begin, end], where either may be counted a lap on [m].
[[nodiscard]] bool lies_in(double distance, double begin, double end, double lap);

inline constexpr double kExit = 4.0;  ///< Way behind the foot going down [m].
/// Share of the throttle kept back from which on the tyres limit [-] (from judgement).
inline constexpr double kKeptBack = 0.05;

class LapCorners {
 public:
  using State = StateOf<TrackCar>;

  /// Records into `passes`, which it prepares; they and the plant must outlive it.
  LapCorners(const TrackCar& plant, const LapOptions& options, std::vector<CornerPass>& passes);

  /// How the foot stands on the line.
  void begin(bool is_down);
  /// The foot goes down or comes off.
  void note_foot(bool is_down, const State& state);
  /// The car is now at a distance [m]; `speed_at(begin)` was its speed where a corner begins.
  template <class SpeedAt>
  void enter(double distance, const SpeedAt& speed_at) {
    for (; next_ < passes_.size() && distance >= passes_[next_].begin; ++next_) {
      enter_next(speed_at(passes_[next_].begin));
    }
  }
  void look(const State& state, double grip, bool clutch_holds);
  /// A flying lap is over.
  void close();

 private:
  void enter_next(double speed);
  void leave(const State& state);
  void look_at_exit(const State& state, bool clutch_holds);

  const TrackCar& plant_;
  bool standing_;
  double least_power_;
  EnginePeak engine_peak_;
  std::vector<CornerPass>& passes_;
  std::size_t next_ = 0;
  double foot_off_ = std::numeric_limits<double>::quiet_NaN();  // For the next corner [m].
  bool off_since_line_ = false;
  int braked_before_line_ = -1;   // For this corner.
  bool left_after_line_ = false;  // The last corner.
  CornerPass* left_ = nullptr;    // The weak exit that the car is in.
  bool clutch_slipped_ = false;   // In it.
};

}  // namespace layshaft
