"""What a lap is asked for, as people write it and as the core takes it."""

import dataclasses
import json
import os
from collections.abc import Mapping
from typing import Any, TypedDict, Unpack

import numpy as np

from layshaft import _core
from layshaft.quantities import units
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.runs.measures import Measure, measures_of, plain_options, read_measures
from layshaft.setup.handed_over import check_names, told_as_given, whole
from layshaft.tracks.track import Piece, Track
from layshaft.tracks.track_closing import warn_if_open

#: A track, a demo track's name, or a file.
AnyTrack = Track | str | os.PathLike[str]

#: Between samples along a lap when nothing else is asked for [m].
USUAL_SPACING = 0.25

_UNITS = {
    "sample_spacing": "m",
    "release_time": "s",
    "correction_time": "s",
    "before_corner": "m",
    "longest_time": "s",
    "corner_share": "1",
    "brake_share": "1",
    "least_power": "1",
    "tolerance": "1",
}
_COUNTS = ("most_laps", "most_steps")


class LapKeywords(TypedDict, total=False):
    """Keywords of `layshaft.lap`; what each means stands there."""

    standing: bool
    settled: bool
    sample_spacing: Given
    corner_share: Given
    brake_share: Given
    release_time: Given
    correction_time: Given
    before_corner: Given
    least_power: Given
    longest_time: Given
    most_laps: int
    tolerance: float
    most_steps: int
    measures: Mapping[str, object]


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class LapOptions:
    """Options of a lap in SI units, checked: plain data that can be sent to another process."""

    track: Track
    standing: bool = False
    settled: bool = True
    sample_spacing: float = USUAL_SPACING
    corner_share: float = 0.98
    brake_share: float = 0.88
    release_time: float = 0.2
    correction_time: float = 0.08
    before_corner: float = 2.0
    least_power: float = 0.5
    longest_time: float = 120.0
    most_laps: int = 40
    tolerance: float = 1e-5
    most_steps: int = 200_000
    measures: tuple[Measure, ...] = ()

    @property
    def distance(self) -> float:
        """Length of the lap [m]."""
        return self.track.length

    @property
    def distances(self) -> tuple[float, ...]:
        """Where sectors end [m]; the line ends the last."""
        return (*self.track.sectors, self.track.length)

    @property
    def speeds(self) -> tuple[float, ...]:
        """None: a lap takes no times at speeds."""
        return ()

    @property
    def scalars(self) -> tuple[tuple[str, str, str], ...]:
        """Name, SI unit and meaning of each scalar result."""
        return (*_core.lap_scalars, *(measure.scalar for measure in self.measures))

    def core(self) -> _core.LapOptions:
        """Return the options as the core takes them.

        Raises
        ------
        ValueError
            Naming the option, its value and the broken bound.
        """
        names = (f.name for f in dataclasses.fields(self) if f.name != "measures")
        values = {name: getattr(self, name) for name in names}
        return _core.LapOptions(
            **values | {"track": self.track.core, "sectors": self.track.sectors}
        )

    def to_json(self) -> str:
        """Return text from which `from_json` makes the same options, bit for bit."""
        return json.dumps(plain_options(self))

    @classmethod
    def from_json(cls, text: str) -> "LapOptions":
        """Read what `to_json` wrote, and check it."""
        values = json.loads(text)
        content = values.pop("track")
        pieces = tuple(
            Piece(length, tuple(curvature), grip, grade)
            for length, curvature, grip, grade in content["pieces"]
        )
        track = Track(content["name"], pieces, tuple(content["sectors"]))
        values["measures"] = measures_of(values)
        options = cls(track=track, **values)
        options.core()
        return options


def read_lap_options(track: AnyTrack, **given: Unpack[LapKeywords]) -> LapOptions:
    """Turn a track and keywords as people write them into checked options.

    Raises
    ------
    TypeError
        For an unknown keyword; the message names the nearest known one.
    ValueError
        For a wrong unit or a value out of bounds.

    Examples
    --------
    >>> options = read_lap_options("club", before_corner="150 cm")
    >>> options.before_corner, round(options.distance)
    (1.5, 295)
    """
    check_names(given, (field.name for field in dataclasses.fields(LapOptions)))
    values: dict[str, Any] = dict(given)
    for name, unit in _UNITS.items():
        if name in values:
            values[name] = units.read(name, values[name], unit)
    for name in ("standing", "settled"):
        if not isinstance(values.get(name, True), bool | np.bool_):
            raise ValueError(f"{name} = {shown(values[name])} must be True or False")
    values |= {name: whole(name, values[name]) for name in _COUNTS if name in values}
    values["measures"] = read_measures(values.get("measures", {}))
    options = LapOptions(track=as_track(track), **values)
    with told_as_given(given, _UNITS):
        options.core()
    return options


def as_track(given: AnyTrack) -> Track:
    """Return a track: itself, one of the demo tracks by name, or one read from a file."""
    if isinstance(given, Track):
        warn_if_open(given)
        return given
    # At first use: a launch reads no file of a track.
    from layshaft.tracks.track_file import DEMO_TRACKS, demo_track, read_track

    if isinstance(given, str) and given in DEMO_TRACKS:
        return demo_track(given)
    if isinstance(given, str | os.PathLike):
        return read_track(given)
    raise TypeError(
        f"track = {shown(given)} must be a track, {' or '.join(DEMO_TRACKS)}, or a file"
    )
