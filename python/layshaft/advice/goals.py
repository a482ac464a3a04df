"""What a setting shall be good for: each goal is a cost of a run, the less the better."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Unpack

import numpy as np

from layshaft.quantities import units
from layshaft.quantities.possible import check_possible
from layshaft.runs.point_runs import PointRuns, scalar_unit
from layshaft.runs.run_options import Given, Options, RunOptions, read_options
from layshaft.setup.handed_over import checked_map


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """One goal. Make it by `quickest`, `shift_at`, `coolest_shoes` or `coolest_clutch`."""

    name: str  #: in words
    measure: str  #: `time`, or a scalar of a run
    unit: str  #: SI unit of the measure
    target: float | None  #: aimed at; `None`: as low as it goes
    within: float  #: loss that counts as none
    options: RunOptions

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

    Examples
    --------
    >>> quickest(distance="25 m", start_speed="36 km/h").name
    'time over 25 m from 36 km/h'
    >>> quickest(track="fast").name
    'flying lap of fast (invented)'
    """
    read = read_options(**options)
    loss = _number("within", within, "s")
    if hasattr(read, "track"):
        name = f"{'standing' if read.standing else 'flying'} lap of {read.track.name}"
        return Goal(name=name, measure="time", unit="s", target=None, within=loss, options=read)
    start = f" from {read.start_speed * 3.6:.4g} km/h" if read.start_speed else ""
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

    Examples
    --------
    >>> shift_at("54 km/h").target
    15.0
    """
    target = check_possible("shift speed", _number("shift speed", speed, "m/s"), "m/s", speed)
    return Goal(
        name=f"shift at {target * 3.6:.4g} km/h",
        measure="shift_speed",
        unit="m/s",
        target=target,
        within=_number("within", within, "m/s"),
        options=read_options(**options),
    )


def coolest_shoes(within: float = 2.0, **options: Unpack[Options]) -> Goal:
    """Least temperature of the two-speed's friction surfaces; `within` in K.

    Examples
    --------
    >>> coolest_shoes().unit
    'K'
    """
    return _coolest("shoe temperature", "peak_shoe_temperature", within, options)


def coolest_clutch(within: float = 2.0, **options: Unpack[Options]) -> Goal:
    """Least temperature of the engine clutch's friction surfaces; `within` in K.

    Examples
    --------
    >>> coolest_clutch().measure
    'peak_clutch_temperature'
    """
    return _coolest("clutch temperature", "peak_clutch_temperature", within, options)


def read_limits(limits: Mapping[str, Given], *ways: RunOptions) -> dict[str, float]:
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
        read[name] = check_possible(name, _number(name, limit, unit), unit, limit)
    return read


def is_allowed(runs: PointRuns, limits: Mapping[str, float]) -> np.ndarray:
    """Tell for each run whether it keeps all limits."""
    allowed = np.ones(len(runs.status), dtype=bool)
    for name, limit in limits.items():
        allowed &= runs[name] <= limit
    return allowed


def _coolest(name: str, measure: str, within: float, options: Mapping[str, object]) -> Goal:
    read = read_options(**options)
    return Goal(
        name=name,
        measure=measure,
        unit="K",
        target=None,
        within=units.read("within", within, "K"),
        options=read,
    )


def _number(name: str, value: Given, unit: str) -> float:
    number = units.read(name, value, unit)
    if not number >= 0.0:
        raise ValueError(f"{name} = {value!r} must be at least 0")
    return number
