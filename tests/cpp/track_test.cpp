#include "layshaft/car/track.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>

#include "invented_track.hpp"

namespace layshaft {
namespace {

using testing::ring;
using testing::tight_track;
using testing::TrackBuilder;

constexpr double kRoundOff = 1e-12;

TEST(Track, IsAsLongAsItsPieces) {
  const Track track = TrackBuilder().straight(10.0).corner(5.0, 90.0).build();
  // The blends of a metre each turn half as much as the arc, so the corner is one metre longer.
  EXPECT_NEAR(track.length(), 10.0 + 5.0 * kPi / 2.0 + 1.0, kRoundOff);
  EXPECT_EQ(track.begin(0), 0.0);
  EXPECT_EQ(track.end(0), 10.0);
  EXPECT_EQ(track.begin(1), track.end(0));
}

TEST(Track, TurnsByTheAnglesOfItsCorners) {
  const Track track = tight_track();
  double turned = 0.0;
  constexpr double kStep = 1e-3;
  for (double s = 0.5 * kStep; s < track.length(); s += kStep) {
    turned += track.curvature_at(s) * kStep;
  }
  // Midpoint sums of straight lines are exact but for the steps across an edge.
  EXPECT_NEAR(turned * 180.0 / kPi, 180.0 - 90.0 + 180.0 + 90.0, 0.05);
}

TEST(Track, GoesOnRound) {
  const Track track = tight_track();
  for (const double distance : {0.0, 46.0, 60.0, 100.0}) {
    const double here = track.curvature_at(distance);
    EXPECT_NEAR(track.curvature_at(distance + track.length()), here, 1e-10);
    EXPECT_NEAR(track.curvature_at(distance - 2.0 * track.length()), here, 1e-10);
  }
  EXPECT_EQ(track.piece_at(track.length()), 0U);
  EXPECT_EQ(track.piece_at(-1e-9), track.pieces().size() - 1);
}

TEST(Track, FindsItsCorners) {
  const std::vector<Corner> corners = tight_track().corners();
  ASSERT_EQ(corners.size(), 4U);
  // The blend reaches 1/40 of 1/4 after a tenth of its metre; looks are 5 cm apart.
  EXPECT_NEAR(corners[0].begin, 45.1, 0.06);
  EXPECT_NEAR(corners[0].end, 45.0 + 4.0 * kPi + 1.0 - 0.1, 0.06);
}

TEST(Track, SeesOneCornerWhereItLiesAcrossTheLine) {
  const Track track({{5.0, {0.2}, 1.0, 0.0}, {30.0, {}, 1.0, 0.0}, {4.0, {0.2}, 1.0, 0.0}});
  const std::vector<Corner> corners = track.corners();
  ASSERT_EQ(corners.size(), 1U);
  EXPECT_NEAR(corners[0].begin, 35.0, 0.06);
  EXPECT_NEAR(corners[0].end, 39.0 + 5.0, 0.06);
}

TEST(Track, SeesTwoCornersInAnEss) {
  const Track track({{10.0, {}, 1.0, 0.0}, {5.0, {0.2}, 1.0, 0.0}, {5.0, {-0.2}, 1.0, 0.0}});
  const std::vector<Corner> corners = track.corners();
  ASSERT_EQ(corners.size(), 2U);
  EXPECT_NEAR(corners[0].end, 15.0, 0.06);
  EXPECT_NEAR(corners[1].begin, 15.0, 0.06);
}

TEST(Track, IsOneCornerAllRoundOnARing) {
  const std::vector<Corner> corners = ring(5.0).corners();
  ASSERT_EQ(corners.size(), 1U);
  EXPECT_EQ(corners[0].begin, 0.0);
  EXPECT_EQ(corners[0].end, ring(5.0).length());
}

TEST(Track, RefusesWhatIsNoTrack) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(Track({}), std::invalid_argument);
  EXPECT_THROW(Track({{0.0, {}, 1.0, 0.0}}), std::invalid_argument);
  EXPECT_THROW(Track({{nan, {}, 1.0, 0.0}}), std::invalid_argument);
  EXPECT_THROW(Track({{5.0, {nan}, 1.0, 0.0}}), std::invalid_argument);
  EXPECT_THROW(Track({{5.0, {3.0}, 1.0, 0.0}}), std::invalid_argument);
  EXPECT_THROW(Track({{5.0, {}, 0.0, 0.0}}), std::invalid_argument);
  EXPECT_THROW(Track({{5.0, {}, 1.0, nan}}), std::invalid_argument);
}

TEST(Track, NamesThePieceThatIsOutOfBounds) {
  try {
    const Track track({{5.0, {}, 1.0, 0.0}, {5.0, {0.0, 0.5}, 1.0, 0.0}});
    FAIL() << track.length();
  } catch (const std::invalid_argument& refused) {
    EXPECT_STREQ(refused.what(), "Track.pieces[1].curvature = 2.5 must be from -2 to 2 1/m");
  }
}

}  // namespace
}  // namespace layshaft
