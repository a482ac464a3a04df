"""A sweep's blocks run here or by any map, and put where their results gather."""

import functools
import math
import os
import warnings
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, nullcontext

import numpy as np

from layshaft.quantities.refused import shown
from layshaft.runs.batch import Progress
from layshaft.runs.run_options import Drive
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.setup.handed_over import whole
from layshaft.sweeps.blocks import Block, BlockResult, block_of, blocks, run_block
from layshaft.sweeps.in_memory import Runs
from layshaft.sweeps.swept_values import MOST_RUNS

#: Such as `map` or the `map` of an executor: applies a function to each item. The results may come
#: in any order.
Map = Callable[[Callable[[Block], BlockResult], Iterable[Block]], Iterable[BlockResult]]

#: Runs of a block for each thread: enough to keep all lanes busy, few enough to be lost.
_BLOCK = 2048
_MOST_BLOCKS = 100_000
#: More than any machine has cores; a system has no endless number of threads.
_MOST_THREADS = 1024
#: With a map: so many blocks, for all workers to get some, of a size worth to be sent.
_BLOCKS, _LEAST_BLOCK = 64, 16


def fill(
    runs: Runs,
    car: Car,
    columns: dict[str, list[float]],
    options: Drive,
    *,
    threads: int,
    size: int,
    map: Map | None = None,
    progress: bool | Progress = False,
) -> bool:
    """Run what is not done; warn of what failed, and return whether that was interrupted."""
    parts = [
        block_of(car, columns, options, region)
        for region in blocks(runs.tally.done.shape, size)
        if not runs.tally.done[region].all()
    ]
    # Begun before the file is opened and the bar is drawn: what is forked must have neither.
    results = (
        None if map is None else _mapped(map, functools.partial(run_block, threads=threads), parts)
    )
    try:
        with runs.writing(), _reporting(progress) as report:
            interrupted = _put_all(
                results or _one_by_one(parts, runs, threads, report), runs, report
            )
    finally:
        # Such as an executor's: what has not begun is not begun any more.
        getattr(results, "close", lambda: None)()
    _warn(runs, columns, interrupted)
    return interrupted


def block_sizes(
    columns: dict[str, list[float]], threads: int | None, map: Map | None, chunk: int | None
) -> tuple[int, int]:
    """Return the threads of a block, and how many runs it has at most."""
    own_threads = 1 if map is not None else os.cpu_count() or 1
    count = own_threads if threads is None else _positive("threads", threads, _MOST_THREADS)
    shape = tuple(len(values) for values in columns.values())
    usual = _usual_chunk(shape, count, map)
    size = usual if chunk is None else _positive("chunk", chunk, MOST_RUNS)
    if math.ceil(math.prod(shape) / size) > _MOST_BLOCKS:
        most = math.ceil(math.prod(shape) / _MOST_BLOCKS)
        raise ValueError(f"chunk = {size} must be at least {most}: each block costs memory")
    return count, size


def _mapped(
    map: Map, function: Callable[[Block], BlockResult], parts: list[Block]
) -> Iterator[BlockResult]:
    if not callable(map):
        raise TypeError(f"map = {shown(map)} must be a function, such as the map of an executor")
    results = map(function, parts)
    if not isinstance(results, Iterable):
        raise TypeError(f"map returned {shown(results)}; it must return the results of its blocks")
    return iter(results)


def _one_by_one(
    parts: Iterable[Block], runs: Runs, threads: int, report: Progress | None
) -> Iterator[BlockResult]:
    for part in parts:
        before = int(runs.tally.done.sum() - runs.tally.done[part.region].sum())

        def further(done: int, _: int, before: int = before) -> None:
            if report is not None:
                report(before + done, runs.tally.done.size)

        yield run_block(part, threads=threads, progress=None if report is None else further)


def _put_all(results: Iterable[BlockResult], runs: Runs, report: Progress | None) -> bool:
    """Put all results where they gather; return whether that was interrupted."""
    try:
        for result in results:
            runs.put(result)
            if result.chunk.interrupted:
                return True
            if report is not None:
                report(int(runs.tally.done.sum()), runs.tally.done.size)
    except KeyboardInterrupt:
        return True
    return False


def _usual_chunk(shape: tuple[int, ...], threads: int, map: Map | None) -> int:
    most = _BLOCK * threads
    if map is None:
        return most
    return min(max(int(np.prod(shape)) // _BLOCKS, _LEAST_BLOCK * threads), most)


def _positive(name: str, number: object, most: int) -> int:
    count = whole(name, number)
    if not 1 <= count <= most:
        raise ValueError(f"{name} = {shown(number)} must be at least 1, at most {most}, or None")
    return count


def _reporting(progress: bool | Progress) -> AbstractContextManager[Progress | None]:
    if not isinstance(progress, bool) and not callable(progress):
        raise TypeError(f"progress = {shown(progress)} must be yes, no, or a function")
    if progress is True:
        from layshaft.sweeps.progress import progress_bar

        return progress_bar("runs")
    return nullcontext(progress or None)


def _warn(runs: Runs, columns: dict[str, list[float]], interrupted: bool) -> None:
    tally = runs.tally
    if tally.first is not None:
        place = np.unravel_index(tally.first, tally.done.shape)
        where = ", ".join(
            f"{path} = {field_table.describe(field_table.field_of(path), values[at])}"
            for (path, values), at in zip(columns.items(), place, strict=True)
        )
        failed = f"{tally.failed} of {tally.done.size} runs failed; first at {where}: "
        warnings.warn(failed + tally.reasons.describe(), stacklevel=5)
    if interrupted:
        done = int(tally.done.sum())
        warnings.warn(f"interrupted: {done} of {tally.done.size} runs done", stacklevel=5)
