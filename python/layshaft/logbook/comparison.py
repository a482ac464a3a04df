"""Two set-ups side by side: only what differs, and what each difference is worth."""

from dataclasses import dataclass
from typing import Unpack

import numpy as np

from layshaft.logbook.setup_changes import changed_fields
from layshaft.runs.point_runs import run_points
from layshaft.runs.run_options import Drive, Options, read_options
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car
from layshaft.setup.field_table import CURVE
from layshaft.setup.settings import Point

#: Teeth that run on two common shafts: changed one by one, most would not mesh.
_GEARS = ("first.pinion", "first.spur", "second.pinion", "second.spur")


@dataclass(frozen=True, slots=True)
class Difference:
    """What belongs together and differs; SI units."""

    paths: tuple[str, ...]  #: the fields; the teeth of all gears count as one difference
    was: tuple[float, ...]  #: their numbers in the first set-up; none for a torque curve
    becomes: tuple[float, ...]  #: in the second
    worth: float  #: time that this alone adds to the first set-up's [s]; not a number: no run


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two set-ups; SI units."""

    differences: tuple[Difference, ...]  #: what gains most comes first, what cannot run last
    first_time: float  #: [s]
    second_time: float  #: [s]
    options: Drive

    @property
    def together(self) -> float:
        """Time that all differences at once add to the first set-up's [s]."""
        return self.second_time - self.first_time


def compare_setups(first: Car, second: Car, **options: Unpack[Options]) -> Comparison:
    """Compare two set-ups: what differs, and what each difference alone is worth.

    Parameters
    ----------
    first, second
        The cars.
    options
        Of the run that tells the worth, as for `layshaft.launch`; on a `track` it is a lap.

    Returns
    -------
    Comparison
        For each difference the numbers in SI units, and the time [s] that it alone adds to the
        first set-up's. Differences need not add up to what they do together.

    Raises
    ------
    ValueError
        For options out of bounds.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.demo_car()
    >>> found = compare_setups(car, car.replace({"body.mass": "3 kg", "first.pinion": 16}))
    >>> [each.paths for each in found.differences]
    [('first.pinion',), ('body.mass',)]
    >>> found.differences[-1].worth > 0.0  # heavier
    True
    """
    first, second = checked_car(first), checked_car(second)
    read = read_options(**options)
    fields = changed_fields(first, second)
    points = [{path: fields[path] for path in paths} for paths in _grouped(fields)]
    times = run_points(first, [{}, *points], read).time
    differences = [
        _difference(first, point, float(time - times[0]))
        for point, time in zip(points, times[1:], strict=True)
    ]
    with_its_engine = first.replace({CURVE: second[CURVE]})
    engine_time, second_time = run_points(with_its_engine, [{}, fields], read).time
    if second[CURVE] != first[CURVE]:
        differences.append(Difference((CURVE,), (), (), float(engine_time - times[0])))
    return Comparison(
        differences=tuple(sorted(differences, key=lambda each: (np.isnan(each.worth), each.worth))),
        first_time=float(times[0]),
        second_time=float(second_time),
        options=read,
    )


def _grouped(fields: Point) -> list[tuple[str, ...]]:
    """Put together what can only change together: the teeth of gears, both shoes set alike."""
    groups = [tuple(path for path in _GEARS if path in fields)]
    for shoes in field_table.pairs().values():
        if {fields.get(shoe) for shoe in shoes} == {fields.get(shoes[0])} != {None}:
            groups.append(shoes)
    taken = {path for group in groups for path in group}
    return [group for group in groups if group] + [(p,) for p in fields if p not in taken]


def _difference(first: Car, point: Point, worth: float) -> Difference:
    was = tuple(first._core.get(path) for path in point)
    return Difference(tuple(point), was, tuple(point.values()), worth)
