"""Marks and changes of a launch as labelled columns."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft import _core
from layshaft.runs.changes import Change
from layshaft.runs.launch_options import LaunchOptions
from layshaft.runs.samples import Variable

if TYPE_CHECKING:
    from layshaft.runs.lap_options import LapOptions


def mark_coordinates(options: "LaunchOptions | LapOptions") -> dict[str, Variable]:
    """Return the coordinates `distance` and `speed` of the marks of a run."""
    return {
        "distance": (
            ("distance",),
            np.array(options.distances),
            {"units": "m", "long_name": "Distance from the start"},
        ),
        "speed": (
            ("speed",),
            np.array(options.speeds),
            {"units": "m/s", "long_name": "Speed"},
        ),
    }


def marks_of(result: _core.LaunchResult, options: LaunchOptions) -> dict[str, Variable]:
    """Return times and speeds at the marks of a run, with their coordinates."""

    def over(mark: str, values: list[float], unit: str, meaning: str) -> Variable:
        return (mark,), np.array(values), {"units": unit, "long_name": meaning}

    return mark_coordinates(options) | {
        "time_to_distance": over("distance", result.distance_times, "s", "Time to the distance"),
        "speed_at_distance": over(
            "distance", result.distance_speeds, "m/s", "Speed at the distance"
        ),
        "time_to_speed": over("speed", result.speed_times, "s", "Time to the speed"),
    }


def change_columns(changes: tuple[Change, ...]) -> dict[str, Variable]:
    """Return what changed in a run, a column each of its members."""
    meanings = {
        "text": "What changed, in words",
        "part": "Coupling or switch that changed",
        "was": "Its mode or position before",
        "now": "Its mode or position after",
        "cause": "What made it change",
    }
    columns: dict[str, Variable] = {}
    for name, meaning in meanings.items():
        texts = np.array([str(getattr(change, name)) for change in changes], dtype=object)
        columns[f"change_{name}"] = (("change",), texts, {"long_name": meaning})
    times = np.array([change.time for change in changes])
    labels = {"units": "s", "long_name": "Time of the change"}
    return columns | {"change_time": (("change",), times, labels)}
