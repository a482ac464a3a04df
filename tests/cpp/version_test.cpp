#include "layshaft/version.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace layshaft {
namespace {

TEST(Version, IsThreeNumbers) {
  EXPECT_EQ(version().find_first_not_of("0123456789."), std::string_view::npos) << version();
  EXPECT_EQ(std::ranges::count(version(), '.'), 2) << version();
}

}  // namespace
}  // namespace layshaft
