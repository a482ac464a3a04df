"""Many runs at once, on all cores."""

import os
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from layshaft import _core
from layshaft.runs.drive import drive
from layshaft.runs.run_options import Drive
from layshaft.setup import field_table
from layshaft.setup.car import Car

#: Called with the number of runs done and of all runs.
Progress = Callable[[int, int], object]


#: Statuses of a run that has no results.
FAILED = ("early", "refused")


class Chunk(NamedTuple):
    """Results of some runs, one row a run: plain arrays that can be sent to another process."""

    scalars: np.ndarray  #: runs x `options.scalars`
    distance_times: np.ndarray  #: runs x distances [s]
    distance_speeds: np.ndarray  #: runs x distances [m/s]
    speed_times: np.ndarray  #: runs x speeds [s]
    status: list[str]
    messages: list[str]
    interrupted: bool

    @property
    def numbers(self) -> tuple[np.ndarray, ...]:
        """The tables of numbers, runs x columns each."""
        return self.scalars, self.distance_times, self.distance_speeds, self.speed_times


def run_chunk(
    car: Car,
    paths: Sequence[str],
    values: np.ndarray,
    options: Drive,
    *,
    threads: int = 0,
    progress: Progress | None = None,
) -> Chunk:
    """Run some points of a sweep: a pure function of plain data.

    Parameters
    ----------
    car
        The car to change.
    paths
        Fields that change.
    values
        Runs x paths, as stored numbers in SI units.
    options
        The same for all runs.
    threads
        0 for as many as the machine has cores; the results are the same bits for any number.
    progress
        Called about twenty times a second.
    """
    for measure in options.measures:
        measure.check()
    # Pairs first, so that a shoe named beside them keeps its own value.
    order = sorted(range(len(paths)), key=lambda column: paths[column] not in field_table.pairs())
    ordered = np.ascontiguousarray(values[:, order])
    result, interrupted = _core.sweep(
        car._core, [paths[column] for column in order], ordered, options.core(), threads, progress
    )
    scalars = result.scalars
    if options.measures:
        done = [not interrupted and state not in FAILED for state in result.status]
        cars = [
            Car._of(car._core.replace([(paths[column], row[column]) for column in order]))
            for row in np.asarray(values)[done].tolist()
        ]
        own = np.full((len(values), len(options.measures)), np.nan)
        own[done] = _measured(cars, options, threads)
        scalars = np.column_stack([scalars, own])
    return Chunk(
        scalars,
        result.distance_times,
        result.distance_speeds,
        result.speed_times,
        result.status,
        result.messages,
        interrupted,
    )


def _measured(cars: Sequence[Car], options: Drive, threads: int) -> np.ndarray:
    """Drive each car alone, with all that a run has, and take the measures; runs x measures."""
    from concurrent.futures import ThreadPoolExecutor

    pool = ThreadPoolExecutor(threads or os.cpu_count())
    try:
        runs = pool.map(lambda each: drive(each, options), cars)
        rows = [[measure.of(run) for measure in options.measures] for run in runs]
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
    return np.array(rows).reshape(len(cars), len(options.measures))
