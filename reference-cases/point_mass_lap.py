"""The lap of a point mass with a circle of grip, by one pass forwards and one backwards in NumPy.

Imports nothing of the library it checks. The car is a set-up as a nested dictionary of plain
numbers, in first gear all the way, without slip of clutch or tyres and with pedals that move at
once: what is left of the whole drivetrain when all that is quick is infinitely quick.
"""

import math

import numpy as np
from independent_car.laws import GRAVITY, FullTorque, air_density, charge_ratio

STEP = 0.02  # [m]


class PointMass:
    """Forces on the car along and across the road, and the masses that they move."""

    def __init__(self, car):
        rear, front = car["rear_tyre"], car["front_tyre"]
        self.mass = car["body"]["mass"]
        self.friction = min(rear["friction_peak"], front["friction_peak"])
        self.stiffness = rear["cornering_stiffness"]
        self.rolling = rear["rolling_resistance"]
        density = air_density(car["air"])
        self.drag = 0.5 * density * car["body"]["drag_area"]
        scale = charge_ratio(car["air"]) * car["engine"]["power_scale"]
        self.full_torque = FullTorque(car["engine"], scale)
        first = car["first"]["spur"] / car["first"]["pinion"]
        second = car["second"]["spur"] / car["second"]["pinion"]
        belt = car["belts"]["rear"]["out_teeth"] / car["belts"]["rear"]["in_teeth"]
        front_belt = car["belts"]["front"]["out_teeth"] / car["belts"]["front"]["in_teeth"]
        self.shaft = belt / rear["radius"]  # shaft turns for each metre [rad/m]
        self.crank = self.shaft * first
        shafts = car["shafts"]
        bell = (
            car["clutch"]["bell_inertia"]
            + shafts["first_spur_inertia"] / first**2
            + shafts["drum_inertia"] / second**2
        )
        belts = sum(self._belt_inertia(car["belts"][name]) for name in ("rear", "middle", "front"))
        self.turning = (
            rear["inertia"] / rear["radius"] ** 2
            + front["inertia"] * (self.shaft / front_belt) ** 2
            + (shafts["shaft_inertia"] + belts) * self.shaft**2
            + (bell + car["engine"]["inertia"]) * self.crank**2
        )

    @staticmethod
    def _belt_inertia(_belt):
        return 0.0  # some 1e-6 kg m2: a thousandth of the car

    def sideways(self, square, curvature):
        """Return the share of the grip used sideways, never above all of it [-]."""
        return np.minimum(square * abs(curvature) / (self.friction * GRAVITY), 1.0)

    def held_back(self, square, curvature):
        """Return rolling drag, air drag and the drag of the tyres in a corner [N]."""
        friction = square * curvature / GRAVITY
        load = self.mass * GRAVITY
        return load * self.rolling + self.drag * square + friction**2 * load / self.stiffness

    def along(self, square, curvature):
        """Return the grip left along the road [N]."""
        share = self.sideways(square, curvature)
        return self.friction * self.mass * GRAVITY * math.sqrt(max(1.0 - share**2, 0.0))

    def gain(self, square, curvature):
        """Return half the growth of v^2 for each metre under full throttle [m/s^2]."""
        thrust = self.full_torque(self.crank * math.sqrt(square)) * self.crank
        resisted = self.held_back(square, curvature)
        by_engine = (thrust - resisted) / (self.mass + self.turning)
        by_grip = (self.along(square, curvature) - resisted) / self.mass
        return min(by_engine, by_grip)


def lap(car, curvature_at, length, *, corner_share, brake_share):
    """Return lap time [s] with distances and speeds of the flying lap."""
    point = PointMass(car)
    count = round(length / STEP)
    step = length / count
    places = (np.arange(count) + 0.5) * step
    curvature = np.abs(curvature_at(places))
    with np.errstate(divide="ignore"):
        most = corner_share * point.friction * GRAVITY / curvature
    square = np.minimum(most, 80.0**2)
    for back in range(2 * count - 1, -1, -1):
        k, after = back % count, square[(back + 1) % count]
        slow = brake_share * point.along(after, curvature[k]) + point.held_back(after, curvature[k])
        square[k] = min(square[k], after + 2.0 * step * slow / point.mass)
    for ahead in range(2 * count):
        k, before = ahead % count, square[(ahead - 1) % count]
        square[k] = min(square[k], before + 2.0 * step * point.gain(before, curvature[k]))
    speed = np.sqrt(square)
    # Trapezoidal in the speed: exact for a constant acceleration.
    time = float(np.sum(2.0 * step / (speed + np.roll(speed, -1))))
    return time, places, speed
