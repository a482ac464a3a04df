#include "layshaft/number/root.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace layshaft {
namespace {

double square_less_two(double x) { return x * x - 2.0; }

TEST(Root, ItIsFoundToTheBitsAskedForAndJustPassed) {
  const double root = past_root(square_less_two, 1.0, 2.0, -1.0, 2.0, 52);
  EXPECT_NEAR(root, std::sqrt(2.0), 2.0 * std::numeric_limits<double>::epsilon());
  EXPECT_GE(square_less_two(root), 0.0);
  // Half the bits: the bracket is no wider than that.
  EXPECT_NEAR(past_root(square_less_two, 1.0, 2.0, -1.0, 2.0, 20), std::sqrt(2.0), 2.0 / (1 << 19));
}

TEST(Root, EndsOfOneSignOrInNoOrderAreRefused) {
  EXPECT_THROW((void)past_root(square_less_two, 2.0, 3.0, 2.0, 7.0, 52), std::domain_error);
  EXPECT_THROW((void)past_root(square_less_two, 2.0, 1.0, 2.0, -1.0, 52), std::domain_error);
}

}  // namespace
}  // namespace layshaft
