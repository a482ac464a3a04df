"""What a run is asked for, as people write it and as the core takes it."""

import contextlib
import dataclasses
import difflib
import json
import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from numbers import Real
from typing import TypedDict, Unpack

import numpy as np

from layshaft import _core
from layshaft.quantities import units

#: A number in the SI unit, or text with a unit.
Given = float | str

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
_NUMBER = re.compile(r"[0-9.]+(?:e[-+]?[0-9]+)?")
_MOST = 2**31  # of a count, as the core holds it


class Options(TypedDict, total=False):
    """Keywords of `layshaft.launch` and `layshaft.sweep`; what each means stands in `launch`.

    With a `track` the runs are laps, and all others are as for `layshaft.lap`.
    """

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
    track: object


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class RunOptions:
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

    @property
    def scalars(self) -> tuple[tuple[str, str, str], ...]:
        """Name, SI unit and meaning of each scalar result."""
        return _core.scalars

    def core(self) -> _core.LaunchOptions:
        """Return the options as the core takes them.

        Raises
        ------
        ValueError
            Naming the option, its value and the broken bound.
        """
        values = dataclasses.asdict(self)
        values["distance_marks"] = list(values.pop("distances"))
        values["speed_marks"] = list(values.pop("speeds"))
        return _core.LaunchOptions(**values)

    def to_json(self) -> str:
        """Return text from which `from_json` makes the same options, bit for bit."""
        return json.dumps(dataclasses.asdict(self))

    @classmethod
    def from_json(cls, text: str) -> "RunOptions":
        """Read what `to_json` wrote, and check it; options of a lap from those of a lap."""
        values = json.loads(text)
        if "track" in values:
            from layshaft.runs.lap_options import LapOptions

            return LapOptions.from_json(text)
        for name in ("distances", "speeds"):
            values[name] = tuple(values[name])
        values["pedals"] = tuple(tuple(row) for row in values["pedals"])
        options = cls(**values)
        options.core()
        return options


def read_options(**given: Unpack[Options]) -> RunOptions:
    """Turn keywords as people write them into checked options; with a `track`, those of a lap.

    Raises
    ------
    TypeError
        For an unknown keyword; the message names the nearest known one.
    ValueError
        For a wrong unit or a value out of bounds.

    Examples
    --------
    >>> options = read_options(distance="25 m", start_speed="36 km/h")
    >>> options.start_speed, options.distances
    (10.0, (5.0, 10.0, 20.0, 25.0))
    """
    if "track" in given:
        from layshaft.runs.lap_options import read_lap_options

        return read_lap_options(**given)
    names = [field.name for field in dataclasses.fields(RunOptions)]
    for name in given:
        if name not in names:
            nearest = difflib.get_close_matches(name, names, n=1, cutoff=0.0)
            raise TypeError(f"unknown option {name!r}; the nearest known one is {nearest[0]!r}")
    values = dict(given)
    for name, unit in _UNITS.items():
        if name in values:
            values[name] = units.read(name, values[name], unit)
    if "most_steps" in values:
        values["most_steps"] = whole("most_steps", values["most_steps"])
    distance = values.get("distance", RunOptions().distance)
    if values.get("distances") is None:
        nearer = (mark for mark in USUAL_DISTANCES if mark < distance)
        values["distances"] = (*nearer, distance)
    values["distances"] = _marks("distances", values["distances"], "m")
    values["speeds"] = _marks("speeds", values.get("speeds", ()), "m/s")
    values["pedals"] = tuple(map(_pedal_row, _listed("pedals", values.get("pedals", ()))))
    options = RunOptions(**values)
    with told_as_given(given, _UNITS):
        options.core()
    return options


@contextlib.contextmanager
def told_as_given(given: Mapping[str, object], si_units: Mapping[str, str]) -> Iterator[None]:
    """Tell what the core refuses as it was written, the bound with its unit.

    Examples
    --------
    >>> read_options(distance="0 km")
    Traceback (most recent call last):
    ValueError: distance = '0 km' must be > 0 m and < 100000 m
    """
    try:
        yield
    except ValueError as error:
        name, _, rest = str(error).partition(" = ")
        _, _, bound = rest.partition(" must be ")
        name = name.rpartition(".")[2]
        if name not in given or not bound:
            raise
        si_unit = si_units.get(name, "1")
        unit = "m" if si_unit == "m" else None  # no way of a car is told in millimetres
        written = _NUMBER.sub(lambda n: units.si_text(float(n[0]), si_unit, unit), bound)
        raise ValueError(f"{name} = {given[name]!r} must be {written}") from None


def whole(name: str, value: object) -> int:
    """Return a count; refuse what is no whole number.

    Examples
    --------
    >>> whole("most_steps", 1e5)
    100000
    """
    is_number = isinstance(value, Real) and not isinstance(value, bool)
    if is_number and math.isfinite(value) and value == int(value) and abs(value) < _MOST:
        return int(value)
    raise ValueError(f"{name} = {value!r} must be a whole number")


def _listed(name: str, values: object) -> Iterable[object]:
    if isinstance(values, Iterable) and not isinstance(values, str):
        return values
    raise ValueError(f"{name} = {values!r} must be a list")


def _marks(name: str, marks: Iterable[Given], unit: str) -> tuple[float, ...]:
    listed = [marks] if isinstance(marks, str | float | int) else _listed(name, marks)
    return tuple(sorted({units.read(name, mark, unit) for mark in listed}))


def _pedal_row(row: tuple[Given, Given, Given]) -> tuple[float, float, float]:
    if not isinstance(row, Sequence | np.ndarray) or len(row) != len(_ROW_UNITS):
        raise ValueError(f"pedals: {row!r} must be a row (time, throttle, brake)")
    time, throttle, brake = (
        units.read("pedals", value, unit) for value, unit in zip(row, _ROW_UNITS, strict=True)
    )
    return time, throttle, brake
