"""The laws of the car written once more, from their equations, for the launch cases.

Imports nothing of the library it checks. Values are SI; `car` is the nested dictionary of a set-up
file with plain numbers. Equations and sources stand in the headers of `cpp/include/layshaft/laws`.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq, minimize_scalar

GRAVITY = 9.80665  # [m/s^2], ISO 80000-3


def air_density(air, *, with_vapour=True):
    """Density of moist air [kg/m^3], or of its dry part: CIPM-2007."""
    kelvin, pressure = air["temperature"], air["pressure"]
    celsius = kelvin - 273.15
    saturation = math.exp(
        1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin
    )
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * celsius**2
    vapour = air["relative_humidity"] * enhancement * saturation / pressure
    a = (1.58123e-6, -2.9331e-8, 1.1043e-10)
    b = (5.707e-6, -2.051e-8)
    c = (1.9898e-4, -2.376e-6)
    virial = (
        a[0] + a[1] * celsius + a[2] * celsius**2
        + (b[0] + b[1] * celsius) * vapour
        + (c[0] + c[1] * celsius) * vapour**2
    )  # fmt: skip
    share = pressure / kelvin
    compressibility = 1 - share * virial + share**2 * (1.83e-11 - 0.765e-8 * vapour**2)
    dry_mass = (28.96546 + 12.011 * (air["carbon_dioxide"] - 0.0004)) * 1e-3
    mass = dry_mass * (1 - vapour) + (18.01528e-3 * vapour if with_vapour else 0.0)
    return pressure / (compressibility * 8.314472 * kelvin) * mass


def charge_ratio(air):
    """Density of the dry part over that of dry air at sea level, ISO 2533 [-]."""
    sea_level = {
        "temperature": 288.15,
        "pressure": 101325.0,
        "relative_humidity": 0.0,
        "carbon_dioxide": 0.0004,
    }
    return air_density(air, with_vapour=False) / air_density(sea_level, with_vapour=False)


class FullTorque:
    """Torque at full throttle in the air of the day [N*m] over [rad/s].

    A monotone cubic through the points. Beyond them nothing is known, so the engine is given what
    it cannot run away with: below, what it has over a shut throttle fades away, or grows by a tenth
    at most; above, the slope turns to a fall.
    """

    def __init__(self, engine, scale):
        self.x, self.y = (np.array(c, dtype=float) for c in zip(*engine["torque"], strict=True))
        self.scale, self.drag, self.idle = scale, engine["drag_slope"], engine["idle_speed"]
        curve = PchipInterpolator(self.x, self.y)
        self.first_slope, self.last_slope = curve.derivative()(self.x[[0, -1]]).tolist()
        # As plain floats: the curve is called some hundred thousand times.
        self.knots = self.x.tolist()
        self.pieces = curve.c.T.tolist()

    def shut(self, speed):
        """Torque with the throttle shut."""
        return self.drag * (self.idle - speed)

    def below(self, way):
        """Torque so far below the first point: over the shut throttle's as 1/(1 - growth * way)."""
        first = self.scale * float(self.y[0])
        excess = max(first - self.shut(self.knots[0]), 0.1 * first)
        growth = -(self.scale * self.first_slope + self.drag) / excess
        line = first - excess + self.drag * way
        if growth <= 0:
            return line + excess / (1 - growth * way)
        return line + excess * (1 + growth * way / (1 + 10 * growth * way))

    def above(self, way):
        """Torque so far above the last point: its slope turns to a fall that ends all revs."""
        last, largest = self.knots[-1], float(self.y.max())
        fall = max(-self.last_slope, self.drag / self.scale, 4 * largest / last)
        turn = 0.05 * last
        if self.last_slope > 0:
            turn = min(turn, 0.1 * largest / self.last_slope)
        excess = self.last_slope + fall
        bent = excess * way * way / (way + turn)
        return self.scale * (float(self.y[-1]) + self.last_slope * way - bent)

    def __call__(self, speed):
        if speed < self.knots[0]:
            return self.below(self.knots[0] - speed)
        if speed >= self.knots[-1]:
            return self.above(speed - self.knots[-1])
        k = 0
        while speed >= self.knots[k + 1]:
            k += 1
        t = speed - self.knots[k]
        c3, c2, c1, c0 = self.pieces[k]
        return self.scale * (((c3 * t + c2) * t + c1) * t + c0)


