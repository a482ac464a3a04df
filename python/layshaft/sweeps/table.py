"""Many runs of one car with some fields changed, as one labelled table."""

import functools
import math
import os
import warnings
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, Unpack

import numpy as np

from layshaft.quantities.refused import cut, shown
from layshaft.runs import result_file
from layshaft.runs.batch import Progress
from layshaft.runs.launch_options import LaunchOptions
from layshaft.runs.run_options import Drive, Options, read_options
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked_map, whole
from layshaft.sweeps.blocks import Block, BlockResult, block_of, blocks, run_block

if TYPE_CHECKING:
    import xarray

    from layshaft.sweeps.in_memory import Runs

#: Such as `map` or the `map` of an executor: applies a function to each item. The results may come
#: in any order.
Map = Callable[[Callable[[Block], BlockResult], Iterable[Block]], Iterable[BlockResult]]

#: Runs of a block for each thread: enough to keep all lanes busy, few enough to be lost.
_BLOCK = 2048
#: What fits into memory; more would also take weeks.
_MOST_RUNS = 20_000_000
_MOST_BLOCKS = 100_000
#: More than any machine has cores; a system has no endless number of threads.
_MOST_THREADS = 1024
#: With a map: so many blocks, for all workers to get some, of a size worth to be sent.
_BLOCKS, _LEAST_BLOCK = 64, 16


def sweep(
    car: Car,
    axes: Mapping[str, Iterable[object]],
    *,
    threads: int | None = None,
    map: Map | None = None,
    chunk: int | None = None,
    file: str | os.PathLike[str] | None = None,
    progress: bool | Progress = False,
    **options: Unpack[Options],
) -> "xarray.Dataset":
    """Run the car at every combination of the values of some fields.

    A point that fails holds not-a-numbers, its `status` and its `message`; the others go on.
    Whatever runs the points, the results are the same bits.

    Parameters
    ----------
    car
        The car to change.
    axes
        Path of a field to its values: numbers in SI units, text with a unit, or names of choices.
        A single value is allowed.
    threads
        `None` for as many as the machine has cores; with a `map`, for one to a block.
    map
        Runs the blocks: `map(function, blocks)`, as the `map` of a `ThreadPoolExecutor`, a
        `ProcessPoolExecutor`, an `mpi4py.futures.MPIPoolExecutor` or Dask's
        `client.get_executor()`. Function, blocks and results can be sent between machines, and the
        results may come in any order.
    chunk
        Runs of a block, at most; by default what keeps threads or workers busy.
    file
        A `.nc` file that takes the blocks as they are done, so that memory stays bounded. One that
        is there already goes on where it was cut short, if it holds this very sweep. While it is
        written, and after a kill, what it lacks yet lies beside it in a file that ends in
        `.nc.part`: leave that there.
    progress
        `True` shows a bar with rate and time left; a function is called with the number of runs
        done and of all runs.
    measures
        Functions of a run by the names of their variables, each alone or with its SI unit,
        `{"coasting": (seconds_of_coasting, "s")}`. One takes a `LaunchRun`, or with a `track` a
        `LapRun`, with all that it has, and returns a number. Each run is then driven twice.
    options
        As for `layshaft.launch`, the same for all runs; with a `track` as for `layshaft.lap`.

    Returns
    -------
    xarray.Dataset
        One dimension an axis: `two_speed_gap` for `two_speed.gap`. Variables: every scalar of a
        run, `time_to_distance`, `speed_at_distance`, `time_to_speed`, `status` and `message`.
        Ctrl-C ends it early: what is done is returned, the rest has the status `not_run` and
        `attrs["interrupted"]` is 1. With a `file`, numbers are read from it when asked for.

    Raises
    ------
    ValueError
        For an unknown field, a value outside its range or a wrong unit, before any run; for a file
        that holds another sweep, another car's, or one of another version.
    OSError
        If the file cannot be written, or is open elsewhere; what it holds stays.

    Examples
    --------
    >>> import layshaft
    >>> gaps = ["4.3 mm", "4.5 mm", "4.7 mm"]
    >>> table = layshaft.sweep(layshaft.demo_car(), {"two_speed.gap": gaps}, distance=30.0)
    >>> bool((table.shift_speed.diff("two_speed_gap") < 0).all())  # screw out: earlier
    True
    """
    checked_car(car)
    columns = {
        path: axis_values(path, values) for path, values in checked_map("axes", axes).items()
    }
    if not columns:
        raise ValueError("a sweep needs at least one axis")
    count = math.prod(len(values) for values in columns.values())
    if count > _MOST_RUNS:
        raise ValueError(f"a sweep of {count} runs is too large: at most {_MOST_RUNS}")
    return run_sweep(
        car,
        columns,
        read_options(**options),
        threads=threads,
        map=map,
        chunk=chunk,
        file=file,
        progress=progress,
    )


