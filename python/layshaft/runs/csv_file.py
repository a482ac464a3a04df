"""Results as one table in a CSV file, each column with its unit in its name.

A row for each point of the axes. A column is named by its variable, then by its unit, with `_per_`
for `/` and `_` for `*`: `crank_speed_rad_per_s`, `two_speed_gap_m`. A value at a mark has the mark
in between: `time_to_distance_25_m_s` is the time to 25 m. No digit is lost.
"""

import csv
import math
import re
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from layshaft.quantities import units
from layshaft.quantities.column_units import column_unit
from layshaft.setup import field_table
from layshaft.storage.damage import told_as_damage

if TYPE_CHECKING:
    import xarray

_MARKS = {"distance": "m", "speed": "m/s"}


def write(data: "xarray.Dataset", path: Path) -> None:
    """Write one row for each point of the axes; marks become columns of their own."""
    axes = [str(name) for name in data.dims if name not in _MARKS]
    shape = [data.sizes[axis] for axis in axes]
    chosen = [name for name in data.coords if name not in data.dims]  # one value, by a selection
    columns = {_column(name, data[name]): data[name] for name in (*axes, *chosen)}
    for name, values in data.data_vars.items():
        marks = [dim for dim in values.dims if dim not in axes]
        if not marks:
            columns[_column(name, values)] = values
        for mark in values[marks[0]].values if marks else ():
            label = f"{name}_{mark:g}_{_unit(values[marks[0]])}"
            columns[_column(label, values)] = values.sel({marks[0]: mark})
    rows = zip(*(_flat(values, axes, shape) for values in columns.values()), strict=True)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(columns)
        writer.writerows(rows)


def read(path: Path) -> "xarray.Dataset":
    """Read a table back: values and units; meanings are not in such a file.

    Raises
    ------
    ValueError
        If the rows are not the points of some axes, or it is no such table at all.
    """
    with path.open(encoding="utf-8", newline="") as file, told_as_damage(path, "table of results"):
        heads, *rows = list(csv.reader(file)) or [[]]
        return _table(heads, rows)


def _table(heads: list[str], rows: list[list[str]]) -> "xarray.Dataset":
    import xarray

    ragged = next((n for n, row in enumerate(rows, start=2) if len(row) != len(heads)), None)
    if ragged is not None:
        raise ValueError(f"row {ragged} must have {len(heads)} cells, not {len(rows[ragged - 2])}")
    if len(set(heads)) < len(heads):
        raise ValueError("each column must stand only once")
    columns = [_values(cells) for cells in zip(*rows, strict=True)] or [np.array([])] * len(heads)
    named = {_name_and_unit(head): values for head, values in zip(heads, columns, strict=True)}
    own = _axes([name for name, _ in named])
    axes = {
        name: np.array(list(dict.fromkeys(values.tolist())))
        for (name, _), values in named.items()
        if name in own
    }
    shape = [len(values) for values in axes.values()]
    if not axes or math.prod(shape) != len(rows):
        raise ValueError(f"it must hold a row for each point of its axes: {', '.join(axes)}")
    data = xarray.Dataset()
    for (name, unit), values in named.items():
        labels = {"units": unit} if unit or values.dtype != object else {}
        over = (name,) if name in axes else tuple(axes)
        filled = axes[name] if name in axes else values.reshape(shape)
        data[name] = (over, filled, labels)
    return _with_marks(data)


def _axes(names: list[str]) -> list[str]:
    """Return the axes among the columns: of cases, of samples, else of a sweep."""
    for axis in ("case", "time"):
        if axis in names:
            return [axis]
    return [name for name in names if field_table.path_of(name) is not None]


def _values(cells: tuple[str, ...]) -> np.ndarray:
    for kind in (int, float):
        try:
            return np.array([kind(cell) for cell in cells])
        except ValueError:
            continue
    return np.array(cells, dtype=object)


def _with_marks(data: "xarray.Dataset") -> "xarray.Dataset":
    """Join the columns of one variable at several marks."""
    import xarray

    found: dict[str, dict[float, str]] = {}
    for column in map(str, data.data_vars):
        for mark, unit in _MARKS.items():
            match = re.fullmatch(rf"(\w+)_([0-9.e+-]+)_{column_unit(unit)}", column)
            if match:
                found.setdefault(f"{match[1]}:{mark}", {})[float(match[2])] = column
    for key, columns in found.items():
        name, mark = key.split(":")
        joined = xarray.concat([data[column] for column in columns.values()], dim=mark)
        labels = {"units": _MARKS[mark]}
        joined = joined.assign_coords({mark: (mark, list(columns), labels)})
        data = data.drop_vars(list(columns.values()))
        data[name] = joined.transpose(..., mark)
    return data


def _name_and_unit(head: str) -> tuple[str, str]:
    fitting = [unit for unit in units.QUANTITIES if head.endswith(f"_{column_unit(unit)}")]
    unit = max(fitting, key=len, default="1")
    name = head.removesuffix(f"_{column_unit(unit)}") if fitting else head
    is_path = field_table.find_field(name) is not None  # so older tables name an axis
    return field_table.column_of(name) if is_path else name, unit


def _flat(values: "xarray.DataArray", axes: list[str], shape: list[int]) -> list[object]:
    missing = {
        axis: size for axis, size in zip(axes, shape, strict=True) if axis not in values.dims
    }
    return values.expand_dims(missing).transpose(*axes).values.ravel().tolist()


def _unit(values: "xarray.DataArray") -> str:
    return column_unit(values.attrs.get("units", "1"))


def _column(name: object, values: "xarray.DataArray") -> str:
    unit = _unit(values)
    return f"{name}_{unit}" if unit else str(name)
