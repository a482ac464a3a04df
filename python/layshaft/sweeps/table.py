"""Many runs of one car with some fields changed, as one labelled table."""

import functools
import math
import os
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Unpack

from layshaft.runs import result_file
from layshaft.runs.batch import Progress
from layshaft.runs.launch_options import LaunchOptions
from layshaft.runs.run_options import Drive, Options, read_options
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked_map
from layshaft.sweeps.gather import Map, block_sizes, fill
from layshaft.sweeps.in_memory import Runs, RunsInMemory
from layshaft.sweeps.plain_table import PlainTable
from layshaft.sweeps.swept_values import MOST_RUNS, axis_values

if TYPE_CHECKING:
    import xarray


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
    return run_sweep(
        car,
        _columns(car, axes),
        read_options(**options),
        threads=threads,
        map=map,
        chunk=chunk,
        file=file,
        progress=progress,
    )


def plain_sweep(
    car: Car,
    axes: Mapping[str, Iterable[object]],
    *,
    progress: bool = False,
    **options: Unpack[Options],
) -> PlainTable:
    """Run the car as `sweep` does; return what reports and pictures read, without xarray."""
    columns, way = _columns(car, axes), read_options(**options)
    runs = RunsInMemory(columns, way)
    threads, size = block_sizes(columns, None, None, None)
    interrupted = fill(runs, car, columns, way, threads=threads, size=size, progress=progress)
    return runs.plain({"interrupted": int(interrupted)})


def _columns(car: Car, axes: Mapping[str, Iterable[object]]) -> dict[str, list[float]]:
    checked_car(car)
    columns = {
        path: axis_values(path, values) for path, values in checked_map("axes", axes).items()
    }
    if not columns:
        raise ValueError("a sweep needs at least one axis")
    count = math.prod(len(values) for values in columns.values())
    if count > MOST_RUNS:
        raise ValueError(f"a sweep of {count} runs is too large: at most {MOST_RUNS}")
    return columns


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
    count, size = block_sizes(columns, threads, map, chunk)
    runs = _runs(car, columns, options, file)
    interrupted = fill(
        runs, car, columns, options, threads=count, size=size, map=map, progress=progress
    )
    table = runs.table()
    table.attrs = attributes | {"interrupted": int(interrupted)}
    return table


@functools.cache
def _load() -> None:
    """Import what a table needs: slow, so not between Ctrl-C and what it returns."""
    RunsInMemory({"first.pinion": [1.0]}, LaunchOptions()).table()


def _runs(
    car: Car,
    columns: dict[str, list[float]],
    options: Drive,
    file: str | os.PathLike[str] | None,
) -> Runs:
    if file is None:
        return RunsInMemory(columns, options)
    from layshaft.sweeps.in_file import RunsInFile

    return RunsInFile(file, car, columns, options)
