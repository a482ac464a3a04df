"""A sweep's results in a netCDF file, block by block, whole at any moment.

All room is laid out when the file is made, so that a block is written into its place and nothing
else in the file changes. The `status` of a block is written last, once its numbers are on the disk:
whatever cuts the work short, a run that is not marked as done is done again, and no other.
"""

import contextlib
import errno
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from layshaft.runs.run_options import Drive
from layshaft.setup.car import Car
from layshaft.setup.handed_over import checked_path
from layshaft.storage.atomic import atomic_write
from layshaft.storage.damage import told_as_damage
from layshaft.storage.letters import read_texts, write_texts
from layshaft.storage.netcdf_lock import NETCDF_LOCK
from layshaft.sweeps.blocks import BlockResult, Region, blocks
from layshaft.sweeps.differences import check_same_sweep
from layshaft.sweeps.file_layout import lay_out, told_as_oserror
from layshaft.sweeps.in_memory import Tally
from layshaft.sweeps.labels import Columns, labelled
from layshaft.sweeps.stored_table import stored_table

if TYPE_CHECKING:
    import netCDF4
    import xarray

#: Points looked at at once when a file is read through.
_SLAB = 20_000

#: Files that some thread writes to: the library would let a second one in.
_written: set[Path] = set()


class RunsInFile:
    """Results of a sweep in a file; one that is there already goes on."""

    def __init__(
        self, path: str | os.PathLike[str], car: Car, columns: Columns, options: Drive
    ) -> None:
        self._name = checked_path("file", path)
        self._path = Path(os.path.realpath(path))
        if self._path.suffix != ".nc":
            raise ValueError(f"file = {self._name!r} must end in .nc")
        self._columns, self._options = columns, options
        self._file: netCDF4.Dataset  # while it is written
        self.tally = Tally(tuple(len(values) for values in columns.values()))
        with NETCDF_LOCK:
            if self._path in _written:
                raise self._busy()
            if not self._path.exists():
                with atomic_write(path) as aside:
                    lay_out(aside, car, columns, options)
            with self._opened("r") as file:
                check_same_sweep(self._name, file, car, columns, options)
                with told_as_damage(self._name, "file of a sweep"):
                    self._count(file)
                    self._table = stored_table(file, self._path)  # slow: now, not after Ctrl-C

    def _count(self, file: "netCDF4.Dataset") -> None:
        for region in blocks(self.tally.done.shape, _SLAB):
            status, messages = (read_texts(file[name], region) for name in ("status", "message"))
            self.tally.count(region, status, messages)

    @contextlib.contextmanager
    def writing(self) -> Iterator[None]:
        """Hold the file open for `put`; nobody else can write to it meanwhile."""
        if self.tally.done.all():
            yield
            return
        with NETCDF_LOCK:
            if self._path in _written:
                raise self._busy()
            _written.add(self._path)
        try:
            with self._opened("r+") as file:
                self._file = file
                yield
        finally:
            _written.discard(self._path)

    def put(self, result: BlockResult) -> None:
        """Write the results of a block."""
        region, chunk = result
        own = zip(self._columns.items(), region, strict=True)
        block = labelled({path: values[cut] for (path, values), cut in own}, chunk, self._options)
        with NETCDF_LOCK, told_as_oserror(self._name):
            for name in map(str, block.data_vars):
                if name != "status":
                    _write(self._file[name], region, block[name].values)
            self._flush()
            _write(self._file["status"], region, block["status"].values)
            self._flush()
        self.tally.count(region, block["status"].values, block["message"].values)

    def table(self) -> "xarray.Dataset":
        """Return all results, labelled; the numbers are read when they are asked for."""
        return self._table

    def _flush(self) -> None:
        self._file.sync()
        with self._path.open("rb") as file:
            os.fsync(file.fileno())

    @contextlib.contextmanager
    def _opened(self, mode: Literal["r", "r+"]) -> Iterator["netCDF4.Dataset"]:
        import netCDF4

        try:
            with NETCDF_LOCK:
                file = netCDF4.Dataset(self._path, mode)
                file.set_auto_maskandscale(False)
        except OSError as error:
            if isinstance(error, PermissionError | FileNotFoundError):
                raise
            raise self._busy() from None
        try:
            yield file
        except BaseException:
            with NETCDF_LOCK, contextlib.suppress(RuntimeError):  # a disk that was full still is
                file.close()
            raise
        with NETCDF_LOCK, told_as_oserror(self._name):
            file.close()

    def _busy(self) -> OSError:
        reason = "is no netCDF file, or open elsewhere: close what reads or writes it"
        return OSError(errno.EBUSY, reason, self._name)


def _write(variable: "netCDF4.Variable", region: Region, values: np.ndarray) -> None:
    if variable.dtype == "S1":
        write_texts(variable, region, values)
    else:
        variable[(*region, *[slice(None)] * (variable.ndim - len(region)))] = values
