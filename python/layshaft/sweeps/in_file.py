"""A sweep's results in a netCDF file, whole at any moment.

All room is laid out when the file is made. A block that is done goes into the shard beside the file
at once (`shard`), and from there into its place: now and then, and when the sweep ends or is called
again. Statuses are written last, once the numbers are on the disk: whatever cuts the work short, a
run that neither marks as done is done again, and no other.
"""

import bisect
import contextlib
import errno
import functools
import hashlib
import json
import math
import os
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Literal, cast

import numpy as np

from layshaft import _core
from layshaft.runs.measures import plain_options
from layshaft.runs.run_options import Drive
from layshaft.setup.car import Car
from layshaft.setup.handed_over import checked_path
from layshaft.storage.atomic import atomic_write
from layshaft.storage.checksum import seal, unsealed
from layshaft.storage.damage import told_as_damage
from layshaft.storage.letters import read_texts, to_letters
from layshaft.storage.netcdf_failure import told_as_oserror
from layshaft.storage.netcdf_lock import NETCDF_LOCK
from layshaft.sweeps.blocks import BlockResult, Region, blocks
from layshaft.sweeps.differences import check_same_sweep
from layshaft.sweeps.file_layout import lay_out
from layshaft.sweeps.in_memory import Tally
from layshaft.sweeps.labels import Columns
from layshaft.sweeps.shard import ENDING, Record, Shard
from layshaft.sweeps.stored_table import stored_table

if TYPE_CHECKING:
    import netCDF4
    import xarray

#: Points looked at at once when a file is read or written through.
_SLAB = 20_000
#: Merging rests so many times as long as it took.
_REST = 19.0

#: Files that some thread writes to: a lock on a file holds against other processes alone.
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
        self._part = self._path.with_name(self._path.name + ENDING)
        self._shape = tuple(len(values) for values in columns.values())
        self._variables = _variables(options)
        self._sweep = _fingerprint(car, columns, options)
        self._shard: Shard | None = None  # while it is held
        self._rests_until = -math.inf
        self.tally = Tally(self._shape)
        left = self._part.exists()  # by a sweep that was killed, or it goes on elsewhere
        with NETCDF_LOCK, self._held() if left else contextlib.nullcontext():
            self._sealed = self._path.exists() and self._check()
            if not self._path.exists():
                with atomic_write(path) as aside:
                    lay_out(aside, car, columns, options)
            with self._opened("r") as file:
                check_same_sweep(self._name, file, car, columns, options)
            self._merge()
            with self._opened("r") as file, told_as_damage(self._name, "file of a sweep"):
                self._count(file)
                self._table = stored_table(file, self._path)  # slow: now, not after Ctrl-C

    def _check(self) -> bool:
        """Return whether the file is finished, and has its checksum."""
        with told_as_damage(self._name, "file of a sweep"):
            return unsealed(self._path.read_bytes())[1]

    def _count(self, file: "netCDF4.Dataset") -> None:
        for region in blocks(self.tally.done.shape, _SLAB):
            status, messages = (read_texts(file[name], region) for name in ("status", "message"))
            self.tally.count(region, status, messages)

    @contextlib.contextmanager
    def writing(self) -> Iterator[None]:
        """Hold the shard for `put`; nobody else can write to it meanwhile."""
        if self._sealed:
            yield
            return
        with self._held():
            try:
                yield
            except BaseException:
                with contextlib.suppress(OSError):  # what is in the shard stays there
                    self._merge()
                raise
            self._merge()
            self._seal()

    def put(self, result: BlockResult) -> None:
        """Keep the results of a block."""
        region, chunk = result
        shard = cast(Shard, self._shard)
        with _named(self._name):
            shard.append(self._position(region), chunk)
        shape = _lengths(region)
        texts = (np.array(each, dtype=object) for each in (chunk.status, chunk.messages))
        self.tally.count(region, *(each.reshape(shape) for each in texts))
        begin = time.monotonic()
        if begin >= self._rests_until:
            with _unless_open_elsewhere():
                self._merge()
            end = time.monotonic()
            self._rests_until = end + _REST * (end - begin)

    def table(self) -> "xarray.Dataset":
        """Return all results, labelled; the numbers are read when they are asked for."""
        return self._table

    def _position(self, region: Region) -> int:
        return int(np.ravel_multi_index([cut.start for cut in region], self._shape))

    @contextlib.contextmanager
    def _held(self) -> Iterator[None]:
        """Hold the shard against all others."""
        if self._path in _written:
            raise self._busy()
        _written.add(self._path)
        try:
            widths = [width for _, width in self._variables]
            with contextlib.closing(Shard(self._part, self._sweep, widths)) as self._shard:
                yield
        except BlockingIOError:
            raise self._busy() from None
        finally:
            self._shard = None
            _written.discard(self._path)

    def _merge(self) -> None:
        """Move what is in the shard to its place."""
        shard = self._shard
        if shard is None or not shard.records:
            return
        parts = self._touched(shard.records)
        with self._opened("r+") as file:
            for number, (name, _) in enumerate(self._variables):
                self._lay_over(file[name], parts, functools.partial(shard.numbers, number))
            for record in shard.records:
                self._write_messages(file["message"], record.start, shard.messages(record))
            self._flush(file)
            self._lay_over(file["status"], parts, shard.status)
            self._flush(file)
        shard.clear()

    def _seal(self) -> None:
        """Write the checksum, once nothing is left to be run."""
        if self.tally.done.all():
            with _named(self._name):
                seal(self._path)
            self._sealed = True

    def _touched(self, records: list[Record]) -> list[tuple[Region, list[Record]]]:
        """Return each part of the grid that records reach into, with those."""
        ordered = sorted(records)
        starts = [record.start for record in ordered]
        touched = []
        for region in blocks(self._shape, _SLAB):
            begin = self._position(region)
            end = begin + math.prod(_lengths(region))
            # Records lie side by side: of those that begin before, one at most reaches in.
            first = max(bisect.bisect_right(starts, begin) - 1, 0)
            reach = ordered[first : bisect.bisect_left(starts, end)]
            found = [record for record in reach if record.start + record.points > begin]
            if found:
                low = max(found[0].start, begin) - begin
                high = min(found[-1].start + found[-1].points, end) - begin
                touched.append((_narrowed(region, low, high), found))
        return touched

    def _lay_over(
        self,
        variable: "netCDF4.Variable",
        parts: list[tuple[Region, list[Record]]],
        read: Callable[[Record], np.ndarray],
    ) -> None:
        """Write the rows of records to their places in a variable."""
        for region, records in parts:
            place = (*region, *[slice(None)] * (variable.ndim - len(region)))
            shape = _lengths(region) + variable.shape[len(region) :]
            begin, points = self._position(region), math.prod(_lengths(region))
            whole = sum(record.points for record in records) >= points
            with NETCDF_LOCK, told_as_oserror(self._name):
                there = np.empty(shape, variable.dtype) if whole else variable[place]
                rows = there.reshape(points, -1)
                for record in records:
                    low = max(begin - record.start, 0)
                    high = min(begin + points - record.start, record.points)
                    to = record.start - begin
                    rows[to + low : to + high] = read(record)[low:high]
                variable[place] = rows.reshape(shape)

    def _write_messages(
        self, variable: "netCDF4.Variable", start: int, messages: dict[int, str]
    ) -> None:
        for point, text in messages.items():
            place = np.unravel_index(start + point, self._shape)
            with NETCDF_LOCK, told_as_oserror(self._name):
                variable[(*place, slice(None))] = to_letters(np.array(text), variable.shape[-1])

    def _flush(self, file: "netCDF4.Dataset") -> None:
        with NETCDF_LOCK, told_as_oserror(self._name):
            file.sync()
        with self._path.open("rb") as written:
            os.fsync(written.fileno())

    @contextlib.contextmanager
    def _opened(self, mode: Literal["r", "r+"]) -> Iterator["netCDF4.Dataset"]:
        import netCDF4

        try:
            with NETCDF_LOCK:
                file = netCDF4.Dataset(self._path, mode)
                file.set_auto_maskandscale(False)
                file.set_auto_chartostring(False)
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


