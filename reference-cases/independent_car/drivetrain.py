"""The car as six bodies and seven couplings, its motion in given modes, and its guards.

Imports nothing of the library it checks. A coupling that sticks is a constraint of the equations
of motion: masses, stuck rows and their reactions are solved as one linear system.
"""

import math
from dataclasses import dataclass

import laws
import numpy as np
from scipy.optimize import brentq

NODES = ("crank", "bell", "shaft", "rear", "front", "car")
COUPLINGS = ("clutch", "first", "second", "rear_belt", "front_belt", "brake", "rolling")
SWITCHES = ("clutch", "shoe_1", "shoe_2")
LOSSES = ("clutch_loss", "shoe_loss", "mesh_loss", "belt_loss", "brake_loss", "rolling_loss",
          "rear_tyre_loss", "front_tyre_loss", "tyre_stored", "air_loss", "grade_work")  # fmt: skip
STATES = (*NODES, "rear_slip", "front_slip", "load_transfer", "throttle_opening", "clutch_surface",
          "clutch_body", "shoe_surface", "shoe_body", "distance", "fuel", "engine_work",
          *LOSSES, "rear_strain", "front_strain")  # fmt: skip
#: Unit of each state.
UNITS = dict.fromkeys(STATES, "J") | {
    "car": "m/s", "rear_slip": "1", "front_slip": "1", "load_transfer": "N",
    "throttle_opening": "1", "rear_strain": "1", "front_strain": "1",
    "distance": "m", "fuel": "kg", **dict.fromkeys(NODES[:5], "rad/s"),
    **dict.fromkeys(("clutch_surface", "clutch_body", "shoe_surface", "shoe_body"), "K"),
}  # fmt: skip
#: Typical size of each state; errors are measured against it.
SCALE = np.array([1e3, 1e3, 300, 100, 100, 10, 0.1, 0.1, 5, 0.3, 10, 10, 10, 10, 10, 1e-3]
                 + [100] * 12 + [0.01, 0.01])  # fmt: skip
#: Speed [m/s] below which the eye sees less and less slip, and width over weight [-] of the change
#: from an axle that stands to one that hangs.
SEEN_SPEED, LIFTING = 0.3, 0.02

STUCK, BACK, POSITIVE, NEGATIVE, OPEN = (
    "stuck", "stuck_back", "slip_positive", "slip_negative", "open",
)  # fmt: skip


def pedal_line(pedals, begin, end):
    """Throttle and brake as straight lines over (begin, end) [s]: two pairs offset, slope."""
    times = [row[0] for row in pedals]
    middle = (begin + end) / 2
    k = sum(time <= middle for time in times)
    if k in (0, len(times)):
        row = pedals[0] if k == 0 else pedals[-1]
        return (row[1], 0.0), (row[2], 0.0)
    (t0, *low), (t1, *high) = pedals[k - 1], pedals[k]
    slopes = [(b - a) / (t1 - t0) for a, b in zip(low, high, strict=True)]
    return tuple((a - slope * t0, slope) for a, slope in zip(low, slopes, strict=True))


@dataclass(frozen=True)
class TyreRates:
    """How an axle's tyres change."""

    strain: float  # of the carcass [1/s]
    seen: float  # of the slip that the eye follows [1/s]
    stored: float  # power into the spring of the carcass [W]


def carcass(tyre, load, strain, tread, speed):
    """Force [N], rate of the strain [1/s] and power stored [W] of an axle's tyres.

    Spring and damper of the carcass carry the same force as the patch, which creeps over the road;
    the speed of the tread over that of the car is creep and winding up together.
    """
    stiffness = tyre["stiffness_factor"] * load  # per strain [N]
    length, damping = tyre["relaxation"], tyre["damping_time"]
    transport = (abs(tread) + abs(speed)) / 2
    slip = (tread - speed) / transport if transport > 0.0 else 0.0
    stuck = length * laws.sticking_share(tyre, slip, load)
    sliding = damping * transport
    spring, friction = stiffness * strain, laws.tyre_force(tyre, slip, load)
    force = (stuck * spring + sliding * friction) / (stuck + sliding)
    creep = transport * length / stuck * force / stiffness
    rate = (tread - speed - creep) / length
    return force, rate, spring * length * rate


