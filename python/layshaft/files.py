"""Results to files and back. A file is written aside and moved into place, never half."""

import csv
import errno
import os
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from layshaft import _core
from layshaft.aside import written_aside
from layshaft.car import Car
from layshaft.run_options import RunOptions

if TYPE_CHECKING:
    import xarray

# How a unit is written in the name of a column.
_COLUMN_UNITS = {"1": "", "rad/s": "rad_per_s", "m/s": "m_per_s", "N*m": "N_m"}


def attributes(kind: str, car: Car, options: RunOptions) -> dict[str, object]:
    """Return what a result of a kind, `launch` or `sweep`, carries to be computed again."""
    return {
        "title": f"Layshaft {kind}: an estimate, as good as its set-up",
        "kind": kind,
        "layshaft_version": _core.version(),
        "setup": car.to_toml(),
        "options": options.to_json(),
        "tolerance": options.tolerance,
    }


def read_attributes(data: "xarray.Dataset") -> tuple[Car, RunOptions]:
    """Read car and options back from the attributes of a result.

    Raises
    ------
    KeyError
        If one of them is missing.
    """
    return car_of(data.attrs["setup"]), RunOptions.from_json(data.attrs["options"])


def car_of(text: str) -> Car:
    """Read a car back from the text of `Car.to_toml`.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.Car({"first.pinion": 16})
    >>> car_of(car.to_toml()) == car
    True
    """
    return Car(dict(_by_path(tomllib.loads(text))))


def _by_path(table: dict[str, object], above: str = "") -> Iterator[tuple[str, object]]:
    for name, value in table.items():
        path = f"{above}{name}"
        if isinstance(value, dict):
            yield from _by_path(value, f"{path}.")
        else:
            yield path, value


def save(data: "xarray.Dataset", path: str | os.PathLike[str]) -> None:
    """Write a result to `.nc` (netCDF, everything) or `.csv` (one table).

    Parameters
    ----------
    data
        A sweep, or the samples of a run.
    path
        File to write; one that is there is replaced once the new one is whole.

    Raises
    ------
    ValueError
        For another ending.
    OSError
        If it cannot be written; a file that was there is left as it was.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> table = layshaft.sweep(layshaft.demo_car(), {"first.pinion": [16, 17]}, distance=10.0)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "pinions.csv")
    ...     layshaft.save(table, file)
    ...     file.read_text().split(",")[0]
    'first.pinion'
    """
    writers: dict[str, Callable[[Path], object]] = {
        ".nc": lambda aside: _write_netcdf(data, aside),
        ".csv": lambda aside: _write_csv(data, aside),
    }
    ending = Path(path).suffix
    if ending not in writers:
        raise ValueError(f"{os.fspath(path)} must end in .nc or .csv")
    with written_aside(path) as aside:
        writers[ending](aside)


def _write_netcdf(data: "xarray.Dataset", aside: Path) -> None:
    try:
        data.to_netcdf(aside, engine="netcdf4")
    except RuntimeError as error:  # so the library tells of a full disk, without a reason
        raise OSError(errno.EIO, f"cannot be written ({error})", os.fspath(aside)) from None


def _write_csv(data: "xarray.Dataset", aside: Path) -> None:
    """Write one row for each point of the axes; marks become columns of their own."""
    axes = [name for name in data.dims if name not in ("distance", "speed")]
    shape = [data.sizes[axis] for axis in axes]
    columns = {_column(axis, data[axis]): data[axis] for axis in axes}
    for name, values in data.data_vars.items():
        marks = [dim for dim in values.dims if dim not in axes]
        if not marks:
            columns[_column(name, values)] = values
        for mark in values[marks[0]].values if marks else ():
            label = f"{name}_{mark:g}_{_unit_name(values[marks[0]])}"
            columns[_column(label, values)] = values.sel({marks[0]: mark})
    rows = zip(*(_flat(values, axes, shape) for values in columns.values()), strict=True)
    with aside.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(columns)
        writer.writerows(rows)


def _flat(values: "xarray.DataArray", axes: list[str], shape: list[int]) -> list[object]:
    missing = {
        axis: size for axis, size in zip(axes, shape, strict=True) if axis not in values.dims
    }
    return values.expand_dims(missing).transpose(*axes).values.ravel().tolist()


def _unit_name(values: "xarray.DataArray") -> str:
    unit = values.attrs.get("units", "1")
    return _COLUMN_UNITS.get(unit, unit)


def _column(name: str, values: "xarray.DataArray") -> str:
    unit = _unit_name(values)
    return f"{name}_{unit}" if unit else name
