"""Fields of a car by section and by path; written by tests/make_stubs.py."""

from typing import Any, Literal, overload

from layshaft.setup.section import Section
from layshaft.setup.field_table import Points

class Engine(Section):
    @property
    def torque(self) -> Points:
        """Full-throttle torque over engine speed in reference air, 2 points or more [rad/s, N*m]."""
    @property
    def power_scale(self) -> float:
        """Factor on the full-throttle torque curve [-]."""
    @property
    def idle_speed(self) -> float:
        """Speed held with the throttle shut [rad/s]."""
    @property
    def drag_slope(self) -> float:
        """Friction torque per speed, throttle shut: the fall to idle takes inertia over it; it costs fuel, and no power of the torque curve [N*m*s]."""
    @property
    def inertia(self) -> float:
        """Crank, flywheel and clutch hub together [kg*m^2]."""
    @property
    def displacement(self) -> float:
        """Swept volume: only the warning of too much power for it goes by it [m^3]."""
    @property
    def speed_limit(self) -> float:
        """Speed the engine must not pass: warned of, not held [rad/s]."""
    @property
    def efficiency(self) -> float:
        """Indicated power over the fuel's heating power [-]."""

class Fuel(Section):
    @property
    def nitromethane(self) -> float:
        """Volume fraction of nitromethane: changes the fuel burnt; the power is that of the torque curve [-]."""
    @property
    def oil(self) -> float:
        """Volume fraction of oil; the rest is methanol [-]."""
    @property
    def oil_density(self) -> float:
        """Density of the oil [kg/m^3]."""
    @property
    def tank_volume(self) -> float:
        """Volume of the tank [m^3]."""

class Clutch(Section):
    @property
    def design(self) -> Literal['axial', 'thrown_shoes']:
        """Which of the two clutch designs is in the car."""
    @property
    def bell_inertia(self) -> float:
        """Clutch bell with both pinions [kg*m^2]."""
    @property
    def axial(self) -> ClutchAxial:
        """Section `clutch.axial`."""
    @property
    def thrown_shoes(self) -> ClutchThrownShoes:
        """Section `clutch.thrown_shoes`."""
    @property
    def heat(self) -> ClutchHeat:
        """Section `clutch.heat`."""

class ClutchAxial(Section):
    @property
    def flyweight_count(self) -> int:
        """Number of flyweights."""
    @property
    def flyweight_mass(self) -> float:
        """Mass of one flyweight without its slug [kg]."""
    @property
    def slug_mass(self) -> float:
        """Mass added to each flyweight [kg]."""
    @property
    def flyweight_radius(self) -> float:
        """Centre of mass of a flyweight from the crank's centre [m]."""
    @property
    def lever_ratio(self) -> float:
        """Thrust along the shaft for one unit of centrifugal force [-]."""
    @property
    def nut_turns(self) -> float:
        """Turns of the preload nut from first touch [turn]."""
    @property
    def nut_pitch(self) -> float:
        """Advance of the nut in one turn [m]."""
    @property
    def force_at_zero_turns(self) -> float:
        """Spring force with the nut at first touch [N]."""
    @property
    def spring_rate(self) -> float:
        """Rate of the clutch spring [N/m]."""
    @property
    def clearance(self) -> float:
        """Travel of the plate to a new facing [m]."""
    @property
    def wear(self) -> float:
        """Facing worn away, square to its surface [m]."""
    @property
    def facing_inner_radius(self) -> float:
        """Inner radius of the facing [m]."""
    @property
    def facing_outer_radius(self) -> float:
        """Outer radius of the facing [m]."""
    @property
    def facing_count(self) -> int:
        """Number of rubbing faces."""
    @property
    def half_angle(self) -> float:
        """Half-angle of the cone; a quarter turn for a flat facing [rad]."""
    @property
    def friction(self) -> float:
        """Sliding friction coefficient, cold [-]."""
    @property
    def static_friction(self) -> float:
        """Friction coefficient at rest, cold [-]."""
    @property
    def pressure(self) -> Literal['uniform_wear', 'uniform_pressure']:
        """How the facing shares out its load."""

