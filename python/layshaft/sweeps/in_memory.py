"""Where the results of a sweep gather while it goes on: in memory, or in a file."""

import math
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from layshaft.runs.batch import FAILED, Chunk
from layshaft.runs.failed_runs import Reasons
from layshaft.runs.run_options import Drive
from layshaft.sweeps.blocks import NOT_RUN, BlockResult
from layshaft.sweeps.labels import Columns, labelled, named
from layshaft.sweeps.plain_table import PlainTable

if TYPE_CHECKING:
    import xarray


class Tally:
    """Which points of a grid are done, and which of them failed."""

    def __init__(self, shape: tuple[int, ...]) -> None:
        self.done = np.zeros(shape, dtype=bool)
        self.failed = 0
        self.first: int | None = None  #: position in the grid of the first that failed
        self.reasons = Reasons()

    def count(self, region: tuple[slice, ...], status: np.ndarray, messages: np.ndarray) -> None:
        """Take in a block: both arrays have its shape."""
        self.done[region] = status != NOT_RUN
        failed = np.argwhere(np.isin(status, FAILED))
        self.failed += len(failed)
        self.reasons.add(str(messages[tuple(place)]) for place in failed)
        if len(failed):
            place = tuple(at + cut.start for at, cut in zip(failed[0], region, strict=True))
            position = int(np.ravel_multi_index(place, self.done.shape))
            self.first = position if self.first is None else min(self.first, position)


class Runs(Protocol):
    """Results of a sweep as they gather."""

    tally: Tally

    def writing(self) -> AbstractContextManager[None]:
        """Stand ready for `put`."""

    def put(self, result: BlockResult) -> None:
        """Take the results of a block, once whole."""

    def table(self) -> "xarray.Dataset":
        """Return all results, labelled."""


class RunsInMemory:
    """Results of a sweep in memory."""

    def __init__(self, columns: Columns, options: Drive) -> None:
        self._columns, self._options = columns, options
        shape = tuple(len(values) for values in columns.values())
        self.tally = Tally(shape)

        def table(width: int) -> np.ndarray:
            return np.full((*shape, width), np.nan)

        distances, speeds = len(options.distances), len(options.speeds)
        self._numbers = [table(len(options.scalars)), table(distances), table(distances)]
        self._numbers.append(table(speeds))
        self._status = np.full(shape, NOT_RUN, dtype=object)
        self._messages = np.full(shape, "", dtype=object)

    def writing(self) -> AbstractContextManager[None]:
        """Stand ready for `put`."""
        return nullcontext()

    def put(self, result: BlockResult) -> None:
        """Take the results of a block."""
        region, chunk = result
        shape = self._status[region].shape
        for table, values in zip(self._numbers, chunk.numbers, strict=True):
            table[region] = values.reshape((*shape, values.shape[1]))
        for table, texts in ((self._messages, chunk.messages), (self._status, chunk.status)):
            table[region] = np.array(texts, dtype=object).reshape(shape)
        self.tally.count(region, self._status[region], self._messages[region])

    def table(self) -> "xarray.Dataset":
        """Return all results, labelled."""
        return labelled(self._columns, self._chunk(), self._options)

    def plain(self, attributes: dict[str, Any]) -> PlainTable:
        """Return all results, labelled without xarray."""
        variables, coordinates = named(self._columns, self._chunk(), self._options)
        return PlainTable(variables | coordinates, attributes)

    def _chunk(self) -> Chunk:
        runs = math.prod(self._status.shape)
        scalars, times, speeds, speed_times = (
            table.reshape(runs, table.shape[-1]) for table in self._numbers
        )
        texts = self._status.ravel().tolist(), self._messages.ravel().tolist()
        return Chunk(scalars, times, speeds, speed_times, *texts, interrupted=False)
