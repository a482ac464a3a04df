"""What a setting buys beside its time: where and how hard it shifts, revs, fuel and heat."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from layshaft import _core
from layshaft.runs.launch_options import read_launch_options
from layshaft.runs.launch_run import run_launch
from layshaft.runs.point_runs import run_points
from layshaft.runs.run_options import Drive
from layshaft.setup.car import Car
from layshaft.setup.settings import Point, as_written

if TYPE_CHECKING:
    from layshaft.runs.launch_run import LaunchRun

#: Within which the drive force changes for a driver who cannot answer it [s].
_SUDDEN = 0.03
_STEP = 0.005  # between the looks at it [s]


@dataclass(frozen=True, slots=True, eq=False)
class Bought:
    """What each setting gives; SI units, not a number where a run failed or has no shift."""

    points: tuple[Point, ...]
    time: np.ndarray  #: of the lap or the launch [s]
    upshifts: np.ndarray
    shift_speed: np.ndarray  #: [m/s]
    shift_distance: np.ndarray  #: [m]
    drop: np.ndarray  #: of the engine's speed over the shift [rad/s]
    engine_peak: np.ndarray  #: [rad/s]
    over_rev: np.ndarray  #: of the peak over the engine's limit [rad/s], 0 below
    upset: np.ndarray  #: greatest change of the drive force in 30 ms of a shift [g]
    fuel_rate: np.ndarray  #: [kg/s]
    shoe_heat: np.ndarray  #: of the two-speed [J]
    clutch_heat: np.ndarray  #: of the engine clutch [J]


def what_it_buys(car: Car, points: Sequence[Point], options: Drive) -> Bought:
    """Drive each setting, and gather what it costs and gives.

    The upset is that of a pull from rest on full throttle, so that no foot of the driver is in it.

    Examples
    --------
    >>> import layshaft
    >>> from layshaft.runs.run_options import read_options
    >>> points = [{"two_speed.gap": gap} for gap in (0.0038, 0.0046)]
    >>> bought = what_it_buys(layshaft.demo_car(), points, read_options(distance=40.0))
    >>> bool(bought.upset[0] > bought.upset[1])  # the late shift is the harder one
    True
    """
    runs = run_points(car, points, options)
    limit = car["engine.speed_limit"]
    peak = runs["peak_engine_speed"]
    return Bought(
        points=tuple(points),
        time=runs.time,
        upshifts=runs["upshifts"],
        shift_speed=runs["shift_speed"],
        shift_distance=runs["shift_distance"],
        drop=runs["engine_speed_drop"],
        engine_peak=peak,
        over_rev=np.maximum(peak - limit, 0.0),
        upset=upsets(car, points),
        fuel_rate=runs["fuel"] / runs.time,
        shoe_heat=np.maximum(runs["shoe_loss"], 0.0),
        clutch_heat=np.maximum(runs["clutch_loss"], 0.0),
    )


def upsets(car: Car, points: Sequence[Point]) -> np.ndarray:
    """Return the upset of each setting [g], not a number where there is no shift."""
    return np.array([_upset_at(car, point) for point in points])


def shift_upset(run: "LaunchRun") -> float:
    """Return the greatest change of the drive force in 30 ms from contact to lock [g]."""
    scalars = run.plain.scalars
    contact, lock = (float(scalars[name][1]) for name in ("contact_time", "lock_time"))
    if not np.isfinite(lock):
        return float("nan")
    names = ("time", "rear_tyre_force", "front_tyre_force")
    times, rear, front = (run.plain.samples[name][1] for name in names)
    force = rear + front
    looks = np.arange(max(contact - _SUDDEN, times[0]), min(lock + _SUDDEN, times[-1]), _STEP)
    drive = np.interp(looks, times, force) / (run.car["body.mass"] * _core.standard_gravity)
    apart = round(_SUDDEN / _STEP)
    return float(np.max(np.abs(drive[apart:] - drive[:-apart]), initial=0.0))


def _upset_at(car: Car, point: Point) -> float:
    try:
        changed = car.replace(as_written(point))
    except ValueError:  # what is wrong with it stands in the run's own message
        return float("nan")
    return shift_upset(run_launch(changed, _PULL, "return"))


_PULL = read_launch_options(distance=60.0)
