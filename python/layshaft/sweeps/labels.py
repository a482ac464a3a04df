"""Results of a sweep as labelled arrays: one dimension an axis."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from layshaft import _core
from layshaft.runs.batch import Chunk
from layshaft.runs.launch_tables import mark_coordinates
from layshaft.runs.run_options import Drive
from layshaft.setup import field_table

if TYPE_CHECKING:
    import xarray

Columns = Mapping[str, Sequence[float]]


def labelled(columns: Columns, chunk: Chunk, options: Drive) -> "xarray.Dataset":
    """Label the results of a grid.

    Parameters
    ----------
    columns
        Path of each field to its values, as stored numbers.
    chunk
        One row a point of the grid, the last field fastest.
    options
        Of the runs.
    """
    import xarray

    return xarray.Dataset(*named(columns, chunk, options))


def named(
    columns: Columns, chunk: Chunk, options: Drive
) -> tuple[dict[str, tuple], dict[str, tuple]]:
    """Return variables and coordinates of the results of a grid: dimensions, values, labels.

    Parameters
    ----------
    columns, chunk, options
        As for `labelled`.
    """
    axes = [field_table.column_of(path) for path in columns]
    shape = [len(values) for values in columns.values()]
    variables: dict[str, tuple] = {}
    for column, (name, unit, meaning) in enumerate(options.scalars):
        labels = {"units": unit, "long_name": meaning}
        variables[name] = (axes, chunk.scalars[:, column].reshape(shape), labels)
    for name, mark, table, unit, meaning in (
        ("time_to_distance", "distance", chunk.distance_times, "s", "Time to the distance"),
        ("speed_at_distance", "distance", chunk.distance_speeds, "m/s", "Speed at the distance"),
        ("time_to_speed", "speed", chunk.speed_times, "s", "Time to the speed"),
    ):
        if table.shape[1]:
            labels = {"units": unit, "long_name": meaning}
            variables[name] = ([*axes, mark], table.reshape([*shape, -1]), labels)
    for name, texts, meaning in (
        ("status", chunk.status, "How the run went"),
        ("message", chunk.messages, "What to try where a run failed"),
    ):
        variables[name] = (
            axes,
            np.array(texts, dtype=object).reshape(shape),
            {"long_name": meaning},
        )
    marks = mark_coordinates(options)
    coordinates = {name: marks[name] for name in marks if len(marks[name][1])}
    return variables, coordinates | axis_coordinates(columns)


def axis_coordinates(columns: Columns) -> dict[str, tuple]:
    """Return the values of each axis as a reader expects them, with unit and meaning."""
    coordinates = {}
    for path, values in columns.items():
        field = field_table.field_of(path)
        labels = {"units": field.unit, "long_name": field.meaning}
        name = field_table.column_of(path)
        coordinates[name] = (name, _stored(field, np.array(values)), labels)
    return coordinates


def _stored(field: _core.Field, numbers: np.ndarray) -> np.ndarray:
    if field.kind == "choice":
        return np.array(field.choices)[numbers.astype(int)]
    return numbers.astype(int) if field.kind == "count" else numbers
