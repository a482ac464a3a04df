"""Reading back what was learned, and checking that it can be."""

import json
import math
import os
import warnings
from pathlib import Path
from typing import Any, get_args

import numpy as np

from layshaft import _core
from layshaft.fitting.learned import KIND, FitEnd, Learned
from layshaft.fitting.observation_json import observation_of
from layshaft.fitting.unknowns import Unknown
from layshaft.runs.result_file import car_of
from layshaft.setup import field_table
from layshaft.setup.handed_over import checked_path, one_of
from layshaft.storage.checksum import checksum_of
from layshaft.storage.damage import told_as_damage

#: Least share of a spread that is a number's own; round-off leaves less.
_LEAST_OWN = 1e-12


def read_learned(path: str | os.PathLike[str]) -> Learned:
    """Read what `Learned.save` wrote; warn where it has no checksum.

    Returns
    -------
    Learned
        As `layshaft.learn` returned it; SI units.

    Raises
    ------
    ValueError
        If the file holds something else, or numbers that no learning gives.
    OSError
        If it is not there or may not be read.
    """
    with (
        Path(checked_path("path", path)).open(encoding="utf-8") as file,
        told_as_damage(path, "file of a learned car"),
    ):
        content = json.load(file)
        sealed = content.pop("checksum", None)
        if sealed not in (None, checksum_of(content)):
            raise ValueError("its checksum is that of something else")
        if content.pop("kind") != KIND:
            raise ValueError("its kind is another")
        cars = {name: car_of(content.pop(name)) for name in ("car", "believed")}
        unknowns = tuple(map(_unknown_of, content.pop("unknowns")))
        numbers = tuple(map(observation_of, content.pop("numbers")))
        values = tuple(map(float, content.pop("values")))
        end = one_of("end", content.pop("end"), get_args(FitEnd))
        rest: dict[str, Any] = {n: np.array(value, dtype=float) for n, value in content.items()}
        known = {"unknowns": unknowns, "numbers": numbers, "values": values, "end": end}
        learned = Learned(**(known | cars | rest))
        _check(learned)
    if sealed is None:
        told = f"{os.fspath(path)} has no checksum: a changed number goes unnoticed"
        warnings.warn(told, stacklevel=2)
    return learned


def _check(learned: Learned) -> None:
    """Check what is read from a file: shapes, bounds, and matrices that errors can have."""
    count, seen = len(learned.unknowns), len(learned.seen)
    shapes: dict[str, tuple[int, ...]]
    shapes = {"ends": (count, 2), "covariance": (count, count), "information": (count, count)}
    shapes |= dict.fromkeys(("seen", "errors", "shown_before", "shown"), (seen,))
    for name, shape in shapes.items():
        if getattr(learned, name).shape != shape:
            raise ValueError(f"{name} has the shape {getattr(learned, name).shape}, not {shape}")
    if not (count and len(learned.values) == count and len(learned.numbers) <= seen):
        raise ValueError("it has other numbers of values, unknowns and observations")
    for name in ("covariance", "information"):
        matrix = getattr(learned, name)
        size = np.sqrt(np.outer(np.diag(matrix), np.diag(matrix)))
        # Symmetric to round-off, and no correlation beyond 1: so it is once computed.
        if not (np.isfinite(matrix).all() and np.allclose(matrix, matrix.T, atol=0.0, rtol=1e-6)):
            raise ValueError(f"{name} is not symmetric")
        if not (np.diag(matrix) >= 0.0).all() or (np.abs(matrix) > size * (1.0 + 1e-6)).any():
            raise ValueError(f"{name} is none: it has correlations above 1")
    if not np.isfinite(learned.seen).all():
        raise ValueError("an observation is no number")
    if not ((learned.errors > 0.0) & np.isfinite(learned.errors)).all():
        raise ValueError("the error of an observation is not above 0, or has no bound")
    if np.isinf([learned.shown_before, learned.shown]).any():  # what a car cannot do is no number
        raise ValueError("what a car shows of it has no bound")
    for number, seen_value, error in zip(
        learned.numbers, learned.seen, learned.errors, strict=False
    ):
        if (number.value, number.error) != (seen_value, error):
            raise ValueError(f"seen is {seen_value:g}, not {number.value:g} as in numbers")
    spreads = np.sqrt(np.diag(learned.covariance))
    # Each guess counts as an observation, so no number follows from the others alone.
    if not (spreads > 0.0).all() or np.linalg.eigvalsh(learned.correlation)[0] < _LEAST_OWN:
        raise ValueError("covariance is none: it has variances that are not above 0")
    for each, value, (low, high), spread in zip(
        learned.unknowns, learned.values, learned.ends, spreads, strict=True
    ):
        lowest, highest = _core.learnable_range(learned.believed._core, each.path)
        if not lowest <= each.low < each.high <= highest:
            raise ValueError(f"{each.path} has bounds beyond {lowest:g} to {highest:g}")
        # Nothing is known for sure, nor less than was believed within the bounds.
        if not 0.0 < spread <= each.doubt + (each.high - each.low):
            raise ValueError(f"{each.path} has a spread of {spread:g}, which none can have")
        if not each.low <= low <= value <= high <= each.high:
            raise ValueError(f"{each.path} = {value:g} is outside its interval, or that too wide")
        for name, told in (("car", value), ("believed", each.guess)):
            own = getattr(learned, name)[each.path]
            if not math.isclose(own, told, rel_tol=1e-9):
                raise ValueError(f"{each.path} is {own:g} in its {name}, not {told:g}")
        if not (each.low <= value <= each.high and 0.0 < each.doubt < math.inf):
            raise ValueError(f"{each.path} is outside its bounds, or its doubt is not above 0")


def _unknown_of(content: dict[str, Any]) -> Unknown:
    followers = tuple((name, float(ratio)) for name, ratio in content.pop("followers"))
    path = content.pop("path")
    for name in (path, *(follower for follower, _ in followers)):
        if field_table.find_field(name) is None:
            raise ValueError(f"unknown field {name}: {field_table.unknown(name)}")
    numbers = {name: float(number) for name, number in content.items()}
    return Unknown(path=path, **numbers, followers=followers)
