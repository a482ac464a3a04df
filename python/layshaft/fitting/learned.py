"""What was learned of a car, how sure it is, and what the data could not tell."""

import json
import math
import os
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal, NamedTuple, get_args

import numpy as np

from layshaft.fitting.ambiguities import ambiguities
from layshaft.fitting.observation_json import observation_of, plain_observation
from layshaft.fitting.observations import Observation
from layshaft.fitting.unknowns import Unknown
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.setup.handed_over import checked, checked_path, one_of
from layshaft.storage.atomic import atomic_write
from layshaft.storage.damage import told_as_damage

#: Standard deviations to either side that hold 95 % of a normal distribution.
WIDTH_95 = 1.959964
#: Sum of squares that chance exceeds once in a hundred.
_TAIL = 0.01


#: Settled: at the best, or as near as the bounds allow. Rough: within a thousandth of it, the rest
#: hidden by jumps of what a car shows. Most looks: not yet there.
FitEnd = Literal["settled", "rough", "most_looks"]


class Interval(NamedTuple):
    """A number learned, with its 95 % interval, in SI units."""

    path: str
    value: float
    low: float
    high: float
    doubt_left: float  #: standard deviation now over that before [-]
    at_bound: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Learned:
    """The car that would have done what was seen; SI units."""

    car: Car
    believed: Car
    unknowns: tuple[Unknown, ...]
    values: tuple[float, ...]
    ends: np.ndarray  #: of the 95 % intervals, unknowns x 2: least and greatest
    covariance: np.ndarray  #: of the values, unknowns x unknowns: as wide as the intervals
    information: np.ndarray  #: of the data alone, in doubts
    numbers: tuple[Observation, ...]  #: the single numbers among what was seen, which come first
    seen: np.ndarray
    errors: np.ndarray
    shown_before: np.ndarray  #: what the believed car shows of the same
    shown: np.ndarray  #: what the learned car shows
    end: FitEnd  #: how the fit ended

    @property
    def intervals(self) -> list[Interval]:
        """Values with their 95 % intervals."""
        spreads = np.sqrt(np.diag(self.covariance))
        return [
            Interval(
                each.path,
                value,
                float(low),
                float(high),
                float(spread / each.doubt),
                value in (each.low, each.high),
            )
            for each, value, (low, high), spread in zip(
                self.unknowns, self.values, self.ends, spreads, strict=True
            )
        ]

    @property
    def correlation(self) -> np.ndarray:
        """Correlations of the values, unknowns x unknowns."""
        spreads = np.sqrt(np.diag(self.covariance))
        return self.covariance / np.outer(spreads, spreads)

    @property
    def misfit(self) -> float:
        """Sum of squared differences over their errors."""
        return float(np.nansum(((self.shown - self.seen) / self.errors) ** 2))

    @property
    def agrees(self) -> bool:
        """Whether the learned car shows what was seen, as far as the stated errors go."""
        from scipy.stats import chi2

        freedom = max(len(self.seen) - len(self.values), 1)
        return bool(np.isfinite(self.shown).all() and chi2.sf(self.misfit, freedom) > _TAIL)

    def ambiguities(self) -> list[str]:
        """Say, in sentences, what the data cannot tell."""
        return list(ambiguities(self.unknowns, self.values, self.information))

    def draws(self, count: int, *, seed: int) -> list[dict[str, float]]:
        """Draw cars from what is known, as changes of the learned car; kept within the bounds.

        Each number is as far out to either side as its interval reaches there.
        """
        generator = np.random.default_rng(seed)
        # By the root that has no sign to choose, so that the page draws the same cars.
        normal = generator.multivariate_normal(
            np.zeros(len(self.values)), self.correlation, count, method="cholesky"
        )
        values = np.array(self.values)
        below, above = np.abs(self.ends.T - values) / WIDTH_95
        return [self._changes(row) for row in values + normal * np.where(normal < 0, below, above)]

    def _changes(self, values: np.ndarray) -> dict[str, float]:
        changes: dict[str, float] = {}
        for each, value in zip(self.unknowns, values, strict=True):
            changes |= each.changes(float(np.clip(value, each.low, each.high)))
        return changes

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write everything to a JSON file; `layshaft.read_learned` reads it back."""
        arrays = ("ends", "covariance", "information", "seen", "errors", "shown_before", "shown")
        content = {
            "kind": "layshaft learned car",
            "car": self.car.to_toml(),
            "believed": self.believed.to_toml(),
            "unknowns": [asdict(each) for each in self.unknowns],
            "values": self.values,
            "end": self.end,
            "numbers": [plain_observation(each) for each in self.numbers],
            **{name: getattr(self, name).tolist() for name in arrays},
        }
        with atomic_write(path) as aside:
            aside.write_text(json.dumps(content, indent=1), encoding="utf-8")


def checked_learned(given: object) -> Learned:
    """Return what was learned; refuse anything else, such as the name of a file.

    Raises
    ------
    TypeError
        For anything else.

    Examples
    --------
    >>> checked_learned("learned.json")
    Traceback (most recent call last):
    TypeError: learned = 'learned.json' must be a Learned, such as layshaft.read_learned returns
    """
    return checked("learned", given, Learned, "layshaft.read_learned")


def read_learned(path: str | os.PathLike[str]) -> Learned:
    """Read what `Learned.save` wrote.

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
    from layshaft.runs.result_file import car_of

    with (
        Path(checked_path("path", path)).open(encoding="utf-8") as file,
        told_as_damage(path, "file of a learned car"),
    ):
        content = json.load(file)
        if content.pop("kind") != "layshaft learned car":
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
    if not (np.isfinite(learned.seen).all() and (learned.errors > 0.0).all()):
        raise ValueError("an observation is no number, or its error is not above 0")
    if np.linalg.eigvalsh(learned.covariance)[0] < -1e-9 * np.trace(learned.covariance):
        raise ValueError("covariance is none: it has negative variances")
    spreads = np.sqrt(np.diag(learned.covariance))
    for each, value, (low, high), spread in zip(
        learned.unknowns, learned.values, learned.ends, spreads, strict=True
    ):
        # Nothing is known for sure, nor less than was believed within the bounds.
        if not 0.0 < spread <= each.doubt + (each.high - each.low):
            raise ValueError(f"{each.path} has a spread of {spread:g}, which none can have")
        if not each.low <= low <= value <= high <= each.high:
            raise ValueError(f"{each.path} = {value:g} is outside its interval, or that too wide")
        for name, number in (("car", value), ("believed", each.guess)):
            own = getattr(learned, name)[each.path]
            if not math.isclose(own, number, rel_tol=1e-9):
                raise ValueError(f"{each.path} is {own:g} in its {name}, not {number:g}")
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
