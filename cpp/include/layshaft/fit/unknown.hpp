#pragma once

/// What is to be learned of a car: numbers with a guess and how sure that is, each with those that
/// follow it in proportion.

#include <span>
#include <string>
#include <vector>

#include "layshaft/fit/setting.hpp"

namespace layshaft {

/// A field that goes up and down with another: only the group can be learned.
struct Follower {
  std::string path;
  double ratio;  ///< To the number that it follows.
};

/// In the SI unit of the field.
struct Unknown {
  std::string path;
  double guess;
  double doubt;  ///< One standard deviation of the guess, > 0.
  double low;    ///< Bounds, which hold the guess.
  double high;
  std::vector<Follower> followers;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound; also for a path
/// that is no number of the car.
void validate(const Unknown& unknown);

/// What goes up and down with a number of the car in proportion: static friction with friction, the
/// front tyres with the rear ones. Throws std::invalid_argument for an unknown path.
[[nodiscard]] std::vector<Follower> followers_of(const Car& car, const std::string& path);

/// In the SI unit of the field.
struct LearnableRange {
  double low;
  double high;
};

/// Where a number of the car and all that follows it stay within the ranges of their fields. Throws
/// std::invalid_argument for an unknown path.
[[nodiscard]] LearnableRange learnable_range(const Car& car, const std::string& path);

/// A number to learn: the car's own is the guess, its learnable range the bounds, and what follows
/// it does. Throws as `validate`.
[[nodiscard]] Unknown unknown_of(const Car& car, const std::string& path, double doubt);

/// The settings at shares of doubts away from the guesses, one each, kept within the bounds.
[[nodiscard]] Point point_at(std::span<const Unknown> unknowns, std::span<const double> shares);

}  // namespace layshaft
