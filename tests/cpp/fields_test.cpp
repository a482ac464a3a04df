#include "layshaft/car/fields.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <set>
#include <stdexcept>
#include <string>

#include "layshaft/car/drivetrain.hpp"

namespace layshaft {
namespace {

std::string refusal(const std::function<void()>& call) {
  try {
    call();
  } catch (const std::invalid_argument& refused) {
    return refused.what();
  }
  return "";
}

std::string refusal_of(std::string_view path, double value) {
  return refusal([&] { static_cast<void>(with_field(demo_car(), path, value)); });
}

TEST(Fields, EveryDefaultLiesInItsRange) {
  for (const Field& field : fields()) {
    EXPECT_LE(field.minimum, field.fallback) << field.path;
    EXPECT_GE(field.maximum, field.fallback) << field.path;
    EXPECT_LT(field.minimum, field.maximum) << field.path;
    EXPECT_FALSE(field.meaning.empty()) << field.path;
    EXPECT_FALSE(field.unit.empty()) << field.path;
  }
}

TEST(Fields, PathsAreUnique) {
  std::set<std::string_view> paths;
  for (const Field& field : fields()) EXPECT_TRUE(paths.insert(field.path).second) << field.path;
  for (const PairedField& pair : paired_fields()) {
    EXPECT_TRUE(paths.insert(pair.path).second) << pair.path;
  }
  EXPECT_TRUE(paths.insert(torque_curve_field().path).second);
}

TEST(Fields, EachFieldReadsBackWhatWasSetAndNoOtherChanges) {
  const Car car = demo_car();
  for (const Field& field : fields()) {
    for (const double value : {field.minimum, field.maximum}) {
      const Car changed = with_field(car, field.path, value);
      EXPECT_EQ(get_field(changed, field.path), value) << field.path;
      for (const Field& other : fields()) {
        if (other.path == field.path) continue;
        EXPECT_EQ(other.get(changed), other.get(car)) << field.path << " moves " << other.path;
      }
    }
  }
}

TEST(Fields, EveryNumberOfTheCarStandsInTheTable) {
  // A field set to its default and back leaves the same car: the table and the torque curve are all
  // there is of it.
  Car car{};
  for (const Field& field : fields()) field.set(car, field.fallback);
  car.engine.torque = demo_car().engine.torque;
  EXPECT_EQ(car, demo_car());
}

TEST(Fields, ChoicesCountFromZero) {
  for (const Field& field : fields()) {
    if (field.kind != FieldKind::choice) {
      EXPECT_TRUE(field.choices.empty()) << field.path;
      continue;
    }
    EXPECT_EQ(field.minimum, 0.0);
    EXPECT_EQ(field.maximum, static_cast<double>(field.choices.size()) - 1.0) << field.path;
  }
}

TEST(Fields, PairSetsBothShoesAndReadsEqualOnesOnly) {
  ASSERT_EQ(paired_fields().size(), 2U);
  const Car both = with_field(demo_car(), "two_speed.gap", 4.3e-3);
  EXPECT_EQ(both.two_speed.shoes[0].gap, 4.3e-3);
  EXPECT_EQ(both.two_speed.shoes[1].gap, 4.3e-3);
  EXPECT_EQ(get_field(both, "two_speed.gap"), 4.3e-3);
  EXPECT_EQ(fields_of("two_speed.slug_mass").size(), 2U);
  EXPECT_EQ(fields_of("body.mass").size(), 1U);
  const Car uneven = with_field(both, "two_speed.shoe_2.gap", 4.4e-3);
  EXPECT_EQ(refusal([&] { static_cast<void>(get_field(uneven, "two_speed.gap")); }),
            "the shoes differ: read two_speed.shoe_1.gap and two_speed.shoe_2.gap instead of "
            "two_speed.gap");
}

TEST(Fields, MistypedPathIsAnsweredWithTheNearest) {
  EXPECT_EQ(nearest_path("two_speed.gpa"), "two_speed.gap");
  EXPECT_EQ(nearest_path("body.mas"), "body.mass");
  EXPECT_EQ(nearest_path("first.pinoin"), "first.pinion");
  EXPECT_EQ(nearest_path("engine.torqe"), "engine.torque");
  EXPECT_EQ(find_field("body.mas"), nullptr);
  EXPECT_EQ(refusal_of("body.mas", 2.5), "unknown field body.mas; nearest known field: body.mass");
}

TEST(Fields, RefusalNamesPathValueUnitAndRange) {
  EXPECT_EQ(refusal_of("two_speed.screw_arm", -1.0),
            "two_speed.screw_arm = -1 m must be from 0.001 to 0.05 m");
  EXPECT_EQ(refusal_of("first.pinion", 16.5),
            "first.pinion = 16.5 must be a whole number from 8 to 200");
  EXPECT_EQ(refusal_of("brake.static_ratio", 0.5), "brake.static_ratio = 0.5 must be from 1 to 3");
}

TEST(Fields, RangeIsInclusiveAndRefusesWhatIsNotANumber) {
  for (const Field& field : fields()) {
    EXPECT_NO_THROW(check_range(field, field.minimum)) << field.path;
    EXPECT_NO_THROW(check_range(field, field.maximum)) << field.path;
    EXPECT_THROW(check_range(field, std::nextafter(field.minimum, -1e30)), std::invalid_argument);
    EXPECT_THROW(check_range(field, std::nextafter(field.maximum, 1e30)), std::invalid_argument);
    EXPECT_THROW(check_range(field, std::nan("")), std::invalid_argument) << field.path;
  }
}

TEST(Car, DemoCarIsValid) { EXPECT_NO_THROW(validate(demo_car())); }

TEST(Car, FirstGearMustBeShorterThanSecond) {
  // 45/22 in both gears, then first taller.
  Car car = demo_car();
  car.first.spur = car.second.spur;
  car.first.pinion = car.second.pinion;
  const std::string message = refusal([&] { validate(car); });
  EXPECT_NE(message.find("first.spur / pinion"), std::string::npos) << message;
  EXPECT_NE(message.find("must be > spur / pinion of the second gear"), std::string::npos)
      << message;
  car.first.pinion += 1;
  EXPECT_THROW(validate(car), std::invalid_argument);
  EXPECT_THROW(Drivetrain{car}, std::invalid_argument);
}

TEST(Car, FingerLooksNoFurtherAheadThanFourTimesItsLag) {
  Car car = demo_car();
  car.driver.response_time = 0.01;
  car.driver.anticipation = 0.04;
  EXPECT_NO_THROW(validate(car));
  car.driver.anticipation = 0.041;
  EXPECT_EQ(refusal([&] { validate(car); }),
            "driver.anticipation = 0.041 must be <= 0.04 s, 4 times driver.response_time");
}

TEST(Car, NamesAPartThatIsRefusedByItsPath) {
  Car blend = demo_car();
  blend.fuel.nitromethane = 0.7;
  blend.fuel.oil = 0.4;
  EXPECT_EQ(refusal([&] { validate(blend); }).find("fuel.oil = 0.4 must be "), 0U);
  for (const bool of_clutch : {true, false}) {
    Car car = demo_car();
    FrictionHeat& heat = of_clutch ? car.clutch.heat : car.two_speed_heat;
    heat.half_friction_temperature = heat.fade_start_temperature;
    const std::string part = of_clutch ? "clutch.heat." : "two_speed_heat.";
    EXPECT_EQ(refusal([&] { validate(car); }).find(part + "half_friction_temperature = "), 0U);
  }
  Car falling = demo_car();
  falling.engine.torque.x[3] = falling.engine.torque.x[2];
  EXPECT_EQ(refusal([&] { validate(falling); }).find("engine.torque.x[3] = "), 0U);
}

TEST(Car, EveryFieldOutOfItsRangeIsRefusedByTheWholeCar) {
  for (const Field& field : fields()) {
    if (field.kind == FieldKind::choice) continue;
    Car car = demo_car();
    field.set(car, field.maximum + 1.0);
    const std::string message = refusal([&] { validate(car); });
    EXPECT_EQ(message.find(field.path), 0U) << message;
  }
}

}  // namespace
}  // namespace layshaft
