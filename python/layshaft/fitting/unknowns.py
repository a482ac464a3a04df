"""What is to be learned of a car: numbers in groups, each with a guess and how sure that is."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass

import numpy as np

from layshaft import _core
from layshaft.fitting.measuring_sheet import measuring_sheet, spread_of
from layshaft.quantities import units
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked_list

#: Asked for when nothing else is.
USUAL_UNKNOWNS = (
    "two_speed.spring_rate",
    "two_speed.zero_preload_reading",
    "two_speed.friction",  # how long the shoes drag before the shift is heard
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """One number to learn, and with it those that follow it in proportion. SI units.

    Make it by `unknown`.
    """

    path: str
    guess: float
    doubt: float  #: one standard deviation of the guess
    low: float  #: bounds
    high: float
    followers: tuple[tuple[str, float], ...]  #: path and its ratio to this number

    def changes(self, value: float) -> dict[str, float]:
        """Return what changes in the car when the number has a value."""
        return {self.path: value} | {path: ratio * value for path, ratio in self.followers}

    def core(self) -> _core.Unknown:
        """Return it as the core takes it."""
        return _core.Unknown(**asdict(self) | {"followers": dict(self.followers)})


def point_at(wanted: Sequence[Unknown], shares: Sequence[float] | np.ndarray) -> dict[str, float]:
    """Return the changes of the car at shares of doubts away from the guesses, within bounds.

    Examples
    --------
    >>> import layshaft
    >>> reading = unknown(layshaft.demo_car(), "two_speed.zero_preload_reading", doubt="0.1 mm")
    >>> moved = point_at([reading], [2.0])["two_speed.zero_preload_reading"] - reading.guess
    >>> round(moved * 1e3, 9)
    0.2
    """
    return _core.point_at([each.core() for each in wanted], [float(share) for share in shares])


def unknown(
    car: Car,
    path: str,
    *,
    doubt: Given | None = None,
    low: Given | None = None,
    high: Given | None = None,
) -> Unknown:
    """Name a number to learn; the car's own is the guess.

    Parameters
    ----------
    car
        The car before learning.
    path
        Field, a plain number. Static friction follows friction, the front tyre's grip the rear's.
    doubt
        How far the guess may be out, one standard deviation: a share of it (`"20 %"`), a length and
        so on. By default that of a guess in `layshaft.measuring_sheet`.
    low, high
        Bounds; by default those of the field and of what follows it.

    Returns
    -------
    Unknown
        Guess, doubt and bounds in the SI unit of the field; for `layshaft.learn`.

    Raises
    ------
    ValueError
        For what is no number of the car, and where guess and bounds do not fit.

    Examples
    --------
    >>> import layshaft
    >>> spring = unknown(layshaft.demo_car(), "two_speed.spring_rate", doubt="10 %")
    >>> spring.doubt / spring.guess
    0.1
    """
    field = field_table.find_field(path) if isinstance(path, str) else None
    if field is None or field.kind != "number":
        what = field_table.unknown(str(path)) if field is None else "it must be a plain number"
        raise ValueError(f"path = {shown(path)} is nothing to learn or to scatter: {what}")
    guess = checked_car(car)._core.get(path)
    spread = _doubt(
        path, guess, field.unit, measuring_sheet()[field.path].guess if doubt is None else doubt
    )
    lowest, highest = _core.learnable_range(car._core, path)
    if low is not None:
        lowest = max(units.read(path, low, field.unit), lowest)
    if high is not None:
        highest = min(units.read(path, high, field.unit), highest)
    if not lowest < guess < highest:
        raise ValueError(f"{path}: the guess, {guess:g}, must lie between its bounds")
    return Unknown(
        path=path,
        guess=guess,
        doubt=spread,
        low=lowest,
        high=highest,
        followers=followers(car, path),
    )


def followers(car: Car, path: str) -> tuple[tuple[str, float], ...]:
    """Return the fields that go up and down with another, each with its ratio to it.

    Examples
    --------
    >>> import layshaft
    >>> [path for path, _ in followers(layshaft.demo_car(), "two_speed.friction")]
    ['two_speed.static_friction']
    """
    return tuple(_core.followers(car._core, path).items())


def unknowns(car: Car, wanted: Iterable[str | Unknown]) -> list[Unknown]:
    """Turn names into unknowns; refuse one named twice."""
    named = checked_list("unknown", wanted, "fields to learn")
    found = [each if isinstance(each, Unknown) else unknown(car, each) for each in named]
    paths = [each.path for each in found]
    if not paths or len(set(paths)) < len(paths):
        raise ValueError("unknown: name the numbers to learn, each once")
    return found


def _doubt(path: str, guess: float, unit: str, given: Given) -> float:
    spread = spread_of(path, guess, given)
    if not 0.0 < spread < math.inf:
        raise ValueError(f"{path}: its standard deviation, {shown(given)}, must be above 0")
    field = field_table.field_of(path)
    if spread > field.maximum - field.minimum:
        most = units.si_text(field.maximum - field.minimum, unit, "K" if unit == "K" else None)
        raise ValueError(
            f"{path}: its standard deviation, {shown(given)}, must be at most {most}, all of its"
            " range"
        )
    return spread
