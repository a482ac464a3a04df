"""Runs of one car at any points: what advice, fits and scatter studies are made of."""

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from layshaft import _core
from layshaft.quantities.refused import cut
from layshaft.runs.batch import run_chunk
from layshaft.runs.run_options import Drive
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.setup.settings import Point

_LONGEST = 60  # letters that a name is compared by
_KINDS = {"launch": _core.scalars, "lap": _core.lap_scalars}


@dataclass(frozen=True, slots=True, eq=False)
class PointRuns:
    """Results of some runs, one row a run; SI units, not-a-numbers where a run failed."""

    names: tuple[str, ...]  #: of the scalars
    scalars: np.ndarray  #: runs x names
    distance_times: np.ndarray  #: runs x distances [s]
    status: tuple[str, ...]
    messages: tuple[str, ...]

    @property
    def time(self) -> np.ndarray:
        """Time to the last distance [s]."""
        return self.distance_times[:, -1]

    def __getitem__(self, scalar: str) -> np.ndarray:
        if scalar not in self.names:
            raise ValueError(_no_scalar(scalar, self.names))
        return self.scalars[:, self.names.index(scalar)]


def scalar_unit(name: str, options: Drive | None = None) -> str:
    """Return the SI unit of a scalar of a run.

    Parameters
    ----------
    name
        Of the scalar.
    options
        Of the runs, which must have it; `None` for those of any kind.

    Raises
    ------
    ValueError
        For an unknown one, and for one that such runs do not have.

    Examples
    --------
    >>> scalar_unit("peak_engine_speed")
    'rad/s'
    """
    every = (row for rows in _KINDS.values() for row in rows)
    units = {scalar: unit for scalar, unit, _ in (every if options is None else options.scalars)}
    if name not in units:
        raise ValueError(_no_scalar(name, tuple(units)))
    return units[name]


def _no_scalar(name: str, names: tuple[str, ...]) -> str:
    """Say which scalars there are, and in which runs an absent one is."""
    kinds = [kind for kind, rows in _KINDS.items() if name in {scalar for scalar, _, _ in rows}]
    if kinds:
        cure = {"launch": "leave out the track", "lap": "give a track"}[kinds[0]]
        return f"{name}: only a {kinds[0]} has this scalar; {cure}"
    near = difflib.get_close_matches(name[:_LONGEST], names, n=3, cutoff=0.0)
    return f"{cut(name)}: a run has no such scalar; the nearest are {', '.join(near)}"


def run_points(car: Car, points: Sequence[Point], options: Drive, *, threads: int = 0) -> PointRuns:
    """Run the car once at each point, all in one batch on all cores.

    Parameters
    ----------
    car
        The car to change.
    points
        Changes of each run, as stored numbers; a field left out keeps the car's value.
    options
        The same for all runs.
    threads
        0 for as many as the machine has cores.

    Examples
    --------
    >>> import layshaft
    >>> from layshaft.runs.run_options import read_options
    >>> points = [{}, {"two_speed.gap": 0.0041}]
    >>> runs = run_points(layshaft.demo_car(), points, read_options(distance="30 m"))
    >>> bool(runs["shift_speed"][1] > runs["shift_speed"][0])  # a lower reading: later
    True
    """
    single = [dict(single_fields(point)) for point in points]
    paths = sorted({path for point in single for path in point})
    own = {path: car._core.get(path) for path in paths}
    # A batch needs a column; any field at its own value changes nothing.
    columns = paths or [field_table.fields()[0].path]
    own = own or {columns[0]: car._core.get(columns[0])}
    table = [[point.get(path, own[path]) for path in columns] for point in single]
    values = np.array(table, dtype=float).reshape(len(single), len(columns))
    chunk = run_chunk(car, columns, values, options, threads=threads)
    if chunk.interrupted:
        raise KeyboardInterrupt
    names = tuple(name for name, _, _ in options.scalars)
    return PointRuns(
        names, chunk.scalars, chunk.distance_times, tuple(chunk.status), tuple(chunk.messages)
    )


def single_fields(point: Point) -> Iterable[tuple[str, float]]:
    """Go through a point with pairs taken apart; a shoe named beside its pair wins.

    Examples
    --------
    >>> dict(single_fields({"two_speed.gap": 0.0046, "two_speed.shoe_1.gap": 0.0045}))
    {'two_speed.shoe_1.gap': 0.0045, 'two_speed.shoe_2.gap': 0.0046}
    """
    pairs = field_table.pairs()
    for path, value in point.items():
        for single in pairs.get(path, ()):
            yield single, value
    for path, value in point.items():
        if path not in pairs:
            yield path, value
