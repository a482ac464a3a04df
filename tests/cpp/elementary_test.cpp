#include "layshaft/number/elementary.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

namespace layshaft {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kNotANumber = std::numeric_limits<double>::quiet_NaN();

// Stated in the header: units in the last place of the true value, for the arguments of the laws
// and for those far out.
constexpr double kUnits = 2.0;
constexpr double kUnitsFarOut = 3.0;

double last_place(double value) {
  const double size = std::abs(value);
  return std::nextafter(size, kInfinity) - size;
}

// Largest error in units of the last place against the C library in long double (64 bits).
template <class Own, class True>
double worst_error(const Own& own, const True& truth, double size) {
  std::mt19937_64 random(1);  // NOLINT: the same points each time
  std::uniform_real_distribution<double> points(-size, size);
  double worst = 0.0;
  for (int i = 0; i < 200'000; ++i) {
    const double x = points(random);
    const long double exact = truth(static_cast<long double>(x));
    const auto error = static_cast<double>(std::abs(static_cast<long double>(own(x)) - exact));
    worst = std::max(worst, error / last_place(static_cast<double>(exact)));
  }
  return worst;
}

TEST(Elementary, WavesAreWithinTwoUnitsOfTheLastPlace) {
  const auto own_sine = [](double x) { return sin(x); };
  const auto own_cosine = [](double x) { return cos(x); };
  const auto sine = [](long double x) { return std::sin(x); };
  const auto cosine = [](long double x) { return std::cos(x); };
  for (const double size : {1.0, 4.0, 100.0}) {
    EXPECT_LE(worst_error(own_sine, sine, size), kUnits);
    EXPECT_LE(worst_error(own_cosine, cosine, size), kUnits);
  }
  EXPECT_LE(worst_error(own_sine, sine, 1e5), kUnitsFarOut);
  EXPECT_LE(worst_error(own_cosine, cosine, 1e5), kUnitsFarOut);
}

TEST(Elementary, ArcTangentIsWithinTwoUnitsOfTheLastPlace) {
  for (const double size : {0.5, 3.0, 100.0, 1e8}) {
    EXPECT_LE(worst_error([](double x) { return atan(x); },
                          [](long double x) { return std::atan(x); }, size),
              kUnits);
  }
}

TEST(Elementary, NearMultiplesOfPiTheSmallRestIsRight) {
  for (int k = -1000; k <= 1000; ++k) {
    const double x = k * 3.141592653589793;
    const auto exact = static_cast<double>(std::sin(static_cast<long double>(x)));
    EXPECT_LE(std::abs(sin(x) - exact), kUnits * last_place(exact)) << k;
  }
}

TEST(Elementary, EndsOfTheRange) {
  EXPECT_EQ(sin(0.0), 0.0);
  EXPECT_EQ(cos(0.0), 1.0);
  EXPECT_EQ(atan(0.0), 0.0);
  EXPECT_EQ(atan(kInfinity), std::atan(kInfinity));
  EXPECT_EQ(atan(-kInfinity), std::atan(-kInfinity));
  EXPECT_EQ(sin(1e-300), 1e-300);
  EXPECT_EQ(atan(-1e-300), -1e-300);
  for (const double x : {kNotANumber, kInfinity, -kInfinity}) {
    EXPECT_TRUE(std::isnan(sin(x)));
    EXPECT_TRUE(std::isnan(cos(x)));
  }
  EXPECT_TRUE(std::isnan(atan(kNotANumber)));
}

TEST(Elementary, ArcTangentAndSineAreOdd) {
  for (double x = 0.001; x < 50.0; x *= 1.07) {
    EXPECT_EQ(atan(-x), -atan(x));
    EXPECT_EQ(sin(-x), -sin(x));
    EXPECT_EQ(cos(-x), cos(x));
  }
}

TEST(Elementary, ArcTangentRisesThroughTheSeamsOfItsPieces) {
  for (const double seam : {0.41421356237309503, 2.414213562373095}) {
    EXPECT_LE(atan(std::nextafter(seam, 0.0)), atan(std::nextafter(seam, 9.0)));
    EXPECT_NEAR(atan(seam), atan(std::nextafter(seam, 9.0)), kUnits * 2.3e-16);
  }
}

TEST(Elementary, FifthRootIsGoodEnoughForStepSizes) {
  constexpr double kStated = 1e-3;
  for (double x = 1e-4; x <= 1e4; x *= 1.01) {
    EXPECT_NEAR(elementary::inverse_fifth_root(x) * std::pow(x, 0.2), 1.0, kStated) << x;
  }
}

}  // namespace
}  // namespace layshaft
