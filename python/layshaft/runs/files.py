"""Results to files and back. A file is written aside and moved into place, never half."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

from layshaft.runs.lap_run import LapRun
from layshaft.runs.launch_run import LaunchRun
from layshaft.runs.result_file import form_of, write_table

if TYPE_CHECKING:
    import xarray


def save(data: "xarray.Dataset | LaunchRun | LapRun", path: str | os.PathLike[str]) -> None:
    """Write a result to `.nc` (netCDF, everything) or `.csv` (one table).

    Parameters
    ----------
    data
        A sweep, a run, or the samples of one.
    path
        File to write; one that is there is replaced once the new one is whole. A `.nc` file follows
        the CF conventions (see `netcdf_file`) and ends with a checksum; the columns of a `.csv`
        file have their units in their names (see `csv_file`).

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
    'first_pinion'
    """
    form_of(path)
    if isinstance(data, LaunchRun | LapRun):
        data.save(path)
        return
    if not hasattr(data, "data_vars"):
        raise TypeError(f"save takes a table or a run, not <{type(data).__name__}>")
    write_table(data, path)


def load(path: str | os.PathLike[str]) -> "xarray.Dataset":
    """Read a result back from what `save` wrote.

    Parameters
    ----------
    path
        A `.nc` file comes back as it was saved; one that was changed since is refused, and one that
        another program wrote again is read with a warning. A `.csv` file gives the same values,
        units and axes; it holds no meanings, and neither car nor options.

    Returns
    -------
    xarray.Dataset
        The variables that were saved, each over its axes, with its unit in `attrs["units"]`.

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
    return form_of(path).read(Path(path))
