"""The room for a sweep in a netCDF file, laid out before the first run.

A variable lies in one piece, so that all of its room is there once its first number is written, and
nothing in the file moves when the others are.
"""

import os
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from layshaft.runs import result_file
from layshaft.runs.batch import Chunk
from layshaft.runs.run_options import Drive
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.storage.letters import write_everywhere, write_texts
from layshaft.storage.netcdf_failure import told_as_oserror
from layshaft.storage.netcdf_file import kept_name
from layshaft.storage.netcdf_lock import NETCDF_LOCK
from layshaft.sweeps.blocks import NOT_RUN
from layshaft.sweeps.labels import Columns, axis_coordinates, labelled
from layshaft.sweeps.shard import STATUS

if TYPE_CHECKING:
    import netCDF4
    import xarray

#: Letters of a text; a longer one is cut. Room that is not written to takes none on the disk.
_LETTERS = {"status": STATUS, "message": 200}


def lay_out(path: Path, car: Car, columns: Columns, options: Drive) -> None:
    """Make the file of a sweep of which nothing is run.

    Axes and attributes are as `layshaft.save` writes them.
    """
    import netCDF4
    import xarray

    one = _one_point(columns, options)
    axes = axis_coordinates(columns)
    marks = {name: one[name] for name in one.coords if name not in axes}
    attributes = result_file.attributes("sweep", car, options)
    grid = xarray.Dataset(coords=marks | axes, attrs=attributes)
    with NETCDF_LOCK, tempfile.TemporaryDirectory() as folder, told_as_oserror(os.fspath(path)):
        saved = Path(folder, "grid.nc")
        result_file.write_table(grid, saved)
        with netCDF4.Dataset(saved) as pattern, netCDF4.Dataset(path, "w") as file:
            for each in (pattern, file):
                each.set_auto_maskandscale(False)
            # Coordinates beside the axes are named at each variable that they belong to.
            beside = pattern.__dict__.get("coordinates", "")
            file.setncatts({n: v for n, v in pattern.__dict__.items() if n != "coordinates"})
            for name, dimension in pattern.dimensions.items():
                file.createDimension(name, len(dimension))
            for variable in pattern.variables.values():
                _copy(file, variable)
            names = {own_name(each): each.dimensions[0] for each in pattern.variables.values()}
            for name in map(str, one.data_vars):
                labels = one[name].attrs | ({"coordinates": beside} if beside else {})
                _make_room(file, name, [names[str(dim)] for dim in one[name].dims], labels)


def own_name(variable: "netCDF4.Variable") -> str:
    """Return the name that a variable has once it is read."""
    return kept_name(variable.name, variable.__dict__)


def axis_variables(file: "netCDF4.Dataset") -> "dict[str, netCDF4.Variable]":
    """Return the variable of each axis by the path of its field, in the order of the axes."""
    found = {field_table.path_of(own_name(each)): each for each in file.variables.values()}
    axes = {path: each for path, each in found.items() if path is not None}
    order = file["status"].dimensions
    return dict(sorted(axes.items(), key=lambda axis: order.index(axis[1].dimensions[0])))


def _one_point(columns: Columns, options: Drive) -> "xarray.Dataset":
    """Return the sweep at its first point, not run: names and labels of all variables."""

    def nothing(width: int) -> np.ndarray:
        return np.full((1, width), np.nan)

    times = nothing(len(options.distances))
    chunk = Chunk(
        nothing(len(options.scalars)),
        times,
        times,
        nothing(len(options.speeds)),
        [NOT_RUN],
        [""],
        interrupted=False,
    )
    return labelled({path: values[:1] for path, values in columns.items()}, chunk, options)


def _copy(file: "netCDF4.Dataset", variable: "netCDF4.Variable") -> None:
    """Copy a variable with its values; texts become letters."""
    labels = dict(variable.__dict__)
    fill = labels.pop("_FillValue", False)
    values = np.asarray(variable[:])
    if variable.dtype is str:
        letters = max(len(text.encode()) for text in values.flat)
        own = _texts(file, variable.name, variable.dimensions, letters)
        write_texts(own, (slice(None),) * values.ndim, values)
    else:
        own = file.createVariable(
            variable.name, variable.dtype, variable.dimensions, fill_value=fill
        )
        own[:] = values
    file[variable.name].setncatts(labels)


def _make_room(
    file: "netCDF4.Dataset", name: str, dimensions: Sequence[str], labels: dict[str, Any]
) -> None:
    """Make room for a variable of which there are no values yet."""
    if name in _LETTERS:
        own = _texts(file, name, dimensions, _LETTERS[name])
        if name == "status":
            write_everywhere(own, NOT_RUN)
        else:
            own[(0,) * own.ndim] = b""
    else:
        own = file.createVariable(name, "f8", dimensions, fill_value=np.nan, contiguous=True)
        own[(0,) * own.ndim] = np.nan
    own.setncatts(labels)


def _texts(
    file: "netCDF4.Dataset", name: str, dimensions: Sequence[str], letters: int
) -> "netCDF4.Variable":
    """Make a variable of texts. Those of any length would lie outside their variable, and move."""
    file.createDimension(f"{name}_letters", letters)
    own = file.createVariable(
        name, "S1", (*dimensions, f"{name}_letters"), fill_value=False, contiguous=True
    )
    own.setncattr("_Encoding", "utf-8")
    own.set_auto_chartostring(False)
    return own
