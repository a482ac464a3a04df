#pragma once

/// A state as a list of numbers: one function says what belongs to it, and is run with a writer to
/// save it and with a reader to load it.

#include <cmath>
#include <limits>
#include <span>
#include <stdexcept>
#include <vector>

namespace layshaft {

/// Keeps each value it is called with.
class NumberWriter {
 public:
  void operator()(double value) { numbers_.push_back(value); }
  /// A time that may be infinite: never.
  void or_never(double value) { numbers_.push_back(value); }
  /// A whole number, enumeration or yes/no; the reader checks that it is at most `most`.
  template <class Value>
  void operator()(Value value, int /*most*/) {
    numbers_.push_back(static_cast<double>(value));
  }
  [[nodiscard]] const std::vector<double>& numbers() const { return numbers_; }

 private:
  std::vector<double> numbers_;
};

/// Sets each value it is called with. Throws std::invalid_argument where there is no number left,
/// where one is not finite, or where a whole number is none from 0 to `most`.
class NumberReader {
 public:
  explicit NumberReader(std::span<const double> numbers) : numbers_(numbers) {}

  void operator()(double& value) {
    value = next();
    if (!std::isfinite(value)) refuse();
  }
  void or_never(double& value) {
    value = next();
    if (!(value > -std::numeric_limits<double>::infinity())) refuse();
  }

  template <class Value>
  void operator()(Value& value, int most) {
    const double number = next();
    if (!(number >= 0.0 && number <= most && std::floor(number) == number)) refuse();
    value = static_cast<Value>(number);
  }

  [[nodiscard]] bool at_end() const { return numbers_.empty(); }
  [[noreturn]] static void refuse() {
    throw std::invalid_argument("these numbers are no saved state of this version");
  }

 private:
  double next() {
    if (numbers_.empty()) refuse();
    const double number = numbers_.front();
    numbers_ = numbers_.subspan(1);
    return number;
  }

  std::span<const double> numbers_;
};

}  // namespace layshaft
