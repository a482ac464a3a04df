"""A sweep's file as a table whose numbers are read when they are asked for.

The file is open only while it is read: it may be written to, replaced or removed in between.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from xarray.backends import BackendArray
from xarray.core import indexing

from layshaft.storage.netcdf_file import with_own_names
from layshaft.storage.netcdf_lock import NETCDF_LOCK

if TYPE_CHECKING:
    import netCDF4
    import xarray


class _Stored(BackendArray):
    """The numbers of one variable of a file."""

    def __init__(self, path: Path, variable: "netCDF4.Variable") -> None:
        self._path, self._name = path, variable.name
        self.shape, self.dtype = variable.shape, np.dtype(variable.dtype)

    def __getitem__(self, key: indexing.ExplicitIndexer) -> np.typing.ArrayLike:
        outer = indexing.IndexingSupport.OUTER
        return indexing.explicit_indexing_adapter(key, self.shape, outer, self._read)

    def _read(self, key: tuple[Any, ...]) -> np.ndarray:
        import netCDF4

        with NETCDF_LOCK, netCDF4.Dataset(self._path) as file:
            variable = file[self._name]
            variable.set_auto_maskandscale(False)
            if variable.dtype == "S1":
                variable.set_auto_chartostring(False)
            return np.asarray(variable[key])


def stored_table(file: "netCDF4.Dataset", path: Path) -> "xarray.Dataset":
    """Return the table that an open file holds; it is read from `path` later."""
    import xarray

    variables = {
        name: xarray.Variable(
            variable.dimensions,
            indexing.LazilyIndexedArray(_Stored(path, variable)),
            variable.__dict__,
        )
        for name, variable in file.variables.items()
    }
    found = xarray.Dataset(variables, attrs=file.__dict__)
    # Without encoding, else it would be saved as it lies in the file.
    return with_own_names(xarray.decode_cf(found, decode_timedelta=False).drop_encoding())
