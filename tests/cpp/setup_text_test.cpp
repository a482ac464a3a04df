#include "layshaft/car/setup_text.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <sstream>
#include <stdexcept>
#include <string>

#include "layshaft/car/units.hpp"

namespace layshaft {
namespace {

std::string refusal(std::string_view text) {
  try {
    static_cast<void>(car_from_text(text));
  } catch (const std::invalid_argument& refused) {
    return refused.what();
  }
  return "";
}

TEST(SetupText, OfTheDemoCarIsTheDemoCar) {
  EXPECT_EQ(car_from_text(to_text(demo_car())), demo_car());
  EXPECT_EQ(car_from_text(""), demo_car());
}

TEST(SetupText, ReadsNumbersUnitsChoicesAndTheCurve) {
  const Car car = car_from_text(
      "# my car\n"
      "two_speed.gap = \"4.6 mm\"  # both shoes\n"
      "\n"
      "first.pinion=16\r\n"
      "front_axle = \"one_way\"\n"
      "engine.idle_speed = 1100\n"
      "engine.torque = [[\"0 krpm\", 0.1], [3000, \"300 mN*m\"],]");
  EXPECT_EQ(car.two_speed.shoes[0].gap, 0.0046);
  EXPECT_EQ(car.two_speed.shoes[1].gap, 0.0046);
  EXPECT_EQ(get_field(car, "first.pinion"), 16.0);
  EXPECT_EQ(car.front_axle, AxleKind::one_way);
  EXPECT_EQ(car.engine.idle_speed, 1100.0);
  EXPECT_EQ(car.engine.torque.count, 2U);
  EXPECT_EQ(car.engine.torque.x[1], 3000.0);
  EXPECT_EQ(car.engine.torque.y[1], 0.3);
}

TEST(SetupText, OfManyPointsTakesThoseThatDescribeTheCurve) {
  // A parabola of 101 points through 0.3 N*m at its top, then with every other point 0.02 lower.
  const auto text = [](double lower) {
    std::ostringstream line;
    line << "engine.torque = [";
    for (int k = 0; k <= 100; ++k) {
      const double off = k / 50.0 - 1.0;
      line << '[' << 40 * k << ", " << 0.3 - 0.2 * off * off - (k % 2) * lower << "], ";
    }
    line << ']';
    return line.str();
  };
  const Curve curve = car_from_text(text(0.0)).engine.torque;
  EXPECT_EQ(curve.count, 16U);
  EXPECT_EQ(curve.x.front(), 0.0);
  EXPECT_EQ(curve.x.back(), 4000.0);
  const CurveLaw<double> law = make_curve_law(curve);
  EXPECT_NEAR(curve_value(law, 1000.0), 0.25, 0.003);  // as far off as a point may be
  EXPECT_NEAR(curve_value(law, 2600.0), 0.282, 0.003);
  EXPECT_NE(refusal(text(0.02)).find("line 1: engine.torque of 101 points"), std::string::npos);
}

TEST(SetupText, NamesTheLineThatIsWrong) {
  EXPECT_EQ(refusal("\n[first]\npinion = 16"),
            "line 2: sections are not read here: write the full path on each line");
  EXPECT_EQ(refusal("two_speed.gap = \"4.6 g\""),
            "line 1: two_speed.gap = \"4.6 g\" must be a number in m, or one in mm, cm, um, in");
  EXPECT_EQ(refusal("two_speed.gapp = 1"),
            "line 1: unknown field two_speed.gapp; nearest known field: two_speed.gap");
  EXPECT_EQ(refusal("front_axle = \"two_way\""),
            "line 1: front_axle = \"two_way\" must be solid or one_way or differential");
  EXPECT_EQ(refusal("first.pinion = 16 = 17"),
            "line 1: first.pinion = \"16 = 17\" must be a number, or one with the unit %");
  EXPECT_EQ(refusal("first.pinion = \"16\" 17"), "line 1: more than one value");
  EXPECT_EQ(refusal("first.pinion"), "line 1: expected = before the end of the line");
  EXPECT_EQ(refusal("first.pinion = \"16"), "line 1: expected \" before the end of the line");
  EXPECT_NE(refusal("engine.torque = [[1, 2], [3]]"), "");
  EXPECT_NE(refusal("engine.torque = [[1, 2], [3, 4]"), "");
  EXPECT_NE(refusal("engine.torque = [[\"1 m\", 2], [3, 4]]"), "");
  // Parts that do not go together: first gear longer than second.
  EXPECT_NE(refusal("first.pinion = 25\nfirst.spur = 40\nsecond.pinion = 10\nsecond.spur = 60"),
            "");
}

TEST(Units, AreReadWithOrWithoutABlank) {
  EXPECT_EQ(to_si("4.3mm", "m"), 0.0043);
  EXPECT_EQ(to_si(" +4.3 mm ", "m"), 0.0043);
  EXPECT_EQ(to_si("25 degC", "K"), 298.15);
  EXPECT_EQ(to_si("25 %", "1"), 0.25);
  EXPECT_EQ(to_si("1e3 rad/s", "rad/s"), 1000.0);
}

TEST(Units, ThatDoNotFitAreRefused) {
  for (const char* text :
       {"", "mm", "4,3 mm", "4.3 g", "nan", "inf m", "1e999", "0x10", "4 mm mm"}) {
    EXPECT_THROW(static_cast<void>(to_si(text, "m")), std::invalid_argument) << text;
  }
}

}  // namespace
}  // namespace layshaft