def clutch_coefficients(clutch):
    """Capacity gain [N*m*s^2], engagement speed squared [rad^2/s^2], static over sliding."""
    if clutch["design"] == "thrown_shoes":
        shoe = clutch["thrown_shoes"]
        travel = shoe["clearance"] + shoe["wear"]
        moment = shoe["shoe_mass"] * (shoe["radius_at_rest"] + travel)
        hold = shoe["spring_force_at_rest"] + shoe["spring_rate"] * travel
        gain = shoe["shoe_count"] * shoe["friction"] * shoe["drum_radius"] * moment
        return gain, hold / moment, shoe["static_friction"] / shoe["friction"]
    axial = clutch["axial"]
    sine = math.sin(axial["half_angle"])
    travel = axial["clearance"] + axial["wear"] / sine
    compression = axial["nut_turns"] * axial["nut_pitch"] + travel
    hold = axial["force_at_zero_turns"] + axial["spring_rate"] * compression
    weight = axial["flyweight_count"] * (axial["flyweight_mass"] + axial["slug_mass"])
    thrust = weight * axial["flyweight_radius"] * axial["lever_ratio"]
    inner, outer = axial["facing_inner_radius"], axial["facing_outer_radius"]
    radius = (inner + outer) / 2
    if axial["pressure"] == "uniform_pressure":
        radius = 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2)
    gain = axial["friction"] * radius * axial["facing_count"] * thrust / sine
    return gain, hold / thrust, axial["static_friction"] / axial["friction"]


@dataclass(frozen=True)
class Shoe:
    """One shoe of the two-speed: when it goes out and comes back, and what it grips."""

    out_squared: float  # shaft speed squared at which it goes out [rad^2/s^2]
    back_squared: float  # and at which it comes back
    gain: float  # centrifugal moment at contact per speed squared [kg*m^2]
    hold: float  # moment holding it in at contact [N*m]
    normal_arm: float  # [m]
    friction_arm: float  # [m]
    drum_radius: float  # [m]
    sign: float  # +1 leading at the upshift

    def grip(self, friction, direction):
        arm = self.normal_arm - self.sign * direction * friction * self.friction_arm
        return friction * self.drum_radius / arm

    def torque(self, shaft_speed, friction, direction):
        pressing = self.gain * shaft_speed**2 - self.hold
        return self.grip(friction, direction) * pressing


def shoe_of(two, setting):
    """Coefficients of one shoe: arms by Shigley eqs 16-2 to 16-10, the rest by moment balance."""
    start, end, pivot = two["arc_start"], two["arc_end"], two["pivot_radius"]
    j1 = math.cos(start) - math.cos(end)
    j2 = (end - start) / 2 - (math.sin(2 * end) - math.sin(2 * start)) / 4
    j3 = (math.sin(end) ** 2 - math.sin(start) ** 2) / 2
    normal_arm = pivot * j2 / j1
    contact = two["clearance"] / normal_arm
    sign = 1 if two["reading_direction"] == "falls_as_screw_goes_in" else -1
    preload = sign * (two["zero_preload_reading"] - setting["gap"])
    rho = two["detent_ratio"] if two["hold_in"] == "detent" else 1.0

    def gain(swing):
        parts = (
            (two["shoe_mass"], two["shoe_centre_along"], two["shoe_centre_across"]),
            (setting["slug_mass"], two["slug_centre_along"], two["slug_centre_across"]),
        )
        return sum(
            mass * pivot * (across * math.cos(swing) + (pivot - along) * math.sin(swing))
            for mass, along, across in parts
        )

    def hold(swing):
        travel = preload + two["screw_arm"] * swing
        detent = rho + (1 - rho) * (1 - swing / contact)
        return two["spring_rate"] * two["screw_arm"] * travel * detent

    def balance(swing):
        return hold(swing) / gain(swing)

    inner = minimize_scalar(
        lambda swing: -balance(swing), bounds=(0, contact), options={"xatol": 1e-12}
    )
    return Shoe(
        out_squared=max(balance(0.0), balance(contact), -inner.fun),
        back_squared=balance(contact),
        gain=gain(contact),
        hold=max(hold(contact), 0.0),
        normal_arm=normal_arm,
        friction_arm=two["drum_radius"] - pivot * j3 / j1,
        drum_radius=two["drum_radius"],
        sign=1.0 if two["orientation"] == "leading" else -1.0,
    )


def mesh_efficiency(pair):
    """Power out over power in of a gear pair at its nominal centre distance [-] (Ohlendorf)."""
    if pair["loss"] == "given":
        return pair["efficiency"]
    angle = pair["pressure_angle"]

    def reach(teeth):  # path of contact beyond the pitch point, in base pitches
        base = teeth / 2 * math.cos(angle)
        tip = teeth / 2 + pair["addendum"]
        return (math.sqrt(tip**2 - base**2) - base * math.tan(angle)) / (math.pi * math.cos(angle))

    approach, recess = reach(pair["spur"]), reach(pair["pinion"])
    u = pair["spur"] / pair["pinion"]
    share = 1 - (approach + recess) + approach**2 + recess**2
    return 1 - pair["friction"] * math.pi * (u + 1) / (pair["pinion"] * u) * share


