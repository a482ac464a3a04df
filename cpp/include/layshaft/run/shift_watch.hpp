#pragma once

/// Finds the shifts of a run while it is integrated.

#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "layshaft/car/car_list.hpp"
#include "layshaft/network/modes.hpp"
#include "layshaft/number/root.hpp"
#include "layshaft/run/shift.hpp"

namespace layshaft {

/// The engine has turned to rise when it is faster by this [rad/s]: 100 rpm (from judgement).
inline constexpr double kHeardRise = 100.0 * 0.10471975511965977;

/// Follows the couplings of first and second gear through a run.
class ShiftWatch {
 public:
  /// Beside the moment, what only a launch takes down.
  struct Begin {
    Moment at;
    double shaft_speed;  ///< [rad/s]
    double shoe_loss;    ///< So far [J].
    double error;        ///< Estimated, of the time [s].
  };

  /// A stretch begins in these modes.
  void note_modes(CouplingMode first, CouplingMode second, const Begin& begin);
  /// Whether the engine is to be looked at in a stretch in these modes.
  [[nodiscard]] bool listens() const { return phase_ == Phase::let_go || phase_ == Phase::locked; }
  /// Looks at the engine up to a time [s]; `moment_at(time)` is the instant. A stretch that is the
  /// whole of a step may be left out while the crank neither turns nor gets as fast as said next.
  template <class Segment, class MomentAt>
  void look(const Segment& segment, double until, const MomentAt& moment_at) {
    if (!listens()) return;
    const auto gain = [&](double time) {
      return segment.rates(time, segment.state(time))(node::crank);
    };
    if (turns_from_ == 0.0) turns_from_ = std::copysign(1.0, gain(segment.begin));
    const bool is_step = until == segment.stepper.current_time();
    const double at_end = is_step ? segment.stepper.slope_sign(node::crank) : gain(until);
    if (turns_from_ * at_end < 0.0) {
      turns_from_ = -turns_from_;
      hear(moment_at(sign_change(gain, segment.begin, until)));
    }
    hear(moment_at(until));
  }
  /// What `look` waits for in whole steps: a turn of the crank from gaining (1) or losing speed
  /// (-1), nothing (0); and a speed of the crank [rad/s].
  [[nodiscard]] double turns_from() const { return listens() ? turns_from_ : 0.0; }
  [[nodiscard]] double next_crank() const;

  /// In which at least first gear let go, of runs that did not begin within; in order of time.
  [[nodiscard]] const std::vector<Shift>& up() const { return up_; }
  [[nodiscard]] const std::vector<Downshift>& down() const { return down_; }
  /// A flying lap is over: makes one of the two halves of a shift across the line, at whichever end
  /// its peak lies.
  void close(double lap_time, double lap_distance);

 private:
  /// Time of a root; the end where there is none.
  template <class Function>
  [[nodiscard]] static double sign_change(const Function& function, double begin, double end) {
    const double at_begin = function(begin);
    const double at_end = function(end);
    if (!(at_begin * at_end < 0.0)) return end;
    return past_root(function, begin, end, at_begin, at_end, 45);
  }
  enum class Phase : std::uint8_t { none, touching, let_go, locked };

  void begin_in(CouplingMode first, CouplingMode second, const Begin& begin);
  void note_first(CouplingMode first, const Begin& begin);
  void note_contact(const Begin& begin);
  void note_lock(const Begin& begin);
  void note_open(const Moment& at);
  void keep();
  void hear(const Moment& moment);
  /// Where what is found of the present shift goes.
  [[nodiscard]] Shift& found() { return is_over_line_ ? over_line_ : up_.back(); }

  std::vector<Shift> up_{};
  std::vector<Downshift> down_{};
  Phase phase_ = Phase::none;
  Shift shift_{};      // Up to its lock.
  Shift over_line_{};  // What lies in this run of a shift that began before it.
  bool is_over_line_ = false;
  double turns_from_ = 0.0;
  Moment low_{};
  Moment slip_{};
  Moment hold_{};
  double shoe_loss_ = 0.0;  // At contact [J].
  bool begun_ = false;
  bool in_second_ = false;  // First gear has let go since the shoes touched.
  CouplingMode first_{};
  CouplingMode second_{};
};

}  // namespace layshaft