class ClutchThrownShoes(Section):
    @property
    def shoe_count(self) -> int:
        """Number of shoes."""
    @property
    def shoe_mass(self) -> float:
        """Mass of one shoe [kg]."""
    @property
    def radius_at_rest(self) -> float:
        """Centre of mass of a shoe from the crank's centre, at rest [m]."""
    @property
    def drum_radius(self) -> float:
        """Inside radius of the bell [m]."""
    @property
    def spring_force_at_rest(self) -> float:
        """Force holding one shoe in at rest [N]."""
    @property
    def spring_rate(self) -> float:
        """Growth of that force with travel [N/m]."""
    @property
    def clearance(self) -> float:
        """Travel of a shoe to the bell with a new lining [m]."""
    @property
    def wear(self) -> float:
        """Lining worn away [m]."""
    @property
    def friction(self) -> float:
        """Sliding friction coefficient, cold [-]."""
    @property
    def static_friction(self) -> float:
        """Friction coefficient at rest, cold [-]."""

class ClutchHeat(Section):
    @property
    def surface_capacity(self) -> float:
        """Heat capacity of the clutch linings and shoes [J/K]."""
    @property
    def body_capacity(self) -> float:
        """Heat capacity of the clutch drum or bell [J/K]."""
    @property
    def between_conductance(self) -> float:
        """Heat passed between the two for each kelvin [W/K]."""
    @property
    def surface_conductance(self) -> float:
        """Heat given by the linings to the air for each kelvin [W/K]."""
    @property
    def body_conductance(self) -> float:
        """Heat given by the drum or bell to the air for each kelvin [W/K]."""
    @property
    def surface_share(self) -> float:
        """Share of the slip heat that starts in the linings [-]."""
    @property
    def fade_start_temperature(self) -> float:
        """Friction is flat up to this temperature (assumed) [K]."""
    @property
    def half_friction_temperature(self) -> float:
        """Half of the friction is left at this temperature (assumed) [K]."""
    @property
    def friction_floor(self) -> float:
        """Least share of the friction left, however hot (assumed) [-]."""

class TwoSpeed(Section):
    @property
    def shoe_1(self) -> TwoSpeedShoe1:
        """Section `two_speed.shoe_1`."""
    @property
    def shoe_2(self) -> TwoSpeedShoe2:
        """Section `two_speed.shoe_2`."""
    @property
    def shoe_mass(self) -> float:
        """Mass of one shoe without its slug [kg]."""
    @property
    def shoe_centre_along(self) -> float:
        """Centre of mass of a shoe along the line from shaft to pivot [m]."""
    @property
    def shoe_centre_across(self) -> float:
        """Centre of mass of a shoe across that line, towards its free end [m]."""
    @property
    def slug_centre_along(self) -> float:
        """Centre of mass of the slug along the line from shaft to pivot [m]."""
    @property
    def slug_centre_across(self) -> float:
        """Centre of mass of the slug across that line [m]."""
    @property
    def pivot_radius(self) -> float:
        """Shaft centre to the shoe's pivot [m]."""
    @property
    def drum_radius(self) -> float:
        """Radius of the drum's rubbing surface [m]."""
    @property
    def arc_start(self) -> float:
        """Lining's start, as an angle from the line to the pivot [rad]."""
    @property
    def arc_end(self) -> float:
        """Lining's end, as an angle from the line to the pivot [rad]."""
    @property
    def orientation(self) -> Literal['leading', 'trailing']:
        """How the shoes lie at the upshift: leading shoes press themselves on."""
    @property
    def friction(self) -> float:
        """Sliding friction coefficient of shoe on drum, cold [-]."""
    @property
    def static_friction(self) -> float:
        """Friction coefficient of shoe on drum at rest, cold [-]."""
    @property
    def clearance(self) -> float:
        """Way of the lining to the drum [m]."""
    @property
    def spring_rate(self) -> float:
        """Rate of the hold-in spring at the screw [N/m]."""
    @property
    def screw_arm(self) -> float:
        """Arm of the screw's force about the pivot [m]."""
    @property
    def zero_preload_reading(self) -> float:
        """Caliper reading at which the spring is slack [m]."""
    @property
    def reading_direction(self) -> Literal['falls_as_screw_goes_in', 'rises_as_screw_goes_in']:
        """What the caliper reading does as the screw goes in."""
    @property
    def screw_pitch(self) -> float:
        """Advance of the set screw in one turn [m]."""
    @property
    def hold_in(self) -> Literal['spring', 'detent']:
        """What holds a shoe in: a spring alone, or a detent that lets go."""
    @property
    def detent_ratio(self) -> float:
        """Share of the hold left when the shoe is out; a plain spring does not use it [-]."""
    @property
    def gap(self) -> float:
        """Caliper reading over the screw of shoe 1 [m]."""
    @property
    def slug_mass(self) -> float:
        """Mass of the weight in shoe 1 [kg]."""

