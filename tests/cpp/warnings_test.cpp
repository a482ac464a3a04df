#include "layshaft/car/warnings.hpp"

#include <gtest/gtest.h>

#include <set>

#include "layshaft/car/fields.hpp"

namespace layshaft {
namespace {

std::set<std::string> codes(const Car& car) {
  std::set<std::string> found;
  for (const CarWarning& warning : car_warnings(car)) found.insert(warning.code);
  return found;
}

Car with(std::string_view path, double value) { return with_field(demo_car(), path, value); }

TEST(CarWarnings, SoundCarIsOnlyToldThatItsEngineIsStrongerThanThePublishedOnes) {
  EXPECT_EQ(codes(demo_car()), std::set<std::string>{"outside_published"});
}

TEST(CarWarnings, GearPairsOfUnequalToothSumsShareNoCentre) {
  EXPECT_TRUE(codes(with("first.pinion", 16.0)).contains("no_shared_centre"));
}

TEST(CarWarnings, FrontTyresLeadOrLagPastTwoPercent) {
  // The demo front tyre of 34.5 mm leads by 1.3 %: 36 mm leads by 5.7 %, 33 mm lags by 3.1 %.
  EXPECT_TRUE(codes(with("front_tyre.radius", 36.0e-3)).contains("front_leads"));
  EXPECT_TRUE(codes(with("front_tyre.radius", 33.0e-3)).contains("front_lags"));
}

TEST(CarWarnings, EngineThatIdlesAboveTheEngagementDragsTheCar) {
  // Spring of the demo clutch at contact: 45 N/mm * (2.13 + 0.7) mm = 127.35 N; four weights of 1.3
  // g at 13 mm through a lever of 1.1: 7.436e-5 kg m. So it presses from 1308.7 rad/s on.
  EXPECT_FALSE(codes(with("engine.idle_speed", 1308.0)).contains("drags_at_idle"));
  EXPECT_TRUE(codes(with("engine.idle_speed", 1309.4)).contains("drags_at_idle"));
}

}  // namespace
}  // namespace layshaft
