"""What a setting gives in the mean of how well it can be set, not only where it was aimed at.

On a track a shift that just comes or just does not makes a step in the lap time, and a lap on the
lucky side of a step is one that nobody drives twice. So caliper, friction and driver together are
taken as a normal scatter of the gap, cut off at two standard deviations (95 %), and what counts is
the mean over it.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from layshaft.runs.lap_run import LapRun
from layshaft.runs.point_runs import PointRuns, run_points
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.setup.settings import Point, merged

#: Standard deviation of the gap by caliper, friction and driver [m].
USUAL_SCATTER = 0.05e-3
_STEPS = np.arange(-2.0, 3.0)  # in standard deviations
_WEIGHTS = np.exp(-0.5 * _STEPS**2) / np.exp(-0.5 * _STEPS**2).sum()


class LapBand(NamedTuple):
    """Lap times and upshifts over the scatter of the gap; SI units."""

    scatter: float  #: standard deviation of the gap [m]
    mean: float  #: weighted mean of the lap times [s]
    width: float  #: their standard deviation [s]
    low: float  #: least lap time [s]
    high: float  #: greatest lap time [s]
    least_upshifts: int
    most_upshifts: int
    failed: int  #: laps among them that were not driven


def lap_band(run: LapRun, scatter: float = USUAL_SCATTER) -> LapBand:
    """Drive a lap again with the gap a little smaller and larger, up to two standard deviations.

    Examples
    --------
    >>> import layshaft
    >>> band = lap_band(layshaft.lap(layshaft.demo_car(), "fast"))
    >>> band.low <= band.mean <= band.high
    True
    """
    runs = run_points(run.car, _scattered(run.car, {}, scatter), run.options)
    known = np.isfinite(runs.time)
    times, weights = runs.time[known], _WEIGHTS[known] / _WEIGHTS[known].sum()
    mean = float(weights @ times)
    upshifts = runs["upshifts"][known]
    return LapBand(
        scatter=scatter,
        mean=mean,
        width=float(np.sqrt(weights @ (times - mean) ** 2)),
        low=float(times.min()),
        high=float(times.max()),
        least_upshifts=int(upshifts.min()),
        most_upshifts=int(upshifts.max()),
        failed=int(np.sum(~known)),
    )


def expected_runs(
    car: Car, points: Sequence[Point], driven: Callable[..., PointRuns], scatter: float
) -> tuple[PointRuns, np.ndarray]:
    """Return the mean of each point's runs over a scatter of the gap, and the width of their times.

    Parameters
    ----------
    car, points
        As for `run_points`.
    driven
        Drives them, as `RememberedRuns`, of which neighbours that share a gap share its run.
    scatter
        Standard deviation of the gap [m].

    Returns
    -------
    tuple
        The means; a point of which one run fails has failed. The standard deviations of the times
        [s].
    """
    each = [moved for point in points for moved in _scattered(car, point, scatter)]
    runs = driven(car, each)
    rows = np.arange(len(each)).reshape(len(points), len(_STEPS))
    times = runs.distance_times[rows]
    means = np.einsum("n,pnd->pd", _WEIGHTS, times)
    last = times[:, :, -1]
    width = np.sqrt(((last - means[:, -1:]) ** 2) @ _WEIGHTS)
    failing = [_failing_first(runs, row) for row in rows]
    expected = PointRuns(
        runs.names,
        _known_means(runs.scalars[rows]),
        means,
        tuple(runs.status[at] for at in failing),
        tuple(runs.messages[at] for at in failing),
    )
    return expected, width


def expected_along(settings: np.ndarray, values: np.ndarray, scatter: float) -> np.ndarray:
    """Return the mean of values over a scatter of the setting, on straight lines between them.

    Parameters
    ----------
    settings
        In rising order.
    values
        Rows of values over the settings; beyond the ends the last one counts.
    scatter
        Standard deviation of the setting, >= 0.

    Examples
    --------
    A dip that one reading alone meets is worth a share of itself:

    >>> gaps, times = np.array([4.0, 4.1, 4.2]), np.array([[20.0, 19.0, 20.0]])
    >>> expected_along(gaps, times, 0.05).round(2)
    array([[19.82, 19.36, 19.82]])
    """
    steps = np.linspace(-2.0, 2.0, 41)
    weights = np.exp(-0.5 * steps**2)
    at = np.clip(settings[:, None] + scatter * steps, settings[0], settings[-1])
    return np.array(
        [np.interp(at, settings, row) @ weights / weights.sum() for row in values]
    ).reshape(values.shape)


def _scattered(car: Car, point: Point, scatter: float) -> list[dict[str, float]]:
    pair = point.get("two_speed.gap")
    paths = field_table.pairs()["two_speed.gap"]
    aims = {path: point.get(path, car._core.get(path) if pair is None else pair) for path in paths}
    return [
        merged(point, {path: max(gap + step * scatter, 0.0) for path, gap in aims.items()})
        for step in _STEPS
    ]


def _known_means(scalars: np.ndarray) -> np.ndarray:
    """Return the weighted means of what is known: a lap without a shift has no shift speed."""
    known = np.isfinite(scalars)
    weights = _WEIGHTS[None, :, None] * known
    total = weights.sum(axis=1)
    sums = (np.where(known, scalars, 0.0) * weights).sum(axis=1)
    return np.divide(sums, total, out=np.full(sums.shape, np.nan), where=total > 0.0)


def _failing_first(runs: PointRuns, rows: np.ndarray) -> int:
    middle = int(rows[len(rows) // 2])
    return next((int(row) for row in rows if runs.messages[row]), middle)