def _narrowed(region: Region, low: int, high: int) -> Region:
    """Return what is left of a block round its points from `low` to `high`."""
    lengths = _lengths(region)
    axis = next((k for k, length in enumerate(lengths) if length > 1), len(lengths) - 1)
    row = math.prod(lengths[axis + 1 :])
    start = region[axis].start
    cut = slice(start + low // row, start - (-high // row))
    return (*region[:axis], cut, *region[axis + 1 :])


def _lengths(region: Region) -> tuple[int, ...]:
    return tuple(cut.stop - cut.start for cut in region)


def _variables(options: Drive) -> list[tuple[str, int]]:
    """Return name and width of each variable of numbers, in the order of a chunk's tables."""
    marks = [("time_to_distance", len(options.distances))]
    marks += [("speed_at_distance", len(options.distances)), ("time_to_speed", len(options.speeds))]
    return [(name, 1) for name, _, _ in options.scalars] + [each for each in marks if each[1]]


def _fingerprint(car: Car, columns: Columns, options: Drive) -> bytes:
    """Return what tells this sweep from any other; a sweep keeps no samples."""
    way = plain_options(options) | {"sample_interval": None}
    told = json.dumps([_core.version(), car.to_toml(), way, dict(columns)])
    return hashlib.sha256(told.encode()).digest()


@contextlib.contextmanager
def _named(name: str) -> Iterator[None]:
    """Re-raise a failed write under the name that the caller knows."""
    try:
        yield
    except OSError as error:
        raise OSError(error.errno, error.strerror, name) from None


@contextlib.contextmanager
def _unless_open_elsewhere() -> Iterator[None]:
    """Leave for later what somebody who reads the file keeps from being written."""
    try:
        yield
    except OSError as error:
        if error.errno != errno.EBUSY:
            raise