def run_sweep(
    car: Car,
    columns: dict[str, list[float]],
    options: Drive,
    *,
    threads: int | None = None,
    map: Map | None = None,
    chunk: int | None = None,
    file: str | os.PathLike[str] | None = None,
    progress: bool | Progress = False,
) -> "xarray.Dataset":
    """Run a sweep over stored numbers with checked options; see `sweep`."""
    _load()
    attributes = result_file.attributes("sweep", car, options)
    own_threads = 1 if map is not None else os.cpu_count() or 1
    count = own_threads if threads is None else _positive("threads", threads, _MOST_THREADS)
    shape = tuple(len(values) for values in columns.values())
    usual = _usual_chunk(shape, count, map)
    size = usual if chunk is None else _positive("chunk", chunk, _MOST_RUNS)
    if math.ceil(math.prod(shape) / size) > _MOST_BLOCKS:
        most = math.ceil(math.prod(shape) / _MOST_BLOCKS)
        raise ValueError(f"chunk = {size} must be at least {most}: each block costs memory")
    runs = _runs(car, columns, options, file)
    parts = [
        block_of(car, columns, options, region)
        for region in blocks(shape, size)
        if not runs.tally.done[region].all()
    ]
    # Begun before the file is opened and the bar is drawn: what is forked must have neither.
    results = (
        None if map is None else _mapped(map, functools.partial(run_block, threads=count), parts)
    )
    try:
        with runs.writing(), _reporting(progress) as report:
            interrupted = _put_all(results or _one_by_one(parts, runs, count, report), runs, report)
    finally:
        # Such as an executor's: what has not begun is not begun any more.
        getattr(results, "close", lambda: None)()
    table = runs.table()
    table.attrs = attributes | {"interrupted": int(interrupted)}
    _warn(runs, columns, interrupted)
    return table


def _mapped(
    map: Map, function: Callable[[Block], BlockResult], parts: list[Block]
) -> Iterator[BlockResult]:
    if not callable(map):
        raise TypeError(f"map = {shown(map)} must be a function, such as the map of an executor")
    results = map(function, parts)
    if not isinstance(results, Iterable):
        raise TypeError(f"map returned {shown(results)}; it must return the results of its blocks")
    return iter(results)


@functools.cache
def _load() -> None:
    """Import what a table needs: slow, so not between Ctrl-C and what it returns."""
    from layshaft.sweeps.in_memory import RunsInMemory

    RunsInMemory({"first.pinion": [1.0]}, LaunchOptions()).table()


def _one_by_one(
    parts: Iterable[Block], runs: "Runs", threads: int, report: Progress | None
) -> Iterator[BlockResult]:
    for part in parts:
        before = int(runs.tally.done.sum() - runs.tally.done[part.region].sum())

        def further(done: int, _: int, before: int = before) -> None:
            if report is not None:
                report(before + done, runs.tally.done.size)

        yield run_block(part, threads=threads, progress=None if report is None else further)


def _put_all(results: Iterable[BlockResult], runs: "Runs", report: Progress | None) -> bool:
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


def _runs(
    car: Car,
    columns: dict[str, list[float]],
    options: Drive,
    file: str | os.PathLike[str] | None,
) -> "Runs":
    if file is None:
        from layshaft.sweeps.in_memory import RunsInMemory

        return RunsInMemory(columns, options)
    from layshaft.sweeps.in_file import RunsInFile

    return RunsInFile(file, car, columns, options)


def _usual_chunk(shape: tuple[int, ...], threads: int, map: Map | None) -> int:
    most = _BLOCK * threads
    if map is None:
        return most
    return min(max(int(np.prod(shape)) // _BLOCKS, _LEAST_BLOCK * threads), most)


def axis_values(path: str, values: object) -> list[float]:
    """Turn the values of an axis as people write them into stored numbers.

    Raises
    ------
    ValueError
        For an unknown path, no value, a value twice, or one that the field does not take.

    Examples
    --------
    >>> axis_values("two_speed.gap", ["4.3 mm", 0.0045])
    [0.0043, 0.0045]
    """
    field = field_table.find_field(path)
    if field is None:
        raise ValueError(f"cannot sweep {cut(path)}: {field_table.unknown(path)}")
    listed = [values] if isinstance(values, str) or not np.iterable(values) else list(values)
    numbers = []
    for value in listed:
        try:
            numbers.append(field_table.to_number(field, value))
        except ValueError as error:
            raise ValueError(f"{path} = {shown(value)} {error}") from None
    if not numbers:
        raise ValueError(f"{path}: an axis needs at least one value")
    if len(set(numbers)) < len(numbers):
        raise ValueError(f"{path}: an axis must not hold a value twice")
    return numbers


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


def _warn(runs: "Runs", columns: dict[str, list[float]], interrupted: bool) -> None:
    tally = runs.tally
    if tally.first is not None:
        place = np.unravel_index(tally.first, tally.done.shape)
        where = ", ".join(
            f"{path} = {field_table.describe(field_table.field_of(path), values[at])}"
            for (path, values), at in zip(columns.items(), place, strict=True)
        )
        failed = f"{tally.failed} of {tally.done.size} runs failed; first at {where}: "
        warnings.warn(failed + tally.reasons.describe(), stacklevel=4)
    if interrupted:
        done = int(tally.done.sum())
        warnings.warn(f"interrupted: {done} of {tally.done.size} runs done", stacklevel=4)
