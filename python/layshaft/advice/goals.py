"""What a setting should achieve: each goal is a cost of a run, the lower the better."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Unpack

import numpy as np

from layshaft.quantities import units
from layshaft.quantities.pit_units import KMH, run_text
from layshaft.quantities.possible import check_possible
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.runs.failed_runs import out_of_time
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.lap_run import LapRun
from layshaft.runs.launch_run import LaunchRun
from layshaft.runs.measures import check_value, read_measure
from layshaft.runs.point_runs import PointRuns, scalar_unit
from layshaft.runs.remembered_runs import RememberedRuns
from layshaft.runs.run_options import Drive, Options, read_options
from layshaft.runs.setting_scatter import expected_runs
from layshaft.setup.car import Car
from layshaft.setup.handed_over import checked_map
from layshaft.setup.settings import Point

__all__ = ["Goal", "coolest_clutch", "coolest_shoes", "measure", "quickest", "shift_at"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """One goal. Make it by one of the functions of `layshaft.goals`."""

    name: str  #: in words
    measure: str  #: `time`, or a scalar of a run
    unit: str  #: SI unit of the measure
    target: float | None  #: aimed at; `None`: as low as it goes
    within: float  #: loss that counts as none
    options: Drive
    scatter: float = 0.0  #: of the gap, over which a mean is taken; standard deviation [m]
    driven: Callable[..., PointRuns] | None = field(default=None, repr=False, compare=False)
    #: Drives a car at points, as `run_points`; remembers what it has driven.

    def runs(self, car: Car, points: Sequence[Point], *, threads: int = 0) -> PointRuns:
        """Run the car at points; with a scatter each is the mean over it."""
        driven = self.driven or RememberedRuns(self.options)
        if self.scatter > 0.0:
            return expected_runs(car, points, driven, self.scatter)[0]
        return driven(car, points, threads=threads)

    def width(self, car: Car, point: Point) -> float:
        """Return the standard deviation of the time over the scatter [s]; 0 for another measure."""
        if not self.scatter > 0.0 or self.measure != "time":
            return 0.0
        driven = self.driven or RememberedRuns(self.options)
        return float(expected_runs(car, [point], driven, self.scatter)[1][0])

    def value(self, runs: PointRuns) -> np.ndarray:
        """Return the measure of each run."""
        return runs.time if self.measure == "time" else runs[self.measure]

    def cost_of(self, value: np.ndarray) -> np.ndarray:
        """Turn values of the measure into costs in the same unit; infinite where there is none."""
        cost = value if self.target is None else np.abs(value - self.target)
        return np.where(np.isfinite(cost), cost, np.inf)

    def cost(self, runs: PointRuns) -> np.ndarray:
        """Return the cost of each run."""
        return self.cost_of(self.value(runs))


def quickest(within: Given = 0.01, **options: Unpack[Options]) -> Goal:
    """Least time to the distance; with a `start_speed` a corner exit, with a `track` a lap.

    Parameters
    ----------
    within
        Time loss that counts as none [s].
    options
        As for `layshaft.launch`; with a `track` as for `layshaft.lap`.

    Returns
    -------
    Goal
        Its cost is a time [s].

    Examples
    --------
    >>> quickest(distance="25 m", start_speed="36 km/h").name
    'time over 25 m from 36 km/h'
    >>> quickest(track="fast").name
    'flying lap of fast (invented)'
    """
    read = read_options(**options)
    loss = units.read_loss("within", within, "s")
    if isinstance(read, LapOptions):
        name = f"{'standing' if read.standing else 'flying'} lap of {read.track.name}"
        return Goal(name=name, measure="time", unit="s", target=None, within=loss, options=read)
    start = f" from {read.start_speed * KMH:.4g} km/h" if read.start_speed else ""
    return Goal(
        name=f"time over {read.distance:g} m{start}",
        measure="time",
        unit="s",
        target=None,
        within=loss,
        options=read,
    )


def shift_at(speed: Given, within: Given = "1 km/h", **options: Unpack[Options]) -> Goal:
    """Shift nearest to a speed of the car [m/s].

    Returns
    -------
    Goal
        Its cost is how far the shift speed is off [m/s].

    Examples
    --------
    >>> shift_at("54 km/h").target
    15.0
    """
    target = check_possible(
        "shift speed", units.read_loss("shift speed", speed, "m/s"), "m/s", speed
    )
    return Goal(
        name=f"shift at {target * KMH:.4g} km/h",
        measure="shift_speed",
        unit="m/s",
        target=target,
        within=units.read_loss("within", within, "m/s"),
        options=read_options(**options),
    )


def measure(
    function: Callable[[LaunchRun | LapRun], float],
    *,
    unit: str = "1",
    target: Given | None = None,
    within: Given = 0.0,
    name: str | None = None,
    **options: Unpack[Options],
) -> Goal:
    """Least value of a measure of one's own, or that nearest to a target.

    Parameters
    ----------
    function
        Takes a run with all that it has, a `LaunchRun` or with a `track` a `LapRun`, and returns a
        number in the SI unit.
    unit
        SI unit of the number; `K` for a temperature, not for a difference of two.
    target
        Aimed at; `None` for as little as can be.
    within
        Loss that counts as none.
    name
        Of the measure, of letters, digits and _; by default that of the function.
    options
        As for `layshaft.launch`; with a `track` as for `layshaft.lap`.

    Returns
    -------
    Goal
        Its cost is in the unit of the measure.

    Examples
    --------
    >>> def longest_way_in_first(run):
    ...     return run.scalars.shift_distance
    >>> measure(longest_way_in_first, unit="m", target="12 m").name
    'longest way in first at 12.0 m'
    """
    if not callable(function):
        raise TypeError(f"function = {shown(function)} must be a function of a run")
    own = read_measure(getattr(function, "__name__", "") if name is None else name, function, unit)
    options["measures"] = {**options.get("measures", {}), own.name: (function, unit)}
    aim = None if target is None else units.read("target", target, unit)
    words = own.name.replace("_", " ")
    return Goal(
        name=words if aim is None else f"{words} at {' '.join(run_text(aim, unit))}",
        measure=own.name,
        unit=unit,
        target=aim,
        within=units.read_loss("within", within, unit),
        options=read_options(**options),
    )


def coolest_shoes(within: float = 2.0, **options: Unpack[Options]) -> Goal:
    """Least temperature of the two-speed's friction surfaces; `within` in K.

    Returns
    -------
    Goal
        Its cost is a temperature [K].

    Examples
    --------
    >>> coolest_shoes().unit
    'K'
    """
    return _coolest("shoe temperature", "peak_shoe_temperature", within, options)


def coolest_clutch(within: float = 2.0, **options: Unpack[Options]) -> Goal:
    """Least temperature of the engine clutch's friction surfaces; `within` in K.

    Returns
    -------
    Goal
        Its cost is a temperature [K].

    Examples
    --------
    >>> coolest_clutch().measure
    'peak_clutch_temperature'
    """
    return _coolest("clutch temperature", "peak_clutch_temperature", within, options)


def read_limits(limits: Mapping[str, Given], *ways: Drive) -> dict[str, float]:
    """Turn upper limits of scalars of a run, as people write them, into SI numbers.

    Parameters
    ----------
    limits
        By the name of the scalar.
    ways
        How the runs are driven: each kind must have the scalars.

    Examples
    --------
    >>> read_limits({"peak_shoe_temperature": "150 degC"})
    {'peak_shoe_temperature': 423.15}
    """
    read = {}
    for name, limit in checked_map("limits", limits).items():
        unit = {scalar_unit(name, options) for options in ways or (None,)}.pop()
        number = units.read(name, limit, unit)
        own = [each for options in ways for each in options.measures]
        read[name] = check_value(name, number, unit, limit, own)
    return read


def is_allowed(runs: PointRuns, limits: Mapping[str, float]) -> np.ndarray:
    """Tell for each run whether it keeps all limits."""
    allowed = np.ones(len(runs.status), dtype=bool)
    for name, limit in limits.items():
        allowed &= runs[name] <= limit
    return allowed


def goal_reasons(runs: PointRuns, goal: Goal) -> Iterator[str]:
    """Say of each run that does not reach a goal why: it failed, or what is measured is absent."""
    absent = {"time": out_of_time(goal.options), "shift_speed": "no shift"}
    for message, cost in zip(runs.messages, goal.cost(runs), strict=True):
        if not np.isfinite(cost):
            yield message or absent.get(goal.measure, f"no {goal.measure.replace('_', ' ')}")


def _coolest(name: str, measure: str, within: float, options: Options) -> Goal:
    read = read_options(**options)
    return Goal(
        name=name,
        measure=measure,
        unit="K",
        target=None,
        within=units.read_loss("within", within, "K"),
        options=read,
    )