class TwoSpeedShoe1(Section):
    @property
    def gap(self) -> float:
        """Caliper reading over the screw of shoe 1 [m]."""
    @property
    def slug_mass(self) -> float:
        """Mass of the weight in shoe 1 [kg]."""

class TwoSpeedShoe2(Section):
    @property
    def gap(self) -> float:
        """Caliper reading over the screw of shoe 2 [m]."""
    @property
    def slug_mass(self) -> float:
        """Mass of the weight in shoe 2 [kg]."""

class TwoSpeedHeat(Section):
    @property
    def surface_capacity(self) -> float:
        """Heat capacity of the two-speed linings and shoes [J/K]."""
    @property
    def body_capacity(self) -> float:
        """Heat capacity of the two-speed drum or bell [J/K]."""
    @property
    def between_conductance(self) -> float:
        """Heat passed between the two for each kelvin [W/K]."""
    @property
    def surface_conductance(self) -> float:
        """Heat given by the linings to the air for each kelvin [W/K]."""
    @property
    def body_conductance(self) -> float:
        """Heat given by the drum or bell to the air for each kelvin [W/K]."""
    @property
    def surface_share(self) -> float:
        """Share of the slip heat that starts in the linings [-]."""
    @property
    def fade_start_temperature(self) -> float:
        """Friction is flat up to this temperature (assumed) [K]."""
    @property
    def half_friction_temperature(self) -> float:
        """Half of the friction is left at this temperature (assumed) [K]."""
    @property
    def friction_floor(self) -> float:
        """Least share of the friction left, however hot (assumed) [-]."""

class First(Section):
    @property
    def spur(self) -> int:
        """Teeth of the spur."""
    @property
    def pinion(self) -> int:
        """Teeth of the pinion on the clutch bell."""
    @property
    def module(self) -> float:
        """Pitch diameter for each tooth [m]."""
    @property
    def pressure_angle(self) -> float:
        """Pressure angle of the cutter [rad]."""
    @property
    def addendum(self) -> float:
        """Tooth height above the pitch circle, in modules [-]."""
    @property
    def friction(self) -> float:
        """Mean friction coefficient of the tooth contact [-]."""
    @property
    def efficiency(self) -> float:
        """Power out over power in, used when the loss is given [-]."""
    @property
    def loss(self) -> Literal['from_teeth', 'given']:
        """Where the mesh efficiency comes from."""