def jump_torque(belt):
    """Torque on the in shaft [N*m] at which a standing toothed belt jumps, see belt.hpp."""
    teeth = sorted((belt["in_teeth"], belt["out_teeth"]))
    small, large = (number * belt["pitch"] / (2 * math.pi) for number in teeth)

    def length_left(centre):  # exact length of an open belt, less that of this one
        lean = math.asin((large - small) / centre)
        around = math.pi * (large + small) + 2 * lean * (large - small)
        return 2 * centre * math.cos(lean) + around - belt["belt_teeth"] * belt["pitch"]

    shortest, longest = large - small, belt["belt_teeth"] * belt["pitch"]
    centre = brentq(length_left, shortest * (1 + 1e-12) + 1e-9, longest, xtol=1e-16)
    wrap = math.pi - 2 * math.asin((large - small) / centre)
    lift = belt["flank_angle"] - math.atan(belt["friction"])
    share = math.tanh(wrap / 2 / math.tan(lift)) if lift > 0 else 1.0
    span = math.sqrt(centre**2 - (large - small) ** 2)
    hanging = belt["linear_mass"] * GRAVITY * span**2 / (8 * (large + small))
    return (
        2 * max(belt["tension"], hanging) * belt["in_teeth"] * belt["pitch"] / (2 * math.pi) * share
    )


def belt_path(belts):
    """Ratio, efficiency, jump torque at the last shaft [N*m], inertia [kg*m^2] of belts."""
    ratio, efficiency, inertia, jumps = 1.0, 1.0, 0.0, []
    for belt in belts:
        radius = belt["in_teeth"] * belt["pitch"] / (2 * math.pi)
        mass = belt["linear_mass"] * belt["belt_teeth"] * belt["pitch"]
        inertia += mass * (radius / ratio) ** 2
        jumps.append(jump_torque(belt) / ratio)
        ratio *= belt["out_teeth"] / belt["in_teeth"]
        efficiency *= belt["efficiency"]
    return ratio, efficiency, min(jumps) * ratio, inertia


def heating_value(fuel):
    """Lower heating value [J/kg] of methanol, nitromethane and oil that does not burn."""
    nitro = fuel["nitromethane"] * 1137.0
    methanol = (1 - fuel["nitromethane"] - fuel["oil"]) * 791.4
    mass = nitro + methanol + fuel["oil"] * fuel["oil_density"]
    return (methanol * 20.09e6 + nitro * (709.2e3 - 1.5 * 44.0e3) / 61.040e-3) / mass


def force_over_load(tyre, slip, load):
    """Steady longitudinal force of an axle's tyres over load: Pacejka ch. 4, friction by load."""
    reference = tyre["reference_load"]
    friction = tyre["friction_peak"] * (
        1 - tyre["load_sensitivity"] * (max(load, 0.0) - reference) / reference
    )
    x = tyre["stiffness_factor"] / (tyre["shape"] * friction) * slip
    x -= tyre["curvature"] * (x - math.atan(x))
    return friction * math.sin(tyre["shape"] * math.atan(x))


def tyre_force(tyre, slip, load):
    """Steady longitudinal force of an axle's tyres [N]."""
    return max(load, 0.0) * force_over_load(tyre, slip, load)


def sticking_share(tyre, slip, load):
    """Part of the patch that sticks [-]: the force over what the stiffness alone would give."""
    if abs(slip) < 1e-12:
        return 1.0
    return force_over_load(tyre, slip, load) / (tyre["stiffness_factor"] * slip)


def friction_left(heat, temperature):
    """Hot over cold friction [-] at a surface temperature [K]."""
    start, half = heat["fade_start_temperature"], heat["half_friction_temperature"]
    floor = heat["friction_floor"]
    z = max((temperature - start) / (half - start), 0.0)
    return floor + (1 - floor) / (1 + 0.5 / (0.5 - floor) * z**3)


def heat_rates(heat, surface, body, power):
    """Rates of the two temperature rises [K/s] under a slip power [W]."""
    across = heat["between_conductance"] * (surface - body)
    share = heat["surface_share"]
    return (
        (share * power - across - heat["surface_conductance"] * surface) / heat["surface_capacity"],
        ((1 - share) * power + across - heat["body_conductance"] * body) / heat["body_capacity"],
    )
