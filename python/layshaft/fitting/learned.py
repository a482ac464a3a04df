"""What was learned of a car, how sure it is, and what the data could not tell."""

import json
import os
from dataclasses import asdict, dataclass
from typing import Literal, NamedTuple

import numpy as np

from layshaft.fitting.ambiguities import ambiguities
from layshaft.fitting.observation_json import plain_observation
from layshaft.fitting.observations import Observation
from layshaft.fitting.unknowns import Unknown
from layshaft.setup.car import Car
from layshaft.setup.handed_over import checked
from layshaft.storage.atomic import atomic_write
from layshaft.storage.checksum import checksum_of

#: Of the file.
KIND = "layshaft learned car"
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
            "kind": KIND,
            "car": self.car.to_toml(),
            "believed": self.believed.to_toml(),
            "unknowns": [asdict(each) for each in self.unknowns],
            "values": self.values,
            "end": self.end,
            "numbers": [plain_observation(each) for each in self.numbers],
            **{name: getattr(self, name).tolist() for name in arrays},
        }
        content |= {"checksum": checksum_of(content)}
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
