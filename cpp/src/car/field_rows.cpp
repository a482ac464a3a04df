#include "layshaft/car/field_rows.hpp"

#include <array>

namespace layshaft {
namespace {

// A setting of one of the two shoes.
template <std::size_t Shoe, double ShoeSetting::* Member>
struct ShoeAccess {
  static double get(const Car& car) { return car.two_speed.shoes[Shoe].*Member; }
  static void set(Car& car, double value) { car.two_speed.shoes[Shoe].*Member = value; }
};

template <class Access>
Field number(std::string_view path, std::string_view unit, double fallback, double minimum,
             double maximum, std::string_view meaning) {
  return {path,    unit, FieldKind::number, fallback,    minimum, maximum,
          meaning, {},   &Access::get,      &Access::set};
}

template <class Access>
Field whole(std::string_view path, std::string_view unit, double fallback, double minimum,
            double maximum, std::string_view meaning) {
  return {path,    unit, FieldKind::count, fallback,    minimum, maximum,
          meaning, {},   &Access::get,     &Access::set};
}

template <class Access>
Field choice(std::string_view path, std::span<const std::string_view> choices, double fallback,
             std::string_view meaning) {
  const auto last = static_cast<double>(choices.size() - 1);
  return {path, "1",     FieldKind::choice, fallback,     0.0,
          last, meaning, choices,           &Access::get, &Access::set};
}

constexpr std::array<std::string_view, 2> kClutchDesign{"axial", "thrown_shoes"};
constexpr std::array<std::string_view, 2> kClutchAxialPressure{"uniform_wear", "uniform_pressure"};
constexpr std::array<std::string_view, 2> kTwoSpeedOrientation{"leading", "trailing"};
constexpr std::array<std::string_view, 2> kTwoSpeedReadingDirection{"falls_as_screw_goes_in",
                                                                    "rises_as_screw_goes_in"};
constexpr std::array<std::string_view, 2> kTwoSpeedHoldIn{"spring", "detent"};
constexpr std::array<std::string_view, 2> kFirstLoss{"from_teeth", "given"};
constexpr std::array<std::string_view, 3> kFrontAxle{"solid", "one_way", "differential"};

}  // namespace

// Defaults are the demo car's: invented numbers inside what is common for 1/8-scale nitro on-road
// cars.
std::vector<Field> field_rows() {
  return {
      number<Access<&Car::engine, &Engine::power_scale>>(
          "engine.power_scale", "1", 1.0, 0.2, 3.0, "Factor on the full-throttle torque curve"),
      number<Access<&Car::engine, &Engine::idle_speed>>("engine.idle_speed", "rad/s",
                                                        1047.1975511965977, 300.0, 2500.0,
                                                        "Speed held with the throttle shut"),
      number<Access<&Car::engine, &Engine::drag_slope>>(
          "engine.drag_slope", "N*m*s", 4e-05, 0.0, 0.001,
          "Friction torque per speed, throttle shut: the fall to idle takes inertia over it; it "
          "costs fuel, and no power of the torque curve"),
      number<Access<&Car::engine, &Engine::inertia>>("engine.inertia", "kg*m^2", 1.4e-05, 1e-06,
                                                     0.001,
                                                     "Crank, flywheel and clutch hub together"),
      number<Access<&Car::engine, &Engine::displacement>>(
          "engine.displacement", "m^3", 3.5e-06, 1e-07, 0.0001,
          "Swept volume: only the warning of too much power for it goes by it"),
      number<Access<&Car::engine, &Engine::speed_limit>>(
          "engine.speed_limit", "rad/s", 4712.38898038469, 1000.0, 6500.0,
          "Speed the engine must not pass: warned of, not held"),
      number<Access<&Car::engine, &Engine::efficiency>>(
          "engine.efficiency", "1", 0.18, 0.005, 0.5,
          "Indicated power over the fuel's heating power"),
      number<Access<&Car::fuel, &FuelBlend::nitromethane>>(
          "fuel.nitromethane", "1", 0.25, 0.0, 0.9,
          "Volume fraction of nitromethane: changes the fuel burnt; "
          "the power is that of the torque curve"),
      number<Access<&Car::fuel, &FuelBlend::oil>>("fuel.oil", "1", 0.1, 0.0, 0.4,
                                                  "Volume fraction of oil; the rest is methanol"),
      number<Access<&Car::fuel, &FuelBlend::oil_density>>("fuel.oil_density", "kg/m^3", 960.0,
                                                          700.0, 1200.0, "Density of the oil"),
      number<Access<&Car::fuel, &FuelBlend::tank_volume>>("fuel.tank_volume", "m^3", 0.000125,
                                                          1e-06, 0.01, "Volume of the tank"),
      choice<Access<&Car::clutch, &Clutch::design>>(
          "clutch.design", kClutchDesign, 0.0, "Which of the two clutch designs is in the car"),
      number<Access<&Car::clutch, &Clutch::bell_inertia>>(
          "clutch.bell_inertia", "kg*m^2", 5e-06, 1e-07, 0.001, "Clutch bell with both pinions"),
      whole<Access<&Car::clutch, &Clutch::axial, &AxialClutch::flyweight_count>>(
          "clutch.axial.flyweight_count", "1", 4.0, 1.0, 12.0, "Number of flyweights"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::flyweight_mass>>(
          "clutch.axial.flyweight_mass", "kg", 0.0013, 0.0001, 0.02,
          "Mass of one flyweight without its slug"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::slug_mass>>(
          "clutch.axial.slug_mass", "kg", 0.0, 0.0, 0.01, "Mass added to each flyweight"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::flyweight_radius>>(
          "clutch.axial.flyweight_radius", "m", 0.013, 0.003, 0.05,
          "Centre of mass of a flyweight from the crank's centre"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::lever_ratio>>(
          "clutch.axial.lever_ratio", "1", 1.1, 0.1, 10.0,
          "Thrust along the shaft for one unit of centrifugal force"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::nut_turns>>(
          "clutch.axial.nut_turns", "turn", 2.1, 0.0, 10.0,
          "Turns of the preload nut from first touch"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::nut_pitch>>(
          "clutch.axial.nut_pitch", "m", 0.001, 0.0002, 0.003, "Advance of the nut in one turn"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::force_at_zero_turns>>(
          "clutch.axial.force_at_zero_turns", "N", 0.0, 0.0, 500.0,
          "Spring force with the nut at first touch"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::spring_rate>>(
          "clutch.axial.spring_rate", "N/m", 115000.0, 1000.0, 200000.0,
          "Rate of the clutch spring"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::clearance>>(
          "clutch.axial.clearance", "m", 0.0007, 0.0, 0.005, "Travel of the plate to a new facing"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::wear>>(
          "clutch.axial.wear", "m", 0.0, 0.0, 0.005, "Facing worn away, square to its surface"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::facing_inner_radius>>(
          "clutch.axial.facing_inner_radius", "m", 0.012, 0.0, 0.05, "Inner radius of the facing"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::facing_outer_radius>>(
          "clutch.axial.facing_outer_radius", "m", 0.016, 0.002, 0.06,
          "Outer radius of the facing"),
      whole<Access<&Car::clutch, &Clutch::axial, &AxialClutch::facing_count>>(
          "clutch.axial.facing_count", "1", 1.0, 1.0, 8.0, "Number of rubbing faces"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::half_angle>>(
          "clutch.axial.half_angle", "rad", 1.5707963267948966, 0.3, 1.5707963267948966,
          "Half-angle of the cone; a quarter turn for a flat facing"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::friction>>(
          "clutch.axial.friction", "1", 0.35, 0.05, 1.0, "Sliding friction coefficient, cold"),
      number<Access<&Car::clutch, &Clutch::axial, &AxialClutch::static_friction>>(
          "clutch.axial.static_friction", "1", 0.39, 0.05, 1.0,
          "Friction coefficient at rest, cold"),
      choice<Access<&Car::clutch, &Clutch::axial, &AxialClutch::pressure>>(
          "clutch.axial.pressure", kClutchAxialPressure, 0.0, "How the facing shares out its load"),
      whole<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::shoe_count>>(
          "clutch.thrown_shoes.shoe_count", "1", 3.0, 1.0, 12.0, "Number of shoes"),
      number<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::shoe_mass>>(
          "clutch.thrown_shoes.shoe_mass", "kg", 0.0016, 0.0001, 0.05, "Mass of one shoe"),
      number<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::radius_at_rest>>(
          "clutch.thrown_shoes.radius_at_rest", "m", 0.0107, 0.003, 0.05,
          "Centre of mass of a shoe from the crank's centre, at rest"),
      number<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::drum_radius>>(
          "clutch.thrown_shoes.drum_radius", "m", 0.0145, 0.004, 0.06, "Inside radius of the bell"),
      number<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::spring_force_at_rest>>(
          "clutch.thrown_shoes.spring_force_at_rest", "N", 28.0, 0.0, 500.0,
          "Force holding one shoe in at rest"),
      number<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::spring_rate>>(
          "clutch.thrown_shoes.spring_rate", "N/m", 10000.0, 0.0, 200000.0,
          "Growth of that force with travel"),
      number<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::clearance>>(
          "clutch.thrown_shoes.clearance", "m", 0.0003, 0.0, 0.005,
          "Travel of a shoe to the bell with a new lining"),
      number<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::wear>>(
          "clutch.thrown_shoes.wear", "m", 0.0, 0.0, 0.005, "Lining worn away"),
      number<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::friction>>(
          "clutch.thrown_shoes.friction", "1", 0.3, 0.05, 1.0,
          "Sliding friction coefficient, cold"),
      number<Access<&Car::clutch, &Clutch::thrown_shoes, &ThrownShoes::static_friction>>(
          "clutch.thrown_shoes.static_friction", "1", 0.33, 0.05, 1.0,
          "Friction coefficient at rest, cold"),
      number<Access<&Car::clutch, &Clutch::heat, &FrictionHeat::surface_capacity>>(
          "clutch.heat.surface_capacity", "J/K", 8.0, 0.1, 500.0,
          "Heat capacity of the clutch linings and shoes"),
      number<Access<&Car::clutch, &Clutch::heat, &FrictionHeat::body_capacity>>(
          "clutch.heat.body_capacity", "J/K", 16.0, 0.1, 2000.0,
          "Heat capacity of the clutch drum or bell"),
      number<Access<&Car::clutch, &Clutch::heat, &FrictionHeat::between_conductance>>(
          "clutch.heat.between_conductance", "W/K", 0.6, 0.0, 50.0,
          "Heat passed between the two for each kelvin"),
      number<Access<&Car::clutch, &Clutch::heat, &FrictionHeat::surface_conductance>>(
          "clutch.heat.surface_conductance", "W/K", 0.05, 0.0, 50.0,
          "Heat given by the linings to the air for each kelvin"),
      number<Access<&Car::clutch, &Clutch::heat, &FrictionHeat::body_conductance>>(
          "clutch.heat.body_conductance", "W/K", 0.3, 0.0, 50.0,
          "Heat given by the drum or bell to the air for each kelvin"),
      number<Access<&Car::clutch, &Clutch::heat, &FrictionHeat::surface_share>>(
          "clutch.heat.surface_share", "1", 0.3, 0.0, 1.0,
          "Share of the slip heat that starts in the linings"),
      number<Access<&Car::clutch, &Clutch::heat, &FrictionHeat::fade_start_temperature>>(
          "clutch.heat.fade_start_temperature", "K", 423.15, 273.15, 1000.0,
          "Friction is flat up to this temperature (assumed)"),
      number<Access<&Car::clutch, &Clutch::heat, &FrictionHeat::half_friction_temperature>>(
          "clutch.heat.half_friction_temperature", "K", 623.15, 283.15, 1500.0,
          "Half of the friction is left at this temperature (assumed)"),
      number<Access<&Car::clutch, &Clutch::heat, &FrictionHeat::friction_floor>>(
          "clutch.heat.friction_floor", "1", 0.3, 0.0, 0.49,
          "Least share of the friction left, however hot (assumed)"),
      number<ShoeAccess<0, &ShoeSetting::gap>>("two_speed.shoe_1.gap", "m", 0.0044, 0.001, 0.01,
                                               "Caliper reading over the screw of shoe 1"),
      number<ShoeAccess<0, &ShoeSetting::slug_mass>>("two_speed.shoe_1.slug_mass", "kg", 0.001, 0.0,
                                                     0.01, "Mass of the weight in shoe 1"),
      number<ShoeAccess<1, &ShoeSetting::gap>>("two_speed.shoe_2.gap", "m", 0.0044, 0.001, 0.01,
                                               "Caliper reading over the screw of shoe 2"),
      number<ShoeAccess<1, &ShoeSetting::slug_mass>>("two_speed.shoe_2.slug_mass", "kg", 0.001, 0.0,
                                                     0.01, "Mass of the weight in shoe 2"),
      number<Access<&Car::two_speed, &TwoSpeed::shoe_mass>>(
          "two_speed.shoe_mass", "kg", 0.006, 0.0005, 0.05, "Mass of one shoe without its slug"),
      number<Access<&Car::two_speed, &TwoSpeed::shoe_centre_along>>(
          "two_speed.shoe_centre_along", "m", -0.003, -0.03, 0.03,
          "Centre of mass of a shoe along the line from shaft to pivot"),
      number<Access<&Car::two_speed, &TwoSpeed::shoe_centre_across>>(
          "two_speed.shoe_centre_across", "m", 0.0113, 0.001, 0.04,
          "Centre of mass of a shoe across that line, towards its free end"),
      number<Access<&Car::two_speed, &TwoSpeed::slug_centre_along>>(
          "two_speed.slug_centre_along", "m", -0.003, -0.03, 0.03,
          "Centre of mass of the slug along the line from shaft to pivot"),
      number<Access<&Car::two_speed, &TwoSpeed::slug_centre_across>>(
          "two_speed.slug_centre_across", "m", 0.0135, 0.0, 0.04,
          "Centre of mass of the slug across that line"),
      number<Access<&Car::two_speed, &TwoSpeed::pivot_radius>>(
          "two_speed.pivot_radius", "m", 0.012, 0.003, 0.05, "Shaft centre to the shoe's pivot"),
      number<Access<&Car::two_speed, &TwoSpeed::drum_radius>>(
          "two_speed.drum_radius", "m", 0.02, 0.005, 0.06, "Radius of the drum's rubbing surface"),
      number<Access<&Car::two_speed, &TwoSpeed::arc_start>>(
          "two_speed.arc_start", "rad", 1.0471975511965979, 0.0, 3.1,
          "Lining's start, as an angle from the line to the pivot"),
      number<Access<&Car::two_speed, &TwoSpeed::arc_end>>(
          "two_speed.arc_end", "rad", 2.6179938779914944, 0.05, 3.1415,
          "Lining's end, as an angle from the line to the pivot"),
      choice<Access<&Car::two_speed, &TwoSpeed::orientation>>(
          "two_speed.orientation", kTwoSpeedOrientation, 0.0,
          "How the shoes lie at the upshift: leading shoes press themselves on"),
      number<Access<&Car::two_speed, &TwoSpeed::friction>>(
          "two_speed.friction", "1", 0.28, 0.05, 1.0,
          "Sliding friction coefficient of shoe on drum, cold"),
      number<Access<&Car::two_speed, &TwoSpeed::static_friction>>(
          "two_speed.static_friction", "1", 0.3, 0.05, 1.0,
          "Friction coefficient of shoe on drum at rest, cold"),
      number<Access<&Car::two_speed, &TwoSpeed::clearance>>(
          "two_speed.clearance", "m", 0.0003, 1e-05, 0.003, "Way of the lining to the drum"),
      number<Access<&Car::two_speed, &TwoSpeed::spring_rate>>(
          "two_speed.spring_rate", "N/m", 116000.0, 1000.0, 2000000.0,
          "Rate of the hold-in spring at the screw"),
      number<Access<&Car::two_speed, &TwoSpeed::screw_arm>>(
          "two_speed.screw_arm", "m", 0.008, 0.001, 0.05,
          "Arm of the screw's force about the pivot"),
      number<Access<&Car::two_speed, &TwoSpeed::zero_preload_reading>>(
          "two_speed.zero_preload_reading", "m", 0.0061, 0.001, 0.02,
          "Caliper reading at which the spring is slack"),
      choice<Access<&Car::two_speed, &TwoSpeed::reading_direction>>(
          "two_speed.reading_direction", kTwoSpeedReadingDirection, 0.0,
          "What the caliper reading does as the screw goes in"),
      number<Access<&Car::two_speed, &TwoSpeed::screw_pitch>>(
          "two_speed.screw_pitch", "m", 0.0007, 0.0002, 0.002,
          "Advance of the set screw in one turn"),
      choice<Access<&Car::two_speed, &TwoSpeed::hold_in>>(
          "two_speed.hold_in", kTwoSpeedHoldIn, 1.0,
          "What holds a shoe in: a spring alone, or a detent that lets go"),
      number<Access<&Car::two_speed, &TwoSpeed::detent_ratio>>(
          "two_speed.detent_ratio", "1", 0.8, 0.0, 1.0,
          "Share of the hold left when the shoe is out; a plain spring does not use it"),
      number<Access<&Car::two_speed_heat, &FrictionHeat::surface_capacity>>(
          "two_speed_heat.surface_capacity", "J/K", 7.5, 0.1, 500.0,
          "Heat capacity of the two-speed linings and shoes"),
      number<Access<&Car::two_speed_heat, &FrictionHeat::body_capacity>>(
          "two_speed_heat.body_capacity", "J/K", 27.0, 0.1, 2000.0,
          "Heat capacity of the two-speed drum or bell"),
      number<Access<&Car::two_speed_heat, &FrictionHeat::between_conductance>>(
          "two_speed_heat.between_conductance", "W/K", 0.5, 0.0, 50.0,
          "Heat passed between the two for each kelvin"),
      number<Access<&Car::two_speed_heat, &FrictionHeat::surface_conductance>>(
          "two_speed_heat.surface_conductance", "W/K", 0.04, 0.0, 50.0,
          "Heat given by the linings to the air for each kelvin"),
      number<Access<&Car::two_speed_heat, &FrictionHeat::body_conductance>>(
          "two_speed_heat.body_conductance", "W/K", 0.25, 0.0, 50.0,
          "Heat given by the drum or bell to the air for each kelvin"),
      number<Access<&Car::two_speed_heat, &FrictionHeat::surface_share>>(
          "two_speed_heat.surface_share", "1", 0.5, 0.0, 1.0,
          "Share of the slip heat that starts in the linings"),
      number<Access<&Car::two_speed_heat, &FrictionHeat::fade_start_temperature>>(
          "two_speed_heat.fade_start_temperature", "K", 423.15, 273.15, 1000.0,
          "Friction is flat up to this temperature (assumed)"),
      number<Access<&Car::two_speed_heat, &FrictionHeat::half_friction_temperature>>(
          "two_speed_heat.half_friction_temperature", "K", 623.15, 283.15, 1500.0,
          "Half of the friction is left at this temperature (assumed)"),
      number<Access<&Car::two_speed_heat, &FrictionHeat::friction_floor>>(
          "two_speed_heat.friction_floor", "1", 0.3, 0.0, 0.49,
          "Least share of the friction left, however hot (assumed)"),
      whole<Access<&Car::first, &GearPair::spur>>("first.spur", "1", 50.0, 8.0, 200.0,
                                                  "Teeth of the spur"),
      whole<Access<&Car::first, &GearPair::pinion>>("first.pinion", "1", 17.0, 8.0, 200.0,
                                                    "Teeth of the pinion on the clutch bell"),
      number<Access<&Car::first, &GearPair::module>>("first.module", "m", 0.0008, 0.0002, 0.003,
                                                     "Pitch diameter for each tooth"),
      number<Access<&Car::first, &GearPair::pressure_angle>>("first.pressure_angle", "rad",
                                                             0.3490658503988659, 0.18, 0.52,
                                                             "Pressure angle of the cutter"),
      number<Access<&Car::first, &GearPair::addendum>>(
          "first.addendum", "1", 1.0, 0.5, 1.3, "Tooth height above the pitch circle, in modules"),
      number<Access<&Car::first, &GearPair::friction>>(
          "first.friction", "1", 0.1, 0.0, 0.5, "Mean friction coefficient of the tooth contact"),
      number<Access<&Car::first, &GearPair::efficiency>>(
          "first.efficiency", "1", 0.97, 0.5, 1.0,
          "Power out over power in, used when the loss is given"),
      choice<Access<&Car::first, &GearPair::loss>>("first.loss", kFirstLoss, 0.0,
                                                   "Where the mesh efficiency comes from"),
      whole<Access<&Car::second, &GearPair::spur>>("second.spur", "1", 45.0, 8.0, 200.0,
                                                   "Teeth of the spur"),
      whole<Access<&Car::second, &GearPair::pinion>>("second.pinion", "1", 22.0, 8.0, 200.0,
                                                     "Teeth of the pinion on the clutch bell"),
      number<Access<&Car::second, &GearPair::module>>("second.module", "m", 0.0008, 0.0002, 0.003,
                                                      "Pitch diameter for each tooth"),
      number<Access<&Car::second, &GearPair::pressure_angle>>("second.pressure_angle", "rad",
                                                              0.3490658503988659, 0.18, 0.52,
                                                              "Pressure angle of the cutter"),
      number<Access<&Car::second, &GearPair::addendum>>(
          "second.addendum", "1", 1.0, 0.5, 1.3, "Tooth height above the pitch circle, in modules"),
      number<Access<&Car::second, &GearPair::friction>>(
          "second.friction", "1", 0.1, 0.0, 0.5, "Mean friction coefficient of the tooth contact"),
      number<Access<&Car::second, &GearPair::efficiency>>(
          "second.efficiency", "1", 0.97, 0.5, 1.0,
          "Power out over power in, used when the loss is given"),
      choice<Access<&Car::second, &GearPair::loss>>("second.loss", kFirstLoss, 0.0,
                                                    "Where the mesh efficiency comes from"),
      number<Access<&Car::shafts, &Shafts::first_spur_inertia>>(
          "shafts.first_spur_inertia", "kg*m^2", 6e-06, 1e-07, 0.001,
          "First spur with the outer part of its one-way bearing"),
      number<Access<&Car::shafts, &Shafts::drum_inertia>>(
          "shafts.drum_inertia", "kg*m^2", 1.6e-05, 1e-07, 0.001, "Second spur with the drum"),
      number<Access<&Car::shafts, &Shafts::shaft_inertia>>(
          "shafts.shaft_inertia", "kg*m^2", 1.2e-05, 1e-07, 0.001,
          "Two-speed shaft with hub, shoes, brake disc and pulleys"),
      number<Access<&Car::shafts, &Shafts::drag>>("shafts.drag", "N*m", 0.01, 0.0, 1.0,
                                                  "Constant bearing drag at the two-speed shaft"),
      whole<Access<&Car::belts, &Belts::rear, &Belt::in_teeth>>(
          "belts.rear.in_teeth", "1", 18.0, 8.0, 200.0,
          "Teeth of the rear belt's pulley nearer the engine"),
      whole<Access<&Car::belts, &Belts::rear, &Belt::out_teeth>>(
          "belts.rear.out_teeth", "1", 45.0, 8.0, 200.0,
          "Teeth of the rear belt's pulley nearer the wheels"),
      whole<Access<&Car::belts, &Belts::rear, &Belt::belt_teeth>>(
          "belts.rear.belt_teeth", "1", 76.0, 20.0, 1000.0, "Teeth of the rear belt"),
      number<Access<&Car::belts, &Belts::rear, &Belt::pitch>>("belts.rear.pitch", "m", 0.003, 0.001,
                                                              0.01, "Distance of the belt's teeth"),
      number<Access<&Car::belts, &Belts::rear, &Belt::tension>>(
          "belts.rear.tension", "N", 80.0, 0.0, 500.0,
          "Span tension, standing: decides when the belt jumps; its loss is the efficiency's"),
      number<Access<&Car::belts, &Belts::rear, &Belt::flank_angle>>(
          "belts.rear.flank_angle", "rad", 0.3490658503988659, 0.0, 1.0,
          "Lean of the tooth flank from the radius"),
      number<Access<&Car::belts, &Belts::rear, &Belt::friction>>(
          "belts.rear.friction", "1", 0.2, 0.0, 1.0, "Friction of belt tooth on pulley"),
      number<Access<&Car::belts, &Belts::rear, &Belt::linear_mass>>(
          "belts.rear.linear_mass", "kg/m", 0.006, 0.0, 0.05, "Belt mass for each length"),
      number<Access<&Car::belts, &Belts::rear, &Belt::efficiency>>(
          "belts.rear.efficiency", "1", 0.97, 0.5, 1.0, "Power out over power in while driving"),
      whole<Access<&Car::belts, &Belts::middle, &Belt::in_teeth>>(
          "belts.middle.in_teeth", "1", 20.0, 8.0, 200.0,
          "Teeth of the middle belt's pulley nearer the engine"),
      whole<Access<&Car::belts, &Belts::middle, &Belt::out_teeth>>(
          "belts.middle.out_teeth", "1", 20.0, 8.0, 200.0,
          "Teeth of the middle belt's pulley nearer the wheels"),
      whole<Access<&Car::belts, &Belts::middle, &Belt::belt_teeth>>(
          "belts.middle.belt_teeth", "1", 120.0, 20.0, 1000.0, "Teeth of the middle belt"),
      number<Access<&Car::belts, &Belts::middle, &Belt::pitch>>(
          "belts.middle.pitch", "m", 0.003, 0.001, 0.01, "Distance of the belt's teeth"),
      number<Access<&Car::belts, &Belts::middle, &Belt::tension>>(
          "belts.middle.tension", "N", 80.0, 0.0, 500.0,
          "Span tension, standing: decides when the belt jumps; its loss is the efficiency's"),
      number<Access<&Car::belts, &Belts::middle, &Belt::flank_angle>>(
          "belts.middle.flank_angle", "rad", 0.3490658503988659, 0.0, 1.0,
          "Lean of the tooth flank from the radius"),
      number<Access<&Car::belts, &Belts::middle, &Belt::friction>>(
          "belts.middle.friction", "1", 0.2, 0.0, 1.0, "Friction of belt tooth on pulley"),
      number<Access<&Car::belts, &Belts::middle, &Belt::linear_mass>>(
          "belts.middle.linear_mass", "kg/m", 0.006, 0.0, 0.05, "Belt mass for each length"),
      number<Access<&Car::belts, &Belts::middle, &Belt::efficiency>>(
          "belts.middle.efficiency", "1", 0.985, 0.5, 1.0, "Power out over power in while driving"),
      whole<Access<&Car::belts, &Belts::front, &Belt::in_teeth>>(
          "belts.front.in_teeth", "1", 18.0, 8.0, 200.0,
          "Teeth of the front belt's pulley nearer the engine"),
      whole<Access<&Car::belts, &Belts::front, &Belt::out_teeth>>(
          "belts.front.out_teeth", "1", 42.0, 8.0, 200.0,
          "Teeth of the front belt's pulley nearer the wheels"),
      whole<Access<&Car::belts, &Belts::front, &Belt::belt_teeth>>(
          "belts.front.belt_teeth", "1", 76.0, 20.0, 1000.0, "Teeth of the front belt"),
      number<Access<&Car::belts, &Belts::front, &Belt::pitch>>(
          "belts.front.pitch", "m", 0.003, 0.001, 0.01, "Distance of the belt's teeth"),
      number<Access<&Car::belts, &Belts::front, &Belt::tension>>(
          "belts.front.tension", "N", 80.0, 0.0, 500.0,
          "Span tension, standing: decides when the belt jumps; its loss is the efficiency's"),
      number<Access<&Car::belts, &Belts::front, &Belt::flank_angle>>(
          "belts.front.flank_angle", "rad", 0.3490658503988659, 0.0, 1.0,
          "Lean of the tooth flank from the radius"),
      number<Access<&Car::belts, &Belts::front, &Belt::friction>>(
          "belts.front.friction", "1", 0.2, 0.0, 1.0, "Friction of belt tooth on pulley"),
      number<Access<&Car::belts, &Belts::front, &Belt::linear_mass>>(
          "belts.front.linear_mass", "kg/m", 0.006, 0.0, 0.05, "Belt mass for each length"),
      number<Access<&Car::belts, &Belts::front, &Belt::efficiency>>(
          "belts.front.efficiency", "1", 0.985, 0.5, 1.0, "Power out over power in while driving"),
      choice<Access<&Car::front_axle>>("front_axle", kFrontAxle, 0.0,
                                       "How the front axle is joined to its belt"),
      number<Access<&Car::rear_tyre, &Tyre::radius>>("rear_tyre.radius", "m", 0.0365, 0.01, 0.2,
                                                     "Rolling radius when new, standing"),
      number<Access<&Car::rear_tyre, &Tyre::wear>>("rear_tyre.wear", "m", 0.0, 0.0, 0.03,
                                                   "Radius lost so far"),
      number<Access<&Car::rear_tyre, &Tyre::growth>>("rear_tyre.growth", "m*s^2", 4e-10, 0.0, 1e-07,
                                                     "Radius gained for each square of axle speed"),
      number<Access<&Car::rear_tyre, &Tyre::friction_peak>>(
          "rear_tyre.friction_peak", "1", 2.4, 0.2, 3.0,
          "Peak friction coefficient at the reference load"),
      number<Access<&Car::rear_tyre, &Tyre::load_sensitivity>>(
          "rear_tyre.load_sensitivity", "1", 0.05, 0.0, 0.3,
          "Friction lost for each relative increase of load"),
      number<Access<&Car::rear_tyre, &Tyre::reference_load>>(
          "rear_tyre.reference_load", "N", 14.0, 1.0, 500.0,
          "Load of the axle at which the peak friction holds"),
      number<Access<&Car::rear_tyre, &Tyre::stiffness_factor>>(
          "rear_tyre.stiffness_factor", "1", 28.0, 2.0, 200.0,
          "Force for each unit of slip and load, at small slip"),
      number<Access<&Car::rear_tyre, &Tyre::cornering_stiffness>>(
          "rear_tyre.cornering_stiffness", "1", 12.0, 2.0, 200.0,
          "Force sideways for each radian of slip angle and unit of load"),
      number<Access<&Car::rear_tyre, &Tyre::shape>>("rear_tyre.shape", "1", 1.45, 1.0, 2.0,
                                                    "Shape factor of the force curve"),
      number<Access<&Car::rear_tyre, &Tyre::curvature>>("rear_tyre.curvature", "1", 0.0, -20.0, 1.0,
                                                        "Curvature factor of the force curve"),
      number<Access<&Car::rear_tyre, &Tyre::relaxation>>(
          "rear_tyre.relaxation", "m", 0.02, 0.002, 0.5,
          "Rolling length over which the force builds up"),
      number<Access<&Car::rear_tyre, &Tyre::damping_time>>(
          "rear_tyre.damping_time", "s", 0.003, 0.0, 0.1, "Damping over stiffness of the carcass"),
      number<Access<&Car::rear_tyre, &Tyre::rolling_resistance>>(
          "rear_tyre.rolling_resistance", "1", 0.03, 0.0, 0.3, "Rolling drag over load"),
      number<Access<&Car::rear_tyre, &Tyre::inertia>>("rear_tyre.inertia", "kg*m^2", 7e-05, 1e-06,
                                                      0.01, "Axle, pulley and both wheels"),
      number<Access<&Car::front_tyre, &Tyre::radius>>("front_tyre.radius", "m", 0.0345, 0.01, 0.2,
                                                      "Rolling radius when new, standing"),
      number<Access<&Car::front_tyre, &Tyre::wear>>("front_tyre.wear", "m", 0.0, 0.0, 0.03,
                                                    "Radius lost so far"),
      number<Access<&Car::front_tyre, &Tyre::growth>>(
          "front_tyre.growth", "m*s^2", 4e-10, 0.0, 1e-07,
          "Radius gained for each square of axle speed"),
      number<Access<&Car::front_tyre, &Tyre::friction_peak>>(
          "front_tyre.friction_peak", "1", 2.35, 0.2, 3.0,
          "Peak friction coefficient at the reference load"),
      number<Access<&Car::front_tyre, &Tyre::load_sensitivity>>(
          "front_tyre.load_sensitivity", "1", 0.05, 0.0, 0.3,
          "Friction lost for each relative increase of load"),
      number<Access<&Car::front_tyre, &Tyre::reference_load>>(
          "front_tyre.reference_load", "N", 11.0, 1.0, 500.0,
          "Load of the axle at which the peak friction holds"),
      number<Access<&Car::front_tyre, &Tyre::stiffness_factor>>(
          "front_tyre.stiffness_factor", "1", 28.0, 2.0, 200.0,
          "Force for each unit of slip and load, at small slip"),
      number<Access<&Car::front_tyre, &Tyre::cornering_stiffness>>(
          "front_tyre.cornering_stiffness", "1", 12.0, 2.0, 200.0,
          "Force sideways for each radian of slip angle and unit of load"),
      number<Access<&Car::front_tyre, &Tyre::shape>>("front_tyre.shape", "1", 1.45, 1.0, 2.0,
                                                     "Shape factor of the force curve"),
      number<Access<&Car::front_tyre, &Tyre::curvature>>(
          "front_tyre.curvature", "1", 0.0, -20.0, 1.0, "Curvature factor of the force curve"),
      number<Access<&Car::front_tyre, &Tyre::relaxation>>(
          "front_tyre.relaxation", "m", 0.02, 0.002, 0.5,
          "Rolling length over which the force builds up"),
      number<Access<&Car::front_tyre, &Tyre::damping_time>>(
          "front_tyre.damping_time", "s", 0.003, 0.0, 0.1, "Damping over stiffness of the carcass"),
      number<Access<&Car::front_tyre, &Tyre::rolling_resistance>>(
          "front_tyre.rolling_resistance", "1", 0.03, 0.0, 0.3, "Rolling drag over load"),
      number<Access<&Car::front_tyre, &Tyre::inertia>>("front_tyre.inertia", "kg*m^2", 5e-05, 1e-06,
                                                       0.01, "Axle, pulley and both wheels"),
      number<Access<&Car::brake, &Brake::torque>>(
          "brake.torque", "N*m", 2.5, 0.0, 50.0,
          "Brake torque at the two-speed shaft with the pedal fully pressed"),
      number<Access<&Car::brake, &Brake::static_ratio>>(
          "brake.static_ratio", "1", 1.1, 1.0, 3.0,
          "Brake torque held at rest over the sliding torque"),
      number<Access<&Car::body, &Body::mass>>("body.mass", "kg", 2.55, 0.5, 20.0,
                                              "Car ready to race, with fuel"),
      number<Access<&Car::body, &Body::wheelbase>>("body.wheelbase", "m", 0.29, 0.1, 1.0,
                                                   "Distance between the axles"),
      number<Access<&Car::body, &Body::centre_height>>("body.centre_height", "m", 0.035, 0.005, 0.3,
                                                       "Centre of gravity above the ground"),
      number<Access<&Car::body, &Body::front_share>>(
          "body.front_share", "1", 0.44, 0.1, 0.9, "Share of the weight on the front axle at rest"),
      number<Access<&Car::body, &Body::drag_area>>("body.drag_area", "m^2", 0.015, 0.0, 0.2,
                                                   "Drag coefficient times frontal area"),
      number<Access<&Car::body, &Body::downforce_area>>("body.downforce_area", "m^2", 0.06, -0.1,
                                                        0.3, "Downforce coefficient times area"),
      number<Access<&Car::body, &Body::downforce_front_share>>(
          "body.downforce_front_share", "1", 0.44, 0.0, 1.0,
          "Share of the downforce on the front axle"),
      number<Access<&Car::body, &Body::yaw_inertia>>(
          "body.yaw_inertia", "kg*m^2", 0.021, 0.001, 0.5,
          "Car about its upright axis; felt where a corner begins and ends"),
      number<Access<&Car::body, &Body::load_transfer_time>>(
          "body.load_transfer_time", "s", 0.05, 0.005, 1.0,
          "Time constant with which load moves between the axles"),
      number<Access<&Car::air, &Air::temperature>>("air.temperature", "K", 293.15, 230.0, 330.0,
                                                   "Air temperature at the track"),
      number<Access<&Car::air, &Air::pressure>>(
          "air.pressure", "Pa", 101325.0, 50000.0, 110000.0,
          "Air pressure at the track, not reduced to sea level"),
      number<Access<&Car::air, &Air::relative_humidity>>("air.relative_humidity", "1", 0.5, 0.0,
                                                         1.0, "Relative humidity"),
      number<Access<&Car::air, &Air::carbon_dioxide>>("air.carbon_dioxide", "1", 0.0004, 0.0, 0.01,
                                                      "Amount fraction of carbon dioxide"),
      number<Access<&Car::driver, &Driver::throttle>>("driver.throttle", "1", 1.0, 0.0, 1.0,
                                                      "Opening aimed at"),
      number<Access<&Car::driver, &Driver::rise_time>>("driver.rise_time", "s", 0.15, 0.001, 10.0,
                                                       "Time from shut to that opening"),
      number<Access<&Car::driver, &Driver::response_time>>(
          "driver.response_time", "s", 0.08, 0.002, 1.0, "Lag of the driver's hand and the servo"),
      number<Access<&Car::driver, &Driver::slip_target>>(
          "driver.slip_target", "1", 0.18, 0.005, 10.0,
          "Rear tyre slip at which the opening is halved"),
      number<Access<&Car::driver, &Driver::anticipation>>(
          "driver.anticipation", "s", 0.015, 0.0, 1.0, "How far ahead the driver judges the slip"),
  };
}

}  // namespace layshaft
