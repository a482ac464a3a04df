"""Results to files and back. A file is written aside and moved into place, never half."""

import os
import tomllib
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from layshaft import _core
from layshaft.runs import csv_file
from layshaft.runs.run_options import RunOptions
from layshaft.setup.car import Car
from layshaft.storage import netcdf_file
from layshaft.storage.aside import written_aside

if TYPE_CHECKING:
    import xarray

    from layshaft.runs.lap_run import LapRun
    from layshaft.runs.launch_run import LaunchRun


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
    ValueError
        If one of them is not as it was written.
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


def save(data: "xarray.Dataset | LaunchRun | LapRun", path: str | os.PathLike[str]) -> None:
    """Write a result to `.nc` (netCDF, everything) or `.csv` (one table).

    Parameters
    ----------
    data
        A sweep, a run, or the samples of one.
    path
        File to write; one that is there is replaced once the new one is whole. A `.nc` file follows
        the CF conventions (see `netcdf_file`); the columns of a `.csv` file have their units in
        their names (see `csv_file`).

    Raises
    ------
    TypeError
        For what is no result.
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
    form = _form(path)
    if _is_run(data):
        data.save(path)
        return
    if not hasattr(data, "data_vars"):
        raise TypeError(f"save takes a table or a run, not <{type(data).__name__}>")
    with written_aside(path) as aside:
        form.write(data, aside)


def _is_run(data: object) -> bool:
    from layshaft.runs.lap_run import LapRun
    from layshaft.runs.launch_run import LaunchRun

    return isinstance(data, LaunchRun | LapRun)


def load(path: str | os.PathLike[str]) -> "xarray.Dataset":
    """Read a result back from what `save` wrote.

    Parameters
    ----------
    path
        A `.nc` file comes back as it was saved. A `.csv` file gives the same values, units and
        axes; it holds no meanings, and neither car nor options.

    Raises
    ------
    ValueError
        For another ending, a damaged file, and a table whose rows are not the points of some axes.
    OSError
        If it is not there or may not be read.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> table = layshaft.sweep(layshaft.demo_car(), {"first.pinion": [16, 17]}, distance=10.0)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     layshaft.save(table, pathlib.Path(folder, "pinions.nc"))
    ...     layshaft.load(pathlib.Path(folder, "pinions.nc")).identical(table)
    True
    """
    return _form(path).read(Path(path))


def _form(path: str | os.PathLike[str]) -> ModuleType:
    forms = {".nc": netcdf_file, ".csv": csv_file}
    ending = Path(path).suffix
    if ending not in forms:
        raise ValueError(f"{os.fspath(path)} must end in .nc or .csv")
    return forms[ending]
