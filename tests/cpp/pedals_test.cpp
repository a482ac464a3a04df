#include "layshaft/car/pedals.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>
#include <string>
#include <vector>

namespace layshaft {
namespace {

using Rows = std::vector<std::array<double, 3>>;

// A line is rounded once where its offset is made.
constexpr double kRoundOff = 1e-15;

const Rows kRows{{0.2, 0.0, 1.0}, {0.4, 1.0, 0.5}, {0.9, 0.5, 0.5}};

double throttle_at(const PedalLine<double>& line, double time) {
  return line.throttle_offset + line.throttle_slope * time;
}
double brake_at(const PedalLine<double>& line, double time) {
  return line.brake_offset + line.brake_slope * time;
}

std::string refusal(const Rows& rows) {
  try {
    static_cast<void>(make_pedals(rows));
  } catch (const std::invalid_argument& refused) {
    return refused.what();
  }
  return "";
}

TEST(Pedals, AreLevelBeforeTheFirstKinkAndAfterTheLast) {
  const Pedals pedals = make_pedals(kRows);
  for (const double time : {-5.0, 0.0, 0.2}) {
    EXPECT_EQ(throttle_at(pedal_line(pedals, 0), time), 0.0);
    EXPECT_EQ(brake_at(pedal_line(pedals, 0), time), 1.0);
  }
  for (const double time : {0.9, 50.0}) {
    EXPECT_EQ(throttle_at(pedal_line(pedals, 3), time), 0.5);
    EXPECT_EQ(brake_at(pedal_line(pedals, 3), time), 0.5);
  }
}

TEST(Pedals, RunStraightBetweenKinksAndMeetAtThem) {
  const Pedals pedals = make_pedals(kRows);
  EXPECT_NEAR(throttle_at(pedal_line(pedals, 1), 0.3), 0.5, kRoundOff);
  EXPECT_NEAR(brake_at(pedal_line(pedals, 1), 0.3), 0.75, kRoundOff);
  for (std::size_t kink = 0; kink < pedals.count; ++kink) {
    const double time = pedals.time[kink];
    for (const std::size_t number : {kink, kink + 1}) {
      const PedalLine<double> line = pedal_line(pedals, number);
      EXPECT_NEAR(throttle_at(line, time), pedals.throttle[kink], kRoundOff);
      EXPECT_NEAR(brake_at(line, time), pedals.brake[kink], kRoundOff);
    }
  }
}

TEST(Pedals, LineEndsAtItsKinkAndTheLastNever) {
  const Pedals pedals = make_pedals(kRows);
  EXPECT_EQ(line_end(pedals, 0), 0.2);
  EXPECT_EQ(line_end(pedals, 2), 0.9);
  EXPECT_TRUE(std::isinf(line_end(pedals, 3)));
}

TEST(Pedals, WithoutKinksNothingIsPressed) {
  const PedalLine<double> line = pedal_line(Pedals{}, 0);
  EXPECT_EQ(throttle_at(line, 3.0), 0.0);
  EXPECT_EQ(brake_at(line, 3.0), 0.0);
  EXPECT_TRUE(std::isinf(line_end(Pedals{}, 0)));
}

TEST(Pedals, RefuseValuesOutOfBounds) {
  EXPECT_EQ(refusal({{0.0, 1.2, 0.0}}), "Pedals.throttle = 1.2 must be from 0 to 1");
  EXPECT_EQ(refusal({{0.0, 0.0, -0.1}}), "Pedals.brake = -0.1 must be from 0 to 1");
  EXPECT_EQ(refusal({{0.0, 0.0, 0.0}, {0.0, 1.0, 0.0}}), "Pedals.time = 0 must be ascending");
  EXPECT_NE(refusal({{std::nan(""), 0.0, 0.0}}), "");
  EXPECT_NE(refusal({{0.0, std::nan(""), 0.0}}), "");
  EXPECT_NE(refusal({{0.0, 0.0, std::nan("")}}), "");
  EXPECT_EQ(refusal(Rows(17, {0.0, 0.0, 0.0})), "Pedals.count = 17 must be at most 16");
}

}  // namespace
}  // namespace layshaft
