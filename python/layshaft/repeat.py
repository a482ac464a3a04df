"""A result once more, from its file."""

import os
import warnings
from typing import TYPE_CHECKING

from layshaft import _core, field_table, files, netcdf_file
from layshaft.launch_run import LaunchRun, run_launch
from layshaft.sweep_table import axis_values, run_sweep

if TYPE_CHECKING:
    import xarray


def rerun(path: str | os.PathLike[str]) -> "LaunchRun | xarray.Dataset":
    """Compute again what a `.nc` file of a run or a sweep holds: same car, same options.

    The same build of layshaft gives the same bits; another version warns.

    Parameters
    ----------
    path
        File written by `LaunchRun.save` or `layshaft.save`.

    Raises
    ------
    ValueError
        If the file holds no such result.

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
    import xarray

    with xarray.open_dataset(path, decode_timedelta=False) as file:
        data = netcdf_file.with_own_names(file)
        try:
            kind, version = data.attrs["kind"], data.attrs["layshaft_version"]
            car, options = files.read_attributes(data)
        except KeyError as error:
            message = f"{os.fspath(path)} is no result of layshaft: {error} is missing"
            raise ValueError(message) from None
        axes = {axis: data[axis].values for axis in data["status"].dims} if kind == "sweep" else {}
    if version != _core.version():
        here = _core.version()
        warnings.warn(f"written by layshaft {version}, run again by {here}", stacklevel=2)
    if kind == "launch":
        return run_launch(car, options, "return")
    return run_sweep(car, {axis: axis_values(axis, axes[axis]) for axis in axes}, options)


def trace(point: "xarray.Dataset") -> LaunchRun:
    """Run one point of a sweep's table again, with the samples that a sweep does not keep.

    Parameters
    ----------
    point
        Of a table of `layshaft.sweep`: one value for each of its axes.

    Raises
    ------
    ValueError
        If it holds more than one point, or is no result of a sweep.

    Examples
    --------
    >>> import layshaft
    >>> gaps = ["4.4 mm", "4.6 mm"]
    >>> table = layshaft.sweep(layshaft.demo_car(), {"two_speed.gap": gaps}, distance=10.0)
    >>> run = trace(table.sel({"two_speed.gap": 0.0046}))
    >>> run.samples.sizes["time"] > 100
    True
    """
    if "status" not in point or "setup" not in point.attrs:
        raise ValueError("a trace needs a point of a sweep's table, with its attributes")
    one = point.squeeze()
    many = [f"{axis} has {one.sizes[axis]} values" for axis in one["status"].dims]
    if many:
        raise ValueError(f"a trace needs one point: {', '.join(many)}")
    car, options = files.read_attributes(one)
    settings = {
        path: one[path].item() for path in one.coords if field_table.find_field(path) is not None
    }
    return run_launch(car.replace(settings), options, "return")