class Second(Section):
    @property
    def spur(self) -> int:
        """Teeth of the spur."""
    @property
    def pinion(self) -> int:
        """Teeth of the pinion on the clutch bell."""
    @property
    def module(self) -> float:
        """Pitch diameter for each tooth [m]."""
    @property
    def pressure_angle(self) -> float:
        """Pressure angle of the cutter [rad]."""
    @property
    def addendum(self) -> float:
        """Tooth height above the pitch circle, in modules [-]."""
    @property
    def friction(self) -> float:
        """Mean friction coefficient of the tooth contact [-]."""
    @property
    def efficiency(self) -> float:
        """Power out over power in, used when the loss is given [-]."""
    @property
    def loss(self) -> Literal['from_teeth', 'given']:
        """Where the mesh efficiency comes from."""

class Shafts(Section):
    @property
    def first_spur_inertia(self) -> float:
        """First spur with the outer part of its one-way bearing [kg*m^2]."""
    @property
    def drum_inertia(self) -> float:
        """Second spur with the drum [kg*m^2]."""
    @property
    def shaft_inertia(self) -> float:
        """Two-speed shaft with hub, shoes, brake disc and pulleys [kg*m^2]."""
    @property
    def drag(self) -> float:
        """Constant bearing drag at the two-speed shaft [N*m]."""

class Belts(Section):
    @property
    def rear(self) -> BeltsRear:
        """Section `belts.rear`."""
    @property
    def middle(self) -> BeltsMiddle:
        """Section `belts.middle`."""
    @property
    def front(self) -> BeltsFront:
        """Section `belts.front`."""

class BeltsRear(Section):
    @property
    def in_teeth(self) -> int:
        """Teeth of the rear belt's pulley nearer the engine."""
    @property
    def out_teeth(self) -> int:
        """Teeth of the rear belt's pulley nearer the wheels."""
    @property
    def belt_teeth(self) -> int:
        """Teeth of the rear belt."""
    @property
    def pitch(self) -> float:
        """Distance of the belt's teeth [m]."""
    @property
    def tension(self) -> float:
        """Span tension, standing: decides when the belt jumps; its loss is the efficiency's [N]."""
    @property
    def flank_angle(self) -> float:
        """Lean of the tooth flank from the radius [rad]."""
    @property
    def friction(self) -> float:
        """Friction of belt tooth on pulley [-]."""
    @property
    def linear_mass(self) -> float:
        """Belt mass for each length [kg/m]."""
    @property
    def efficiency(self) -> float:
        """Power out over power in while driving [-]."""

class BeltsMiddle(Section):
    @property
    def in_teeth(self) -> int:
        """Teeth of the middle belt's pulley nearer the engine."""
    @property
    def out_teeth(self) -> int:
        """Teeth of the middle belt's pulley nearer the wheels."""
    @property
    def belt_teeth(self) -> int:
        """Teeth of the middle belt."""
    @property
    def pitch(self) -> float:
        """Distance of the belt's teeth [m]."""
    @property
    def tension(self) -> float:
        """Span tension, standing: decides when the belt jumps; its loss is the efficiency's [N]."""
    @property
    def flank_angle(self) -> float:
        """Lean of the tooth flank from the radius [rad]."""
    @property
    def friction(self) -> float:
        """Friction of belt tooth on pulley [-]."""
    @property
    def linear_mass(self) -> float:
        """Belt mass for each length [kg/m]."""
    @property
    def efficiency(self) -> float:
        """Power out over power in while driving [-]."""

class BeltsFront(Section):
    @property
    def in_teeth(self) -> int:
        """Teeth of the front belt's pulley nearer the engine."""
    @property
    def out_teeth(self) -> int:
        """Teeth of the front belt's pulley nearer the wheels."""
    @property
    def belt_teeth(self) -> int:
        """Teeth of the front belt."""
    @property
    def pitch(self) -> float:
        """Distance of the belt's teeth [m]."""
    @property
    def tension(self) -> float:
        """Span tension, standing: decides when the belt jumps; its loss is the efficiency's [N]."""
    @property
    def flank_angle(self) -> float:
        """Lean of the tooth flank from the radius [rad]."""
    @property
    def friction(self) -> float:
        """Friction of belt tooth on pulley [-]."""
    @property
    def linear_mass(self) -> float:
        """Belt mass for each length [kg/m]."""
    @property
    def efficiency(self) -> float:
        """Power out over power in while driving [-]."""