class Car:
    """Numbers that stay fixed over a run, worked out from a set-up."""

    def __init__(self, setup, grade=0.0):
        self.setup = setup
        body, air = setup["body"], setup["air"]
        engine = setup["engine"]
        scale = laws.charge_ratio(air) * engine["power_scale"]
        self.full_torque = laws.FullTorque(engine, scale)
        self.clutch_gain, self.engaged_squared, self.clutch_static = laws.clutch_coefficients(
            setup["clutch"]
        )
        two = setup["two_speed"]
        self.shoes = [laws.shoe_of(two, two[name]) for name in ("shoe_1", "shoe_2")]
        self.weight = body["mass"] * laws.GRAVITY * math.cos(math.atan(grade))
        self.grade_force = body["mass"] * laws.GRAVITY * math.sin(math.atan(grade))
        density = laws.air_density(air)
        self.drag = density / 2 * body["drag_area"]
        self.downforce = density / 2 * body["downforce_area"]
        self.lever = body["centre_height"] / body["wheelbase"]
        self.ratios = {name: setup[name]["spur"] / setup[name]["pinion"]
                       for name in ("first", "second")}  # fmt: skip
        belts = setup["belts"]
        self.belts = {"rear": laws.belt_path([belts["rear"]]),
                      "front": laws.belt_path([belts["middle"], belts["front"]])}  # fmt: skip
        self.heating_value = laws.heating_value(setup["fuel"])
        self._set_network()

    def _set_network(self):
        setup, shafts = self.setup, self.setup["shafts"]
        bell = setup["clutch"]["bell_inertia"]
        bell += shafts["first_spur_inertia"] / self.ratios["first"] ** 2
        bell += shafts["drum_inertia"] / self.ratios["second"] ** 2
        (rear, rear_efficiency, _, rear_belt), (front, front_efficiency, _, front_belt) = (
            self.belts["rear"], self.belts["front"],
        )  # fmt: skip
        self.inertia = np.array([
            setup["engine"]["inertia"], bell, shafts["shaft_inertia"] + rear_belt + front_belt,
            setup["rear_tyre"]["inertia"], setup["front_tyre"]["inertia"], setup["body"]["mass"],
        ])  # fmt: skip
        # Coupling: the driving body with its ratio and efficiency, the driven one.
        ends = {
            "clutch": ("crank", 1.0, 1.0, "bell"),
            "first": ("bell", self.ratios["first"], laws.mesh_efficiency(setup["first"]), "shaft"),
            "second": ("bell", self.ratios["second"], laws.mesh_efficiency(setup["second"]),
                       "shaft"),
            "rear_belt": ("shaft", rear, rear_efficiency, "rear"),
            "front_belt": ("shaft", front, front_efficiency, "front"),
            "brake": ("shaft", 1.0, 1.0, None),
            "rolling": ("car", 1.0, 1.0, None),
        }  # fmt: skip
        self.slip, self.push, self.pull, self.lossy = {}, {}, {}, {}
        for name, (driver, ratio, efficiency, driven) in ends.items():
            rows = np.zeros((3, len(NODES)))
            rows[:, NODES.index(driver)] = np.array([1, 1 / efficiency, efficiency]) / ratio
            if driven:
                rows[:, NODES.index(driven)] = -1
            self.slip[name], self.push[name], self.pull[name] = rows
            self.lossy[name] = efficiency < 1

    def axles(self, y):
        """Return loads [N], forces [N], radii [m] and `TyreRates`, rear and front."""
        speed, transfer = y[5], y[8]
        pressed = self.weight + self.downforce * speed * speed
        body = self.setup["body"]
        front_load = body["front_share"] * self.weight - transfer
        front_load += body["downforce_front_share"] * self.downforce * speed * speed
        loads = self.carried(pressed, front_load)
        rear, front = self.setup["rear_tyre"], self.setup["front_tyre"]
        radii = tuple(tyre["radius"] - tyre["wear"] + tyre["growth"] * axle * axle
                      for tyre, axle in ((rear, y[3]), (front, y[4])))  # fmt: skip
        forces, rates = [], []
        for tyre, load, strain, seen, tread in zip(
            (rear, front), loads, y[-2:], y[6:8], (y[3] * radii[0], y[4] * radii[1]), strict=True
        ):
            force, strain_rate, stored = carcass(tyre, load, strain, tread, speed)
            renewed = math.hypot((abs(tread) + abs(speed)) / 2, SEEN_SPEED)
            seen_rate = (tread - speed - renewed * seen) / tyre["relaxation"]
            forces.append(force)
            rates.append(TyreRates(strain_rate, seen_rate, stored))
        return loads, forces, radii, rates

    def carried(self, pressed, front):
        """Return the loads [N] of rear and front axle; balance asks `front` of the front one.

        No axle pulls at the ground: what it would have to pull is taken off the other one. Both
        carrying and hanging are rounded, (sqrt(n^2 + w^2) +- n)/2.
        """
        width = LIFTING * self.weight
        asked = (pressed - front, front)
        carrying = [(math.hypot(n, width) + n) / 2 for n in asked]
        hanging = [(math.hypot(n, width) - n) / 2 for n in asked]
        return carrying[0] - hanging[1], carrying[1] - hanging[0]

    def limits(self, y, shoes_out, clutch_on, brake_pedal, loads, *, at_rest):
        """Lower and upper torque of each coupling, sliding or at rest."""
        setup, air = self.setup, self.setup["air"]["temperature"]
        hot = laws.friction_left(setup["clutch"]["heat"], air + y[10])
        clutch = clutch_on * self.clutch_gain * hot * (y[0] * y[0] - self.engaged_squared)
        two = setup["two_speed"]
        friction = two["static_friction" if at_rest else "friction"]
        friction *= laws.friction_left(setup["two_speed_heat"], air + y[12])
        out = [shoe for shoe, is_out in zip(self.shoes, shoes_out, strict=True) if is_out]
        up, down = (sum(shoe.torque(y[2], friction, way) for shoe in out) for way in (1, -1))
        brake = setup["brake"]["torque"] * brake_pedal + setup["shafts"]["drag"]
        if at_rest:
            clutch *= self.clutch_static
            brake += (setup["brake"]["static_ratio"] - 1) * setup["brake"]["torque"] * brake_pedal
        rolling = sum(tyre["rolling_resistance"] * max(load, 0.0) for tyre, load in
                      zip((setup["rear_tyre"], setup["front_tyre"]), loads,
                          strict=True))  # fmt: skip
        rear, front = self.belts["rear"][2], self.belts["front"][2]
        front_low = 0.0 if setup["front_axle"] == "one_way" else -front
        return {
            "clutch": (-clutch, clutch), "first": (0.0, math.inf), "second": (-down, up),
            "rear_belt": (-rear, rear), "front_belt": (front_low, front),
            "brake": (-brake, brake), "rolling": (-rolling, rolling),
        }  # fmt: skip

    def rolling_start(self, speed):
        """State of the car rolling at `speed` [m/s]: rear tyres without slip, belts in step."""
        tyre = self.setup["rear_tyre"]
        radius = tyre["radius"] - tyre["wear"]
        rear = brentq(
            lambda w: w * (radius + tyre["growth"] * w * w) - speed, 0, speed / radius + 1,
            xtol=1e-14, rtol=1e-15,
        ) if speed else 0.0  # fmt: skip
        shaft = rear * self.belts["rear"][0]
        out = [shaft**2 >= shoe.out_squared for shoe in self.shoes]
        bell = shaft * self.ratios["second" if all(out) else "first"]
        crank = max(bell, self.setup["engine"]["idle_speed"])
        y = np.zeros(len(STATES))
        y[:6] = crank, bell, shaft, rear, shaft / self.belts["front"][0], speed
        return y, out, crank**2 > self.engaged_squared
