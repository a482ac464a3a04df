"""A result once more, from its file."""

import dataclasses
import json
import os
import warnings
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from layshaft import _core
from layshaft.runs import result_file
from layshaft.runs.drive import drive
from layshaft.runs.lap_options import USUAL_SPACING, LapOptions
from layshaft.runs.launch_options import LaunchOptions
from layshaft.runs.launch_run import LaunchRun
from layshaft.runs.run_options import Drive
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.setup.handed_over import checked_path
from layshaft.setup.settings import as_written
from layshaft.storage import netcdf_file
from layshaft.storage.damage import told_as_damage
from layshaft.sweeps.swept_values import axis_values
from layshaft.sweeps.table import run_sweep
from layshaft.sweeps.track_gears import GEAR_CHANGES, GEAR_MAP, run_gear_map

if TYPE_CHECKING:
    import xarray

    from layshaft.runs.lap_run import LapRun

_WHAT = "result of layshaft"
_GAP = "two_speed.gap"

#: What computes a result again.
Again = Callable[[], "LaunchRun | LapRun | xarray.Dataset"]


def rerun(path: str | os.PathLike[str]) -> "LaunchRun | LapRun | xarray.Dataset":
    """Compute again what a `.nc` file of a run or a table holds: same car, same options.

    The same build of layshaft gives the same bits; another version warns.

    Parameters
    ----------
    path
        File written by `LaunchRun.save`, `LapRun.save` or `layshaft.save`: a launch, a lap, a sweep
        or a map of gap and gears.

    Returns
    -------
    LaunchRun, LapRun or xarray.Dataset
        What the file was made from: a run, or a table over its axes; SI units.

    Raises
    ------
    ValueError
        If the file holds no such result, or is damaged.
    OSError
        If it is not there or may not be read.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> run = layshaft.launch(layshaft.demo_car(), distance=10.0)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     run.save(pathlib.Path(folder, "run.nc"))
    ...     again = layshaft.rerun(pathlib.Path(folder, "run.nc"))
    >>> again.samples.identical(run.samples)
    True
    """
    name = checked_path("path", path)
    if not name.endswith(".nc"):
        raise ValueError(
            f"path = {name!r} must end in .nc: a .csv file holds neither car nor options"
        )
    data = netcdf_file.read(path)
    with told_as_damage(path, _WHAT):
        kind, version = str(data.attrs["kind"]), str(data.attrs["layshaft_version"])
        car, options = result_file.read_attributes(data)
        if kind not in _KINDS:
            raise ValueError(f"its kind is {kind!r}")
        again = _KINDS[kind](data, car, options)
    if version != _core.version():
        here = _core.version()
        warnings.warn(f"written by layshaft {version}, run again by {here}", stacklevel=2)
    return again()


def _launch(_: "xarray.Dataset", car: Car, options: Drive) -> Again:
    if not isinstance(options, LaunchOptions):
        raise _of_another_kind()
    return lambda: drive(car, options)


def _lap(_: "xarray.Dataset", car: Car, options: Drive) -> Again:
    if not isinstance(options, LapOptions):
        raise _of_another_kind()
    return lambda: drive(car, options)


def _sweep(data: "xarray.Dataset", car: Car, options: Drive) -> Again:
    paths = {axis: str(field_table.path_of(axis)) for axis in data["status"].dims}
    columns = {path: axis_values(path, data[axis].values) for axis, path in paths.items()}
    return lambda: run_sweep(car, columns, options)


def _gear_map(data: "xarray.Dataset", car: Car, options: Drive) -> Again:
    if not isinstance(options, LapOptions):
        raise _of_another_kind()
    sets = [_changes(text) for text in np.atleast_1d(data[GEAR_CHANGES].values)]
    gaps = axis_values(_GAP, np.atleast_1d(data["gap"].values))
    return lambda: run_gear_map(car, sets, gaps, options)


_KINDS = {"launch": _launch, "lap": _lap, "sweep": _sweep, GEAR_MAP: _gear_map}


def _of_another_kind() -> ValueError:
    return ValueError("its options are those of another kind of run")


def trace(point: "xarray.Dataset") -> "LaunchRun | LapRun":
    """Run one point of a table again, with the samples that a table does not keep.

    Parameters
    ----------
    point
        Of a table of `layshaft.sweep` or `layshaft.gear_map`: one value for each of its axes. One
        of laps gives a `LapRun`.

    Returns
    -------
    LaunchRun or LapRun
        With samples over time [s] or distance [m].

    Raises
    ------
    ValueError
        If it holds more than one point, or is no such result.

    Examples
    --------
    >>> import layshaft
    >>> gaps = ["4.4 mm", "4.6 mm"]
    >>> table = layshaft.sweep(layshaft.demo_car(), {"two_speed.gap": gaps}, distance=10.0)
    >>> run = trace(table.sel(two_speed_gap=0.0046))
    >>> run.samples.sizes["time"] > 100
    True
    """
    attributes = getattr(point, "attrs", {})
    if not {"setup", "options", "kind"} <= set(attributes) or "status" not in point:
        raise ValueError("a trace needs a point of a sweep's table, with its attributes")
    one = point.squeeze()
    many = [f"{axis} has {one.sizes[axis]} values" for axis in one["status"].dims]
    if many:
        raise ValueError(f"a trace needs one point: {', '.join(many)}")
    with told_as_damage("this table", _WHAT):
        car, options = result_file.read_attributes(one)
        changed = car.replace(_settings(one))
    if isinstance(options, LapOptions):
        spacing = options.sample_spacing or USUAL_SPACING
        return drive(changed, dataclasses.replace(options, sample_spacing=spacing))
    interval = options.sample_interval or LaunchOptions().sample_interval
    return drive(changed, dataclasses.replace(options, sample_interval=interval))


def _settings(point: "xarray.Dataset") -> dict[str, Any]:
    """Return the settings of one point of a table as changes of its car."""
    if point.attrs["kind"] == GEAR_MAP:
        return as_written(_changes(point[GEAR_CHANGES].item())) | {_GAP: point["gap"].item()}
    paths = {name: field_table.path_of(name) for name in point.coords}
    return {path: point[name].item() for name, path in paths.items() if path is not None}


def _changes(text: object) -> dict[str, float]:
    return {path: axis_values(path, [value])[0] for path, value in json.loads(str(text)).items()}
