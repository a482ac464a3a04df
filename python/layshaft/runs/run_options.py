"""Options of any run: those of a lap where a track is given, else those of a launch."""

import json
from collections.abc import Iterable, Mapping
from typing import TypedDict, Unpack

from layshaft.quantities.units import Given
from layshaft.runs.launch_options import RunOptions, read_launch_options


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
    measures: Mapping[str, object]


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
    >>> read_options(distance="25 m").distance, round(read_options(track="club").distance)
    (25.0, 260)
    """
    if "track" in given:
        from layshaft.runs.lap_options import read_lap_options

        return read_lap_options(**given)
    return read_launch_options(**given)


def options_from_json(text: str) -> RunOptions:
    """Read what `to_json` of either wrote, and check it."""
    if "track" in json.loads(text):
        from layshaft.runs.lap_options import LapOptions

        return LapOptions.from_json(text)
    return RunOptions.from_json(text)
