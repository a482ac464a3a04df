"""Results as netCDF files that follow the CF conventions.

What the conventions ask for and a dataset in memory does not have:

- A coordinate named as its dimension rises or falls; other values, and words, are an auxiliary
  coordinate, whose name ends in `_values`.
- A coordinate `time` counts from a date, and a run has none: it is `elapsed_time` there.

The attribute `layshaft_name` keeps the name that a variable has again once read.
Source: CF Metadata Conventions 1.11, sections 2.3, 4.4, 5 and 6.1; units as in UDUNITS.
"""

import itertools
import os
import warnings
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from layshaft import _core
from layshaft.storage.checksum import seal, unsealed
from layshaft.storage.damage import told_as_damage
from layshaft.storage.netcdf_failure import told_as_oserror
from layshaft.storage.netcdf_lock import NETCDF_LOCK

if TYPE_CHECKING:
    import xarray

CONVENTIONS = "CF-1.11"

#: Names in the tables of the conventions, where one means just this.
_STANDARD_NAMES = {"car_speed": "platform_speed_wrt_ground"}
#: Attribute with the name of a variable in memory, where the file has another.
KEPT_NAME = "layshaft_name"


def kept_name(name: str, labels: Mapping[str, object]) -> str:
    """Return the name in memory of a file's variable; older files keep one with dots.

    Examples
    --------
    >>> kept_name("elapsed_time", {"layshaft_name": "time"}), kept_name("fuel", {})
    ('time', 'fuel')
    """
    return str(labels.get(KEPT_NAME, name)).replace(".", "_")


def write(data: "xarray.Dataset", path: Path) -> None:
    """Write a dataset.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    file = _with_plain_names(data)
    file.attrs = _history() | file.attrs
    for name, standard_name in _STANDARD_NAMES.items():
        if name in file:
            file[name].attrs["standard_name"] = standard_name
    # A coordinate has no missing values, so it must not name one.
    encoding = {name: {"_FillValue": None} for name in file.coords}
    with told_as_oserror(path), NETCDF_LOCK:
        file.to_netcdf(path, engine="netcdf4", encoding=encoding)
    seal(path)


def read(path: str | os.PathLike[str]) -> "xarray.Dataset":
    """Read a dataset back as it was before `write`.

    Raises
    ------
    ValueError
        If it is damaged, or no netCDF file.
    OSError
        If it is not there or may not be read.
    """
    import netCDF4
    import xarray

    content = Path(path).read_bytes()
    with told_as_damage(path, "netCDF file of a result"):
        content, sealed = unsealed(content)
        # From memory: the library keeps a file open that it could not read, and would show that
        # again in place of what was copied over it since. There it goes by the name alone.
        name = f"{Path(path).name}, reading {next(_readings)}"
        with NETCDF_LOCK, netCDF4.Dataset(name, memory=content) as file:
            store = xarray.backends.NetCDF4DataStore(file)
            data = xarray.open_dataset(store, decode_timedelta=False).load()
        data = with_own_names(data.drop_encoding())
    if not sealed:
        warnings.warn(
            f"{os.fspath(path)} has no checksum, as a sweep that is not finished or a file that"
            " another program wrote: a changed number goes unnoticed",
            stacklevel=3,
        )
    return data


_readings = itertools.count()


def _with_plain_names(data: "xarray.Dataset") -> "xarray.Dataset":
    """Return a copy whose names and coordinates are as the conventions have them."""
    file = data.copy()
    for name in data.coords:
        plain = "elapsed_time" if name == "time" else name
        if name not in data.dims or _is_axis(data[name].values):
            variable = plain
            file = file.rename({name: plain}) if name != plain else file
        else:
            variable = f"{plain}_values"
            file = file.drop_indexes(name).rename_vars({name: variable})
            file = file.rename_dims({name: plain}) if name != plain else file
        if name != variable:
            file[variable].attrs[KEPT_NAME] = name
    return file


def _is_axis(values: np.ndarray) -> bool:
    if values.dtype.kind not in "fi":
        return False
    steps = np.diff(values)
    return bool((steps > 0).all() or (steps < 0).all())


def with_own_names(file: "xarray.Dataset") -> "xarray.Dataset":
    """Return a file's dataset with names, coordinates and attributes as in memory."""
    data = file.rename(
        {name: kept_name(name, {}) for name in map(str, file.variables) if "." in name}
    )
    data.attrs = {name: value for name, value in data.attrs.items() if name not in _history()}
    for name in set(_STANDARD_NAMES) & set(data):
        data[name].attrs.pop("standard_name", None)
    for variable in map(str, data.coords):
        name = kept_name(variable, data[variable].attrs)
        data[variable].attrs.pop(KEPT_NAME, None)
        dimension = next(iter(data[variable].dims), "")
        if variable == f"{dimension}_values":
            data = data.rename_vars({variable: name})
            data = data.swap_dims({dimension: name}) if name != dimension else data
            data = data.set_xindex(name) if name not in data.xindexes else data
        elif name != variable:
            data = data.rename({variable: name})
    return data


def _history() -> dict[str, str]:
    made_by = f"layshaft {_core.version()}"
    return {
        "Conventions": CONVENTIONS,
        "source": made_by,
        "history": f"Computed by {made_by}",
        "references": "The equations and their sources stand in the documents of layshaft",
        "comment": "`setup` and `options` hold all that is needed to compute the result again",
    }
