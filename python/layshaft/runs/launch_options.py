"""What a launch is asked for, as people write it and as the core takes it."""

import dataclasses
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypedDict, Unpack

import numpy as np

from layshaft import _core
from layshaft.quantities import units
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.runs.measures import Measure, measures_of, plain_options, read_measures
from layshaft.setup.handed_over import check_names, told_as_given, whole

#: Distances [m] at which times are taken when nothing else is asked for.
USUAL_DISTANCES = (5.0, 10.0, 20.0, 30.0, 60.0)

_UNITS = {
    "distance": "m",
    "longest_time": "s",
    "start_speed": "m/s",
    "grade": "1",
    "sample_interval": "s",
    "tolerance": "1",
}
_ROW_UNITS = ("s", "1", "1")


class LaunchKeywords(TypedDict, total=False):
    """Keywords of `layshaft.launch`; what each means stands there."""

    distance: Given
    longest_time: Given
    start_speed: Given
    grade: Given
    sample_interval: Given
    distances: Iterable[Given] | None
    speeds: Iterable[Given]
    pedals: Iterable[tuple[Given, Given, Given]]
    tolerance: float
    most_steps: int
    measures: Mapping[str, object]


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class LaunchOptions:
    """The same in SI units, checked: plain data that can be sent to another process."""

    distance: float = 60.0
    longest_time: float = 20.0
    start_speed: float = 0.0
    grade: float = 0.0
    sample_interval: float = 0.002
    distances: tuple[float, ...] = USUAL_DISTANCES
    speeds: tuple[float, ...] = ()
    pedals: tuple[tuple[float, float, float], ...] = ()
    tolerance: float = 1e-6
    most_steps: int = 200_000
    measures: tuple[Measure, ...] = ()

    @property
    def scalars(self) -> tuple[tuple[str, str, str], ...]:
        """Name, SI unit and meaning of each scalar result."""
        return (*_core.scalars, *(measure.scalar for measure in self.measures))

    def core(self) -> _core.LaunchOptions:
        """Return the options as the core takes them.

        Raises
        ------
        ValueError
            Naming the option, its value and the broken bound.
        """
        if not -1.0 <= self.grade <= 1.0:
            raise ValueError(f"Launch.grade = {shown(self.grade)} must be from -1 to 1")
        values = dataclasses.asdict(self)
        del values["measures"]
        values["distance_marks"] = list(values.pop("distances"))
        values["speed_marks"] = list(values.pop("speeds"))
        return _core.LaunchOptions(**values)

    def to_json(self) -> str:
        """Return text from which `from_json` makes the same options, bit for bit."""
        return json.dumps(plain_options(self))

    @classmethod
    def from_json(cls, text: str) -> "LaunchOptions":
        """Read what `to_json` wrote, and check it."""
        values = json.loads(text)
        for name in ("distances", "speeds"):
            values[name] = tuple(values[name])
        values["pedals"] = tuple(tuple(row) for row in values["pedals"])
        values["measures"] = measures_of(values)
        options = cls(**values)
        options.core()
        return options


def read_launch_options(**given: Unpack[LaunchKeywords]) -> LaunchOptions:
    """Turn keywords as people write them into checked options.

    Raises
    ------
    TypeError
        For an unknown keyword; the message names the nearest known one.
    ValueError
        For a wrong unit or a value out of bounds.

    Examples
    --------
    >>> options = read_launch_options(distance="25 m", start_speed="36 km/h")
    >>> options.start_speed, options.distances
    (10.0, (5.0, 10.0, 20.0, 25.0))
    """
    check_names(given, (field.name for field in dataclasses.fields(LaunchOptions)))
    values: dict[str, Any] = dict(given)
    for name, unit in _UNITS.items():
        if name in values:
            values[name] = units.read(name, values[name], unit)
    if "most_steps" in values:
        values["most_steps"] = whole("most_steps", values["most_steps"])
    distance = values.get("distance", LaunchOptions().distance)
    if values.get("distances") is None:
        nearer = (mark for mark in USUAL_DISTANCES if mark < distance)
        values["distances"] = (*nearer, distance)
    values["distances"] = _marks("distances", values["distances"], "m")
    values["speeds"] = _marks("speeds", values.get("speeds", ()), "m/s")
    values["measures"] = read_measures(values.get("measures", {}))
    values["pedals"] = tuple(map(_pedal_row, _listed("pedals", values.get("pedals", ()))))
    options = LaunchOptions(**values)
    with told_as_given(given, _UNITS):
        options.core()
    return options


def _listed(name: str, values: Any) -> Iterable[Any]:
    if isinstance(values, Iterable) and not isinstance(values, str):
        return values
    raise ValueError(f"{name} = {shown(values)} must be a list")


def _marks(name: str, marks: Iterable[Given], unit: str) -> tuple[float, ...]:
    is_one = isinstance(units.as_text(marks), str | float | int)
    listed = [marks] if is_one else _listed(name, marks)
    return tuple(sorted({units.read(name, mark, unit) for mark in listed}))


def _pedal_row(row: tuple[Given, Given, Given]) -> tuple[float, float, float]:
    if not isinstance(row, Sequence | np.ndarray) or len(row) != len(_ROW_UNITS):
        raise ValueError(f"pedals: {shown(row)} must be a row (time, throttle, brake)")
    time, throttle, brake = (
        units.read("pedals", value, unit) for value, unit in zip(row, _ROW_UNITS, strict=True)
    )
    return time, throttle, brake
