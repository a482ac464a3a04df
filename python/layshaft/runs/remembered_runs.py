"""Runs that are driven once, which search and means over a scatter ask of again and again."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from layshaft.runs.point_runs import PointRuns, run_points, single_fields
from layshaft.runs.run_options import Drive
from layshaft.setup.car import Car
from layshaft.setup.settings import Point

_Key = tuple[tuple[str, str], ...]


class _Row(NamedTuple):
    """One run of a `PointRuns`."""

    scalars: np.ndarray
    distance_times: np.ndarray
    status: str
    message: str


class RememberedRuns:
    """`run_points` for one way to drive that drives a car at alike points once.

    Points are alike that make cars with the same numbers to nine digits.

    Examples
    --------
    >>> import layshaft
    >>> from layshaft.runs.run_options import read_options
    >>> car, runs = layshaft.demo_car(), RememberedRuns(read_options(distance="30 m"))
    >>> late = {"two_speed.gap": 0.0041}
    >>> first, both = runs(car, [late]), runs(car, [{}, late])
    >>> runs.driven, bool(first.time[0] == both.time[1])
    (2, True)
    """

    def __init__(self, options: Drive) -> None:
        self._options = options
        self._names = tuple(name for name, _, _ in options.scalars)
        self._cars: dict[Car, dict[_Key, _Row]] = {}

    @property
    def driven(self) -> int:
        """How many runs there were."""
        return sum(map(len, self._cars.values()))

    def __call__(self, car: Car, points: Sequence[Point], *, threads: int = 0) -> PointRuns:
        """Return a run for each point, as `run_points` does."""
        known = self._cars.setdefault(car, {})
        keys = [_key(car, point) for point in points]
        new = {key: point for key, point in zip(keys, points, strict=True) if key not in known}
        if new:
            runs = run_points(car, list(new.values()), self._options, threads=threads)
            rows = zip(
                *(runs.scalars, runs.distance_times, runs.status, runs.messages), strict=True
            )
            known |= {key: _Row(*row) for key, row in zip(new, rows, strict=True)}
        found = [known[key] for key in keys]
        return PointRuns(
            self._names,
            np.array([row.scalars for row in found]),
            np.array([row.distance_times for row in found]),
            tuple(row.status for row in found),
            tuple(row.message for row in found),
        )


def _key(car: Car, point: Point) -> _Key:
    """Return in what the car at a point differs from the car."""
    given = dict(single_fields(point)).items()
    texts = ((path, f"{value:.9g}", f"{car._core.get(path):.9g}") for path, value in given)
    return tuple(sorted((path, text) for path, text, own in texts if text != own))