class RearTyre(Section):
    @property
    def radius(self) -> float:
        """Rolling radius when new, standing [m]."""
    @property
    def wear(self) -> float:
        """Radius lost so far [m]."""
    @property
    def growth(self) -> float:
        """Radius gained for each square of axle speed [m*s^2]."""
    @property
    def friction_peak(self) -> float:
        """Peak friction coefficient at the reference load [-]."""
    @property
    def load_sensitivity(self) -> float:
        """Friction lost for each relative increase of load [-]."""
    @property
    def reference_load(self) -> float:
        """Load of the axle at which the peak friction holds [N]."""
    @property
    def stiffness_factor(self) -> float:
        """Force for each unit of slip and load, at small slip [-]."""
    @property
    def cornering_stiffness(self) -> float:
        """Force sideways for each radian of slip angle and unit of load [-]."""
    @property
    def shape(self) -> float:
        """Shape factor of the force curve [-]."""
    @property
    def curvature(self) -> float:
        """Curvature factor of the force curve [-]."""
    @property
    def relaxation(self) -> float:
        """Rolling length over which the force builds up [m]."""
    @property
    def damping_time(self) -> float:
        """Damping over stiffness of the carcass [s]."""
    @property
    def rolling_resistance(self) -> float:
        """Rolling drag over load [-]."""
    @property
    def inertia(self) -> float:
        """Axle, pulley and both wheels [kg*m^2]."""

class FrontTyre(Section):
    @property
    def radius(self) -> float:
        """Rolling radius when new, standing [m]."""
    @property
    def wear(self) -> float:
        """Radius lost so far [m]."""
    @property
    def growth(self) -> float:
        """Radius gained for each square of axle speed [m*s^2]."""
    @property
    def friction_peak(self) -> float:
        """Peak friction coefficient at the reference load [-]."""
    @property
    def load_sensitivity(self) -> float:
        """Friction lost for each relative increase of load [-]."""
    @property
    def reference_load(self) -> float:
        """Load of the axle at which the peak friction holds [N]."""
    @property
    def stiffness_factor(self) -> float:
        """Force for each unit of slip and load, at small slip [-]."""
    @property
    def cornering_stiffness(self) -> float:
        """Force sideways for each radian of slip angle and unit of load [-]."""
    @property
    def shape(self) -> float:
        """Shape factor of the force curve [-]."""
    @property
    def curvature(self) -> float:
        """Curvature factor of the force curve [-]."""
    @property
    def relaxation(self) -> float:
        """Rolling length over which the force builds up [m]."""
    @property
    def damping_time(self) -> float:
        """Damping over stiffness of the carcass [s]."""
    @property
    def rolling_resistance(self) -> float:
        """Rolling drag over load [-]."""
    @property
    def inertia(self) -> float:
        """Axle, pulley and both wheels [kg*m^2]."""

class Brake(Section):
    @property
    def torque(self) -> float:
        """Brake torque at the two-speed shaft with the pedal fully pressed [N*m]."""
    @property
    def static_ratio(self) -> float:
        """Brake torque held at rest over the sliding torque [-]."""

class Body(Section):
    @property
    def mass(self) -> float:
        """Car ready to race, with fuel [kg]."""
    @property
    def wheelbase(self) -> float:
        """Distance between the axles [m]."""
    @property
    def centre_height(self) -> float:
        """Centre of gravity above the ground [m]."""
    @property
    def front_share(self) -> float:
        """Share of the weight on the front axle at rest [-]."""
    @property
    def drag_area(self) -> float:
        """Drag coefficient times frontal area [m^2]."""
    @property
    def downforce_area(self) -> float:
        """Downforce coefficient times area [m^2]."""
    @property
    def downforce_front_share(self) -> float:
        """Share of the downforce on the front axle [-]."""
    @property
    def yaw_inertia(self) -> float:
        """Car about its upright axis; felt where a corner begins and ends [kg*m^2]."""
    @property
    def load_transfer_time(self) -> float:
        """Time constant with which load moves between the axles [s]."""

