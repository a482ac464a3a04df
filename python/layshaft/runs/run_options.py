"""Options of any run: those of a lap where a track is given, else those of a launch."""

import json
from collections.abc import Mapping
from typing import Any, Unpack

from layshaft.runs.lap_options import AnyTrack, LapKeywords, LapOptions, read_lap_options
from layshaft.runs.launch_options import LaunchKeywords, LaunchOptions, read_launch_options

#: How a car is driven: a launch or a lap.
Drive = LaunchOptions | LapOptions


class Options(LaunchKeywords, LapKeywords, total=False):
    """Keywords of whatever drives runs, such as `layshaft.sweep`.

    With a `track` the runs are laps, and all others are as for `layshaft.lap`.
    """

    track: AnyTrack


def kind_of(given: Mapping[str, object]) -> type[LaunchOptions] | type[LapOptions]:
    """Tell by what names are given which kind of run they ask for: with a track a lap.

    Examples
    --------
    >>> kind_of({"distance": "25 m"}).__name__
    'LaunchOptions'
    """
    return LapOptions if "track" in given else LaunchOptions


def read_options(**given: Unpack[Options]) -> Drive:
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
    (25.0, 295)
    """
    keywords: dict[str, Any] = dict(given)
    is_lap = kind_of(given) is LapOptions
    return read_lap_options(**keywords) if is_lap else read_launch_options(**keywords)


def options_from_json(text: str) -> Drive:
    """Read what `to_json` of either wrote, and check it."""
    return kind_of(json.loads(text)).from_json(text)
