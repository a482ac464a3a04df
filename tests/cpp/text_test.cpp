#include "layshaft/number/text.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace layshaft {
namespace {

TEST(Text, ANumberHasAtMostSoManyDigitsThatCount) {
  EXPECT_EQ(in_digits(0.28), "0.28");
  EXPECT_EQ(in_digits(-1234567.0), "-1.23457e+06");
  EXPECT_EQ(in_digits(1234567.0, 9), "1234567");
  EXPECT_EQ(in_digits(17.0), "17");
  EXPECT_EQ(in_digits(std::numeric_limits<double>::infinity()), "inf");
}

TEST(Text, ANumberHasSoManyDigitsBehindThePoint) {
  EXPECT_EQ(with_decimals(1.25, 1), "1.2");  // a tie goes to the even digit
  EXPECT_EQ(with_decimals(41999.7, 0), "42000");
  EXPECT_EQ(with_decimals(-0.5, 2), "-0.50");
  EXPECT_EQ(with_decimals(std::numeric_limits<double>::max(), 3).size(), 309U + 4U);
}

TEST(Text, WhateverALocalePutsBetweenDigitsIsAPoint) {
  EXPECT_EQ(with_point("0,28"), "0.28");
  EXPECT_EQ(with_point("-1\u066b5e-09"), "-1.5e-09");  // two bytes
  EXPECT_EQ(with_point("0.28"), "0.28");
  EXPECT_EQ(with_point("nan"), "nan");
}

}  // namespace
}  // namespace layshaft
