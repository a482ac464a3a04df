#pragma once

/// One trial of the car builder: the demo car and its launch with some numbers replaced, as text
/// that people can read and a fuzzer can change.
///
/// A line is `name = value`; the names are the paths of the field table, `curve.count`, `curve.x0`,
/// `curve.y0` ..., `pedals.count`, `pedals.time0`, `pedals.throttle0`, `pedals.brake0` ... and
/// those of `LaunchOptions`. Values are hexadecimal, so that every bit is kept.

#include <cstdint>
#include <iosfwd>
#include <string>
#include <vector>

namespace layshaft_fuzz {

struct Change {
  std::size_t name;  ///< Position in `names()`.
  double value;
};

using Trial = std::vector<Change>;

/// All names a trial may set, in a fixed order.
[[nodiscard]] const std::vector<std::string>& names();

/// A value worth trying for a name: of the field's range, at its ends, or any bits at all.
[[nodiscard]] double draw_value(std::size_t name, std::uint64_t random);

[[nodiscard]] Trial read_trial(std::istream& text);
void write_trial(std::ostream& text, const Trial& trial);

/// Builds and briefly launches the trial's car. Empty if all is well: it was refused by
/// std::invalid_argument, or all its coefficients are finite and the run ended in good order; else
/// what is wrong.
[[nodiscard]] std::string try_car(const Trial& trial);

}  // namespace layshaft_fuzz
