"""One table in a file, with the car and the options that it was computed from."""

import os
import tomllib
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any

from layshaft import _core
from layshaft.runs.run_options import Drive, options_from_json
from layshaft.setup.car import Car
from layshaft.setup.handed_over import checked_path
from layshaft.storage.atomic import atomic_write

if TYPE_CHECKING:
    import xarray


def attributes(kind: str, car: Car, options: Drive) -> dict[str, Any]:
    """Return what a result of a kind, `launch` or `sweep`, carries to be computed again."""
    return {
        "title": f"Layshaft {kind}: an estimate, as good as its set-up",
        "kind": kind,
        "layshaft_version": _core.version(),
        "setup": car.to_toml(),
        "options": options.to_json(),
        "tolerance": options.tolerance,
    }


def read_attributes(data: "xarray.Dataset") -> tuple[Car, Drive]:
    """Read car and options back from the attributes of a result.

    Raises
    ------
    KeyError
        If one of them is missing.
    ValueError
        If one of them is not as it was written.
    """
    return car_of(data.attrs["setup"]), options_from_json(data.attrs["options"])


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


def _by_path(table: dict[str, Any], above: str = "") -> Iterator[tuple[str, object]]:
    for name, value in table.items():
        path = f"{above}{name}"
        if isinstance(value, dict):
            yield from _by_path(value, f"{path}.")
        else:
            yield path, value


def write_table(data: "xarray.Dataset", path: str | os.PathLike[str]) -> None:
    """Write a table to a file of the form that its ending names."""
    form = form_of(path)
    with atomic_write(path) as aside:
        form.write(data, aside)


def form_of(path: str | os.PathLike[str]) -> ModuleType:
    """Return the module that reads and writes files with such an ending."""
    # At first use: a run that is not saved needs neither.
    from layshaft.runs import csv_file
    from layshaft.storage import netcdf_file

    forms = {".nc": netcdf_file, ".csv": csv_file}
    ending = Path(checked_path("path", path)).suffix
    if ending not in forms:
        raise ValueError(f"path = {os.fspath(path)!r} must end in .nc or .csv")
    return forms[ending]
