"""What follows from a set-up before anybody drives: power, clutch, gears, tank."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from layshaft import _core
from layshaft.mounting.gear_sets import rollout
from layshaft.quantities import units
from layshaft.quantities.units import Given
from layshaft.runs.lap_options import AnyTrack, LapOptions, read_lap_options
from layshaft.runs.point_runs import run_points
from layshaft.setup.car import Car, checked_car

_LOOKS = 200  # for the clutch's lock, from its bite to the engine's limit


@dataclass(frozen=True, slots=True, kw_only=True)
class GearFacts:
    """One gear; SI units."""

    name: str  #: `first` or `second`
    pinion: int
    spur: int
    ratio: float  #: engine turns per turn of the two-speed shaft [-]
    rollout: float  #: way of the car per engine turn, on tyres that do not grow [m]
    speeds: tuple[float, ...]  #: of the car at the engine speeds of the facts, without slip [m/s]

    @property
    def tooth_sum(self) -> int:
        """Teeth of pinion and spur; two pairs of one module and sum share a centre distance."""
        return self.pinion + self.spur


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What follows from a set-up; SI units."""

    car: Car
    peak_power: float  #: of the full-throttle curve in reference air, up to the limit [W]
    peak_power_speed: float  #: [rad/s]
    peak_torque: float  #: [N*m]
    peak_torque_speed: float  #: [rad/s]
    bite_speed: float  #: engine speed from which the clutch presses [rad/s]
    lock_speed: float  #: slipping and cold, it carries full throttle from there on [rad/s]
    engine_speeds: tuple[float, ...]  #: at which the gears' speeds are given [rad/s]
    gears: tuple[GearFacts, GearFacts]  #: first, second
    track: str  #: of the flying lap by which the tank is reckoned
    tank_time: float  #: until a full tank is empty, lap after lap like that one [s]


def facts(
    car: Car, *, engine_speeds: Iterable[Given] | None = None, track: AnyTrack = "club"
) -> Facts:
    """Tell what follows from a set-up: to see at a glance whether it can be true.

    Parameters
    ----------
    car
        The car.
    engine_speeds
        At which the speed of the car in each gear is given [rad/s]; by default that of the most
        power and the engine's limit.
    track
        The tank lasts as long as at the mean fuel flow of one flying lap of it, the driver's pedal
        and all, until it is quite empty.

    Returns
    -------
    Facts
        In SI units. Not a number: a `lock_speed` where the clutch locks at no speed up to the
        engine's limit, a `tank_time` where the lap fails.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.Car({"first.pinion": 16, "first.spur": 51})
    >>> [gear.tooth_sum for gear in layshaft.facts(car).gears]
    [67, 67]
    """
    rating = _core.engine_rating(checked_car(car)._core)
    if engine_speeds is None:
        speeds = [rating.peak_power_speed, float(car["engine.speed_limit"])]
    else:
        speeds = units.read_list("engine_speeds", engine_speeds, "rad/s")
        if not all(0.0 < speed < math.inf for speed in speeds):
            raise ValueError("engine_speeds: each must be above 0 rpm")
    options = read_lap_options(track)
    bite = _core.clutch_bite(car._core)
    return Facts(
        car=car,
        peak_power=rating.peak_power,
        peak_power_speed=rating.peak_power_speed,
        peak_torque=rating.peak_torque,
        peak_torque_speed=rating.peak_torque_speed,
        bite_speed=bite,
        lock_speed=_lock_speed(car, bite),
        engine_speeds=tuple(speeds),
        gears=(_gear(car, 0, speeds), _gear(car, 1, speeds)),
        track=options.track.name,
        tank_time=_tank_time(car, options),
    )


def _lock_speed(car: Car, bite: float) -> float:
    """Find the first engine speed at which the slipping clutch carries the open throttle."""
    from scipy.optimize import brentq

    def too_low(speed: float) -> float:
        torque = _core.full_torque(car._core, speed)
        return _core.clutch_stall(car._core, torque) - speed

    limit = float(car["engine.speed_limit"])
    if not bite < limit:
        return math.nan
    low = bite
    for look in range(1, _LOOKS + 1):
        high = bite + (limit - bite) * look / _LOOKS
        if too_low(high) <= 0.0:
            return float(brentq(too_low, low, high)) if too_low(low) > 0.0 else low
        low = high
    return math.nan


def _gear(car: Car, number: int, speeds: list[float]) -> GearFacts:
    name = ("first", "second")[number]
    ratio = _core.gear_ratios(car._core)[number]
    way = rollout(car, ratio)
    return GearFacts(
        name=name,
        pinion=int(car[f"{name}.pinion"]),
        spur=int(car[f"{name}.spur"]),
        ratio=ratio,
        rollout=way,
        speeds=tuple(way * speed / (2.0 * math.pi) for speed in speeds),
    )


def _tank_time(car: Car, options: LapOptions) -> float:
    runs = run_points(car, [{}], options)
    tank = car["fuel.tank_volume"] * _core.fuel_density(car._core)
    return float(tank * runs.time[0] / runs["fuel"][0])
