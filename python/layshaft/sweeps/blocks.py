"""A sweep taken apart: blocks of its grid, each run by itself, anywhere, in any order."""

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from layshaft import _core
from layshaft.runs.run_options import RunOptions
from layshaft.setup import field_table
from layshaft.setup.car import Car

#: Called with the number of runs done and of all runs.
Progress = Callable[[int, int], object]
#: What a block takes of each axis of the grid.
Region = tuple[slice, ...]

NOT_RUN = "not_run"
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


class Part(NamedTuple):
    """A block of a sweep with all that it takes to run it: plain data, small."""

    car: Car
    columns: dict[str, list[float]]  #: path to its values in this block
    options: RunOptions
    region: Region  #: where the block lies in the grid


def run_part(part: Part, *, threads: int = 1, progress: Progress | None = None) -> "PartResult":
    """Run a block: what is handed to `map`. Pure, so that it may run anywhere and twice."""
    paths = list(part.columns)
    points = grid_points(part.columns)
    chunk = run_chunk(part.car, paths, points, part.options, threads=threads, progress=progress)
    return PartResult(part.region, chunk)


class PartResult(NamedTuple):
    """A block's results, and where they belong."""

    region: Region
    chunk: Chunk


def run_chunk(
    car: Car,
    paths: Sequence[str],
    values: np.ndarray,
    options: RunOptions,
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
    # Pairs first, so that a shoe named beside them keeps its own value.
    order = sorted(range(len(paths)), key=lambda column: paths[column] not in field_table.pairs())
    ordered = np.ascontiguousarray(values[:, order])
    result, interrupted = _core.sweep(
        car._core, [paths[column] for column in order], ordered, options.core(), threads, progress
    )
    return Chunk(
        result.scalars,
        result.distance_times,
        result.distance_speeds,
        result.speed_times,
        result.status,
        result.messages,
        interrupted,
    )


def grid_points(columns: Mapping[str, Sequence[float]]) -> np.ndarray:
    """Return every combination of the values, one row a point, the last field fastest.

    Examples
    --------
    >>> grid_points({"a": [1.0, 2.0], "b": [5.0, 6.0]}).tolist()
    [[1.0, 5.0], [1.0, 6.0], [2.0, 5.0], [2.0, 6.0]]
    """
    axes = np.meshgrid(*columns.values(), indexing="ij")
    return np.stack([axis.ravel() for axis in axes], axis=1).astype(float)


def blocks(shape: Sequence[int], most: int) -> Iterator[Region]:
    """Cut a grid into blocks of at most `most` points, in the order of the grid.

    A block is a piece of one axis, at one value of the axes before it and over all of those after.

    Examples
    --------
    >>> [[(each.start, each.stop) for each in block] for block in blocks((2, 5), 3)]
    [[(0, 1), (0, 3)], [(0, 1), (3, 5)], [(1, 2), (0, 3)], [(1, 2), (3, 5)]]
    """
    cut = next(
        (axis for axis in range(len(shape)) if math.prod(shape[axis + 1 :]) <= most),
        len(shape) - 1,
    )
    longest = max(1, most // math.prod(shape[cut + 1 :]))
    step = math.ceil(shape[cut] / math.ceil(shape[cut] / longest))  # pieces alike
    steps = [1] * cut + [step] + list(shape[cut + 1 :])
    pieces = [
        [slice(start, min(start + step, size)) for start in range(0, size, step)]
        for size, step in zip(shape, steps, strict=True)
    ]
    return itertools.product(*pieces)


def part_of(
    car: Car, columns: Mapping[str, Sequence[float]], options: RunOptions, region: Region
) -> Part:
    """Return the part of a sweep that a block of its grid is."""
    own = {path: list(columns[path][cut]) for path, cut in zip(columns, region, strict=True)}
    return Part(car, own, options, region)
