"""A sweep taken apart: blocks of its grid, each run by itself, anywhere, in any order."""

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from layshaft.runs.batch import Chunk, Progress, run_chunk
from layshaft.runs.run_options import Drive
from layshaft.setup.car import Car

#: What a block takes of each axis of the grid.
Region = tuple[slice, ...]

NOT_RUN = "not_run"


class Block(NamedTuple):
    """A block of a sweep with all that it takes to run it: plain data, small."""

    car: Car
    columns: dict[str, list[float]]  #: path to its values in this block
    options: Drive
    region: Region  #: where the block lies in the grid


def run_block(part: Block, *, threads: int = 1, progress: Progress | None = None) -> "BlockResult":
    """Run a block: what is handed to `map`. Pure, so that it may run anywhere and twice."""
    paths = list(part.columns)
    points = grid_points(part.columns)
    chunk = run_chunk(part.car, paths, points, part.options, threads=threads, progress=progress)
    return BlockResult(part.region, chunk)


class BlockResult(NamedTuple):
    """A block's results, and where they belong."""

    region: Region
    chunk: Chunk


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


def block_of(
    car: Car, columns: Mapping[str, Sequence[float]], options: Drive, region: Region
) -> Block:
    """Return the part of a sweep that a block of its grid is."""
    own = {path: list(columns[path][cut]) for path, cut in zip(columns, region, strict=True)}
    return Block(car, own, options, region)
