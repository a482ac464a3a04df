"""Whether a file holds the sweep that is asked for, and if not, in what it differs."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft import _core
from layshaft.runs import result_file
from layshaft.runs.measures import plain_options
from layshaft.runs.run_options import Drive, options_from_json
from layshaft.setup.car import Car
from layshaft.storage.damage import told_as_damage
from layshaft.storage.letters import read_texts
from layshaft.sweeps.file_layout import axis_variables
from layshaft.sweeps.labels import Columns, axis_coordinates

if TYPE_CHECKING:
    import netCDF4


def check_same_sweep(
    name: str, file: "netCDF4.Dataset", car: Car, columns: Columns, options: Drive
) -> None:
    """Check that a file holds this very sweep.

    Raises
    ------
    ValueError
        If it holds another, or none, or is damaged; the message names the first difference.
    """
    with told_as_damage(name, "file of a sweep"):
        difference = _difference(file, car, columns, options)
    if difference:
        raise ValueError(f"{name} {difference}; take another name, or remove the file")


def _difference(file: "netCDF4.Dataset", car: Car, columns: Columns, options: Drive) -> str | None:
    there = file.__dict__
    wanted = {"kind", "layshaft_version", "setup", "options"}
    if not wanted <= there.keys() or there["kind"] != "sweep" or "status" not in file.variables:
        return "holds no sweep"
    if file["status"].dtype is str:
        return "is a finished table, not the file that a sweep keeps its runs in"
    if there["layshaft_version"] != _core.version():
        return f"was written by layshaft {there['layshaft_version']}, this is {_core.version()}"
    return (
        _car_difference(there["setup"], car)
        or _option_difference(there["options"], options)
        or _axis_difference(file, columns)
    )


def _car_difference(text: str, car: Car) -> str | None:
    if text == car.to_toml():
        return None
    own, wanted = (each.to_dict() for each in (result_file.car_of(text), car))
    path = next((path for path in wanted if own[path] != wanted[path]), None)
    if path is None:
        return None
    return f"holds a sweep of another car: {path} is {own[path]} there, {wanted[path]} here"


def _option_difference(text: str, options: Drive) -> str | None:
    own, wanted = (plain_options(each) for each in (options_from_json(text), options))
    own, wanted = ({"measures": []} | each for each in (own, wanted))
    # A sweep keeps no samples.
    name = next((n for n in wanted if own[n] != wanted[n] and n != "sample_interval"), None)
    if name is None:
        return None
    return f"holds other runs: {name} is {own[name]} there, {wanted[name]} here"


def _axis_difference(file: "netCDF4.Dataset", columns: Columns) -> str | None:
    axes = axis_variables(file)
    if list(axes) != list(columns):
        return f"holds a sweep over {', '.join(axes)}, not over {', '.join(columns)}"
    for path, (_, values, _) in zip(columns, axis_coordinates(columns).values(), strict=True):
        is_text = axes[path].dtype == "S1"
        own = read_texts(axes[path], (slice(None),)) if is_text else axes[path][:]
        if len(own) != len(values):
            return f"holds {len(own)} values of {path}, not {len(values)}"
        if not np.array_equal(np.asarray(own), np.asarray(values)):
            return f"holds other values of {path}"
    return None
