#include "layshaft/network/quadrature.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace layshaft {
namespace {

// Integral of t^degree over a step from 0 to 2.
double integral(int degree) {
  std::array<std::array<double, 1>, kLobattoPoints> rates;
  for (std::size_t k = 0; k < kLobattoPoints; ++k) {
    rates[k][0] = std::pow(2.0 * kLobattoShares[k], degree);
  }
  return add_integrals<1>({0.0}, 2.0, rates)[0];
}

// A few round-offs of a number of size ten.
constexpr double kRoundOff = 2e-14;

TEST(Quadrature, IsExactUpToDegreeFive) {
  for (int degree = 0; degree <= 5; ++degree) {
    EXPECT_NEAR(integral(degree), std::pow(2.0, degree + 1) / (degree + 1), kRoundOff) << degree;
  }
}

TEST(Quadrature, IsNotExactForDegreeSix) { EXPECT_GT(std::abs(integral(6) - 128.0 / 7.0), 1e-3); }

}  // namespace
}  // namespace layshaft