class Air(Section):
    @property
    def temperature(self) -> float:
        """Air temperature at the track [K]."""
    @property
    def pressure(self) -> float:
        """Air pressure at the track, not reduced to sea level [Pa]."""
    @property
    def relative_humidity(self) -> float:
        """Relative humidity [-]."""
    @property
    def carbon_dioxide(self) -> float:
        """Amount fraction of carbon dioxide [-]."""

class Driver(Section):
    @property
    def throttle(self) -> float:
        """Opening aimed at [-]."""
    @property
    def rise_time(self) -> float:
        """Time from shut to that opening [s]."""
    @property
    def response_time(self) -> float:
        """Lag of the driver's hand and the servo [s]."""
    @property
    def slip_target(self) -> float:
        """Rear tyre slip at which the opening is halved [-]."""
    @property
    def anticipation(self) -> float:
        """How far ahead the driver judges the slip [s]."""

class CarFields:
    @property
    def engine(self) -> Engine:
        """Section `engine`."""
    @property
    def fuel(self) -> Fuel:
        """Section `fuel`."""
    @property
    def clutch(self) -> Clutch:
        """Section `clutch`."""
    @property
    def two_speed(self) -> TwoSpeed:
        """Section `two_speed`."""
    @property
    def two_speed_heat(self) -> TwoSpeedHeat:
        """Section `two_speed_heat`."""
    @property
    def first(self) -> First:
        """Section `first`."""
    @property
    def second(self) -> Second:
        """Section `second`."""
    @property
    def shafts(self) -> Shafts:
        """Section `shafts`."""
    @property
    def belts(self) -> Belts:
        """Section `belts`."""
    @property
    def front_axle(self) -> Literal['solid', 'one_way', 'differential']:
        """How the front axle is joined to its belt."""
    @property
    def rear_tyre(self) -> RearTyre:
        """Section `rear_tyre`."""
    @property
    def front_tyre(self) -> FrontTyre:
        """Section `front_tyre`."""
    @property
    def brake(self) -> Brake:
        """Section `brake`."""
    @property
    def body(self) -> Body:
        """Section `body`."""
    @property
    def air(self) -> Air:
        """Section `air`."""
    @property
    def driver(self) -> Driver:
        """Section `driver`."""
    @overload
    def __getitem__(self, path: Literal['engine.power_scale', 'engine.idle_speed', 'engine.drag_slope', 'engine.inertia', 'engine.displacement', 'engine.speed_limit', 'engine.efficiency', 'fuel.nitromethane', 'fuel.oil', 'fuel.oil_density', 'fuel.tank_volume', 'clutch.bell_inertia', 'clutch.axial.flyweight_mass', 'clutch.axial.slug_mass', 'clutch.axial.flyweight_radius', 'clutch.axial.lever_ratio', 'clutch.axial.nut_turns', 'clutch.axial.nut_pitch', 'clutch.axial.force_at_zero_turns', 'clutch.axial.spring_rate', 'clutch.axial.clearance', 'clutch.axial.wear', 'clutch.axial.facing_inner_radius', 'clutch.axial.facing_outer_radius', 'clutch.axial.half_angle', 'clutch.axial.friction', 'clutch.axial.static_friction', 'clutch.thrown_shoes.shoe_mass', 'clutch.thrown_shoes.radius_at_rest', 'clutch.thrown_shoes.drum_radius', 'clutch.thrown_shoes.spring_force_at_rest', 'clutch.thrown_shoes.spring_rate', 'clutch.thrown_shoes.clearance', 'clutch.thrown_shoes.wear', 'clutch.thrown_shoes.friction', 'clutch.thrown_shoes.static_friction', 'clutch.heat.surface_capacity', 'clutch.heat.body_capacity', 'clutch.heat.between_conductance', 'clutch.heat.surface_conductance', 'clutch.heat.body_conductance', 'clutch.heat.surface_share', 'clutch.heat.fade_start_temperature', 'clutch.heat.half_friction_temperature', 'clutch.heat.friction_floor', 'two_speed.shoe_1.gap', 'two_speed.shoe_1.slug_mass', 'two_speed.shoe_2.gap', 'two_speed.shoe_2.slug_mass', 'two_speed.shoe_mass', 'two_speed.shoe_centre_along', 'two_speed.shoe_centre_across', 'two_speed.slug_centre_along', 'two_speed.slug_centre_across', 'two_speed.pivot_radius', 'two_speed.drum_radius', 'two_speed.arc_start', 'two_speed.arc_end', 'two_speed.friction', 'two_speed.static_friction', 'two_speed.clearance', 'two_speed.spring_rate', 'two_speed.screw_arm', 'two_speed.zero_preload_reading', 'two_speed.screw_pitch', 'two_speed.detent_ratio', 'two_speed_heat.surface_capacity', 'two_speed_heat.body_capacity', 'two_speed_heat.between_conductance', 'two_speed_heat.surface_conductance', 'two_speed_heat.body_conductance', 'two_speed_heat.surface_share', 'two_speed_heat.fade_start_temperature', 'two_speed_heat.half_friction_temperature', 'two_speed_heat.friction_floor', 'first.module', 'first.pressure_angle', 'first.addendum', 'first.friction', 'first.efficiency', 'second.module', 'second.pressure_angle', 'second.addendum', 'second.friction', 'second.efficiency', 'shafts.first_spur_inertia', 'shafts.drum_inertia', 'shafts.shaft_inertia', 'shafts.drag', 'belts.rear.pitch', 'belts.rear.tension', 'belts.rear.flank_angle', 'belts.rear.friction', 'belts.rear.linear_mass', 'belts.rear.efficiency', 'belts.middle.pitch', 'belts.middle.tension', 'belts.middle.flank_angle', 'belts.middle.friction', 'belts.middle.linear_mass', 'belts.middle.efficiency', 'belts.front.pitch', 'belts.front.tension', 'belts.front.flank_angle', 'belts.front.friction', 'belts.front.linear_mass', 'belts.front.efficiency', 'rear_tyre.radius', 'rear_tyre.wear', 'rear_tyre.growth', 'rear_tyre.friction_peak', 'rear_tyre.load_sensitivity', 'rear_tyre.reference_load', 'rear_tyre.stiffness_factor', 'rear_tyre.cornering_stiffness', 'rear_tyre.shape', 'rear_tyre.curvature', 'rear_tyre.relaxation', 'rear_tyre.damping_time', 'rear_tyre.rolling_resistance', 'rear_tyre.inertia', 'front_tyre.radius', 'front_tyre.wear', 'front_tyre.growth', 'front_tyre.friction_peak', 'front_tyre.load_sensitivity', 'front_tyre.reference_load', 'front_tyre.stiffness_factor', 'front_tyre.cornering_stiffness', 'front_tyre.shape', 'front_tyre.curvature', 'front_tyre.relaxation', 'front_tyre.damping_time', 'front_tyre.rolling_resistance', 'front_tyre.inertia', 'brake.torque', 'brake.static_ratio', 'body.mass', 'body.wheelbase', 'body.centre_height', 'body.front_share', 'body.drag_area', 'body.downforce_area', 'body.downforce_front_share', 'body.yaw_inertia', 'body.load_transfer_time', 'air.temperature', 'air.pressure', 'air.relative_humidity', 'air.carbon_dioxide', 'driver.throttle', 'driver.rise_time', 'driver.response_time', 'driver.slip_target', 'driver.anticipation', 'two_speed.gap', 'two_speed.slug_mass']) -> float: ...
    @overload
    def __getitem__(self, path: Literal['clutch.design']) -> Literal['axial', 'thrown_shoes']: ...
    @overload
    def __getitem__(self, path: Literal['clutch.axial.flyweight_count', 'clutch.axial.facing_count', 'clutch.thrown_shoes.shoe_count', 'first.spur', 'first.pinion', 'second.spur', 'second.pinion', 'belts.rear.in_teeth', 'belts.rear.out_teeth', 'belts.rear.belt_teeth', 'belts.middle.in_teeth', 'belts.middle.out_teeth', 'belts.middle.belt_teeth', 'belts.front.in_teeth', 'belts.front.out_teeth', 'belts.front.belt_teeth']) -> int: ...
    @overload
    def __getitem__(self, path: Literal['clutch.axial.pressure']) -> Literal['uniform_wear', 'uniform_pressure']: ...
    @overload
    def __getitem__(self, path: Literal['two_speed.orientation']) -> Literal['leading', 'trailing']: ...
    @overload
    def __getitem__(self, path: Literal['two_speed.reading_direction']) -> Literal['falls_as_screw_goes_in', 'rises_as_screw_goes_in']: ...
    @overload
    def __getitem__(self, path: Literal['two_speed.hold_in']) -> Literal['spring', 'detent']: ...
    @overload
    def __getitem__(self, path: Literal['first.loss', 'second.loss']) -> Literal['from_teeth', 'given']: ...
    @overload
    def __getitem__(self, path: Literal['front_axle']) -> Literal['solid', 'one_way', 'differential']: ...
    @overload
    def __getitem__(self, path: Literal['engine.torque']) -> Points: ...
    @overload
    def __getitem__(self, path: Literal['engine']) -> Engine: ...
    @overload
    def __getitem__(self, path: Literal['fuel']) -> Fuel: ...
    @overload
    def __getitem__(self, path: Literal['clutch']) -> Clutch: ...
    @overload
    def __getitem__(self, path: Literal['clutch.axial']) -> ClutchAxial: ...
    @overload
    def __getitem__(self, path: Literal['clutch.thrown_shoes']) -> ClutchThrownShoes: ...
    @overload
    def __getitem__(self, path: Literal['clutch.heat']) -> ClutchHeat: ...
    @overload
    def __getitem__(self, path: Literal['two_speed']) -> TwoSpeed: ...
    @overload
    def __getitem__(self, path: Literal['two_speed.shoe_1']) -> TwoSpeedShoe1: ...
    @overload
    def __getitem__(self, path: Literal['two_speed.shoe_2']) -> TwoSpeedShoe2: ...
    @overload
    def __getitem__(self, path: Literal['two_speed_heat']) -> TwoSpeedHeat: ...
    @overload
    def __getitem__(self, path: Literal['first']) -> First: ...
    @overload
    def __getitem__(self, path: Literal['second']) -> Second: ...
    @overload
    def __getitem__(self, path: Literal['shafts']) -> Shafts: ...
    @overload
    def __getitem__(self, path: Literal['belts']) -> Belts: ...
    @overload
    def __getitem__(self, path: Literal['belts.rear']) -> BeltsRear: ...
    @overload
    def __getitem__(self, path: Literal['belts.middle']) -> BeltsMiddle: ...
    @overload
    def __getitem__(self, path: Literal['belts.front']) -> BeltsFront: ...
    @overload
    def __getitem__(self, path: Literal['rear_tyre']) -> RearTyre: ...
    @overload
    def __getitem__(self, path: Literal['front_tyre']) -> FrontTyre: ...
    @overload
    def __getitem__(self, path: Literal['brake']) -> Brake: ...
    @overload
    def __getitem__(self, path: Literal['body']) -> Body: ...
    @overload
    def __getitem__(self, path: Literal['air']) -> Air: ...
    @overload
    def __getitem__(self, path: Literal['driver']) -> Driver: ...
    @overload
    def __getitem__(self, path: str) -> Any: ...
