#include "layshaft/laws/screw.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Seen;

/// Readings near 5 mm and turns near 1: a few roundings.
constexpr double kRoundOff = 1e-14;

TEST(Screw, CoarseThreadsHaveThePitchesAndDiametersOfTheStandards) {
  struct Row {
    double nominal, pitch, pitch_diameter, minor_diameter;  // [mm]
  };
  constexpr double kDigits = 5.01e-4;  // [mm], half of the last printed digit
  for (const Row& row :
       {Row{2.0, 0.40, 1.740, 1.567}, Row{2.5, 0.45, 2.208, 2.013}, Row{3.0, 0.50, 2.675, 2.459},
        Row{4.0, 0.70, 3.545, 3.242}, Row{5.0, 0.80, 4.480, 4.134}}) {
    const std::string name = "M" + std::to_string(row.nominal).substr(0, 3);
    const CoarseThread thread = coarse_thread(row.nominal * 1e-3);
    EXPECT_NO_THROW(validate(thread));
    check_published({"thread " + name, "pitch [mm]", "ISO 261", Seen::kPrinted, "coarse_thread"},
                    row.pitch, thread.pitch * 1e3, 1e-12);
    check_published({"thread " + name, "pitch diameter [mm]", "ISO 724", Seen::kDerived,
                     "coarse_thread, pitch_diameter"},
                    row.pitch_diameter, pitch_diameter(thread) * 1e3, kDigits);
    check_published({"thread " + name, "minor diameter [mm]", "ISO 724", Seen::kDerived,
                     "coarse_thread, minor_diameter"},
                    row.minor_diameter, minor_diameter(thread) * 1e3, kDigits);
  }
}

TEST(Screw, SizesOutsideTheTableAreRefused) {
  EXPECT_THROW((void)coarse_thread(3.5e-3), std::invalid_argument);
  EXPECT_THROW((void)coarse_thread(std::numeric_limits<double>::quiet_NaN()),
               std::invalid_argument);
  EXPECT_THROW(validate(CoarseThread{3e-3, 0.0}), std::invalid_argument);
  EXPECT_THROW(validate(CoarseThread{3e-3, 1.5e-3}), std::invalid_argument);
  EXPECT_THROW(validate(CoarseThread{0.0, 0.5e-3}), std::invalid_argument);
}

TEST(Screw, ReadingThatFallsByOnePitchIsOneTurnIn) {
  const auto direction = ReadingDirection::falls_as_screw_goes_in;
  EXPECT_NEAR(turns_between(4.8e-3, 4.1e-3, 0.7e-3, direction), 1.0, kRoundOff * 10.0);
  EXPECT_NEAR(turns_between(4.1e-3, 4.8e-3, 0.7e-3, direction), -1.0, kRoundOff * 10.0);
  EXPECT_EQ(turns_between(4.5e-3, 4.5e-3, 0.7e-3, direction), 0.0);
}

TEST(Screw, ReadingThatRisesCountsTheOtherWay) {
  const auto direction = ReadingDirection::rises_as_screw_goes_in;
  EXPECT_NEAR(turns_between(4.1e-3, 4.8e-3, 0.7e-3, direction), 1.0, kRoundOff * 10.0);
  EXPECT_EQ(travel_in(4.0e-3, 4.2e-3, direction),
            -travel_in(4.0e-3, 4.2e-3, ReadingDirection::falls_as_screw_goes_in));
}

TEST(Screw, TurningBackRestoresTheReading) {
  for (const auto direction :
       {ReadingDirection::falls_as_screw_goes_in, ReadingDirection::rises_as_screw_goes_in}) {
    const double turned = reading_after(4.5e-3, 0.375, 0.7e-3, direction);
    EXPECT_NEAR(turns_between(4.5e-3, turned, 0.7e-3, direction), 0.375, kRoundOff * 100.0);
    EXPECT_NEAR(reading_after(turned, -0.375, 0.7e-3, direction), 4.5e-3, kRoundOff);
  }
  EXPECT_THROW((void)turns_between(1.0, 2.0, 0.0, ReadingDirection::falls_as_screw_goes_in),
               std::invalid_argument);
  EXPECT_THROW((void)reading_after(1.0, 2.0, std::numeric_limits<double>::quiet_NaN(),
                                   ReadingDirection::falls_as_screw_goes_in),
               std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
