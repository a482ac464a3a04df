"""The shard beside a sweep's file: results as they come, one record a block, each whole or not.

A record is appended by one write, and ends with a checksum: one that was cut short, by a kill or a
full disk, does not count. Appending takes microseconds, so one process gathers what many send.
"""

import errno
import fcntl
import json
import os
import struct
import time
import zlib
from pathlib import Path
from typing import NamedTuple

import numpy as np

from layshaft.runs.batch import Chunk

#: Ending of the shard's name, after that of the file.
ENDING = ".part"
#: Letters of a status.
STATUS = 8
_MARK = b"layshaft"
_HEAD = struct.Struct("<8sQQQ")  # mark, first point, points, bytes of the messages
_TAIL = struct.Struct("<I")  # checksum of all before
_NUMBER = 8  # [byte]
_SYNC = 1.0  #: between two calls that wait for the disk [s]


class Record(NamedTuple):
    """Where the results of a block lie in the shard."""

    start: int  #: first point, in the order of the grid
    points: int
    offset: int  #: of the numbers [byte]
    messages: int  #: of the texts [byte]


class Shard:
    """A shard that one process holds; `BlockingIOError` where another one does."""

    def __init__(self, path: Path, sweep: bytes, widths: list[int]) -> None:
        """Open a shard, or make it.

        Parameters
        ----------
        path
            Of the shard.
        sweep
            Says which sweep it belongs to.
        widths
            Numbers that a point has in each variable.
        """
        self._path, self._sweep = path, sweep
        self._places = np.cumsum([0, *widths])
        self._synced = time.monotonic()
        self._file = self._locked()
        try:
            self.records, self._end = self._read()
        except BaseException:
            os.close(self._file)
            raise

    def append(self, start: int, chunk: Chunk) -> None:
        """Write the results of the points from `start` on.

        Raises
        ------
        OSError
            If they cannot be written; what was there stays.
        """
        count = len(chunk.status)
        kinds = {kind: kind.encode().ljust(STATUS, b"\0") for kind in set(chunk.status)}
        texts = {str(k): text for k, text in enumerate(chunk.messages) if text}
        messages = json.dumps(texts).encode() if texts else b""
        first, *others = chunk.numbers
        if sum(table.shape[1] for table in chunk.numbers) != self._places[-1]:
            raise ValueError(f"{self._path}: a block must have {self._places[-1]} numbers a point")
        body = b"".join(
            (
                _HEAD.pack(_MARK, start, count, len(messages)),
                np.ascontiguousarray(first.T).tobytes(),
                *(np.ascontiguousarray(table).tobytes() for table in others),
                *map(kinds.__getitem__, chunk.status),
                messages,
            )
        )
        self._write(body)
        self.records.append(Record(start, count, self._end + _HEAD.size, len(messages)))
        self._end += len(body) + _TAIL.size
        if time.monotonic() - self._synced > _SYNC:
            os.fsync(self._file)
            self._synced = time.monotonic()

    def numbers(self, variable: int, record: Record) -> np.ndarray:
        """Read the numbers of a variable, a row a point."""
        low, high = self._places[variable : variable + 2].tolist()
        size = record.points * _NUMBER
        read = os.pread(self._file, (high - low) * size, record.offset + low * size)
        return np.frombuffer(read).reshape(record.points, high - low)

    def status(self, record: Record) -> np.ndarray:
        """Read the statuses as letters, a row a point."""
        read = os.pread(self._file, record.points * STATUS, self._after_numbers(record))
        return np.frombuffer(read, "S1").reshape(record.points, STATUS)

    def messages(self, record: Record) -> dict[int, str]:
        """Read the messages by the points, counted from the record's first, that have one."""
        if not record.messages:
            return {}
        place = self._after_numbers(record) + record.points * STATUS
        texts = json.loads(os.pread(self._file, record.messages, place))
        return {int(point): text for point, text in texts.items()}

    def clear(self) -> None:
        """Drop all records, which are safe elsewhere."""
        os.ftruncate(self._file, len(self._sweep))
        self.records, self._end = [], len(self._sweep)

    def close(self) -> None:
        """Let go of the shard; remove it if it holds nothing."""
        if not self.records:
            self._path.unlink(missing_ok=True)
        os.close(self._file)

    def _locked(self) -> int:
        while True:
            file = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o666)
            try:
                fcntl.lockf(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BaseException:
                os.close(file)
                raise
            if os.fstat(file).st_nlink:
                return file
            os.close(file)  # removed by who held it until now

    def _read(self) -> tuple[list[Record], int]:
        """Return the whole records, and where they end; what lies behind is cut off."""
        size = os.fstat(self._file).st_size
        head = len(self._sweep)
        if size < head:
            os.ftruncate(self._file, 0)
            os.pwrite(self._file, self._sweep, 0)
            return [], head
        if os.pread(self._file, head, 0) != self._sweep:
            told = "holds runs of another sweep: remove it, or take another name"
            raise ValueError(f"{self._path} {told}")
        records, end = [], head
        while (found := self._record_at(end, size)) is not None:
            record, end = found
            records.append(record)
        os.ftruncate(self._file, end)
        return records, end

    def _record_at(self, place: int, size: int) -> tuple[Record, int] | None:
        head = os.pread(self._file, _HEAD.size, place)
        if len(head) < _HEAD.size:
            return None
        mark, start, count, messages = _HEAD.unpack(head)
        record = Record(start, count, place + _HEAD.size, messages)
        end = self._after_numbers(record) + count * STATUS + messages
        if mark != _MARK or end + _TAIL.size > size:
            return None
        body = os.pread(self._file, end - place, place)
        tail = os.pread(self._file, _TAIL.size, end)
        return (record, end + _TAIL.size) if tail == _TAIL.pack(zlib.crc32(body)) else None

    def _after_numbers(self, record: Record) -> int:
        return record.offset + int(self._places[-1]) * record.points * _NUMBER

    def _write(self, body: bytes) -> None:
        whole = body + _TAIL.pack(zlib.crc32(body))
        written = 0
        try:
            while written < len(whole):
                written += os.pwrite(self._file, memoryview(whole)[written:], self._end + written)
        except OSError as error:
            os.ftruncate(self._file, self._end)
            reason = error.strerror or "cannot be written"
            raise OSError(error.errno or errno.EIO, reason, os.fspath(self._path)) from None
