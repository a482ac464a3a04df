"""What meshes: every pair of gear pairs from the parts at hand that fits one centre distance."""

import itertools
import math
from collections.abc import Iterator
from typing import NamedTuple

from layshaft import _core
from layshaft.setup.car import Car
from layshaft.setup.parts_at_hand import Parts

_GEARS = ("first", "second")
_TEETH = tuple(f"{gear}.{part}" for gear in _GEARS for part in ("spur", "pinion"))
#: Far beyond any box of gears; looking through more takes minutes.
_MOST_COMBINATIONS = 1_000_000


class GearSet(NamedTuple):
    """Two pairs of gears that run on one centre distance."""

    first: _core.GearPair
    second: _core.GearPair
    centres: _core.CentreRange

    @property
    def middle(self) -> float:
        """Centre distance in the middle of its range [m]."""
        return 0.5 * (self.centres.lowest + self.centres.highest)

    @property
    def step(self) -> float:
        """First ratio over second ratio [-]."""
        return self.first.ratio / self.second.ratio

    @property
    def teeth(self) -> dict[str, float]:
        """The set as changes of the car."""
        first, second = self.first, self.second
        numbers = (first.spur, first.pinion, second.spur, second.pinion)
        return dict(zip(_TEETH, numbers, strict=True))


def gear_sets(car: Car, parts: Parts) -> Iterator[GearSet]:
    """Go through all sets of gears that mesh, the shorter first gear first.

    Teeth not named in the parts are those of the car, as are module and tooth shape. First gear is
    the shorter one; equal or crossed ratios are left out.

    Raises
    ------
    ValueError
        For more gears than can be looked through.
    """
    _check_count(car, parts)
    pairs = {gear: list(_pairs(car, parts, gear)) for gear in _GEARS}
    for first, second in itertools.product(pairs["first"], pairs["second"]):
        if not first.ratio > second.ratio:
            continue
        centres = _core.shared_centres(first, second, parts.least_backlash, parts.most_backlash)
        if not centres.is_empty:
            yield GearSet(first, second, centres)


def present_teeth(car: Car) -> tuple[int, ...]:
    """Return the teeth in the car: first spur and pinion, second spur and pinion."""
    return tuple(car[path] for path in _TEETH)


def meshing_sets(car: Car, parts: Parts) -> list[dict[str, float]]:
    """Return the gears of each set that meshes as changes of the car; empty if none are at hand.

    Raises
    ------
    ValueError
        If there are gears at hand and none of them mesh.
    """
    if not any((parts.first_pinions, parts.first_spurs, parts.second_pinions, parts.second_spurs)):
        return []
    sets = [each.teeth for each in gear_sets(car, parts)]
    if not sets:
        raise ValueError("no two pairs of these gears fit one centre distance with that backlash")
    return sets


def rollout(car: Car, ratio: float) -> float:
    """Return the way of the car per engine turn [m] at a gear ratio, on tyres that do not grow."""
    rear = _core.rear_axle(car._core)
    return 2.0 * math.pi * rear.radius / (ratio * rear.ratio)


def _check_count(car: Car, parts: Parts) -> None:
    counts = {
        f"{gear}.{wheels}": len(getattr(parts, f"{gear}_{wheels}")) or 1
        for gear in _GEARS
        for wheels in ("pinions", "spurs")
    }
    count = math.prod(counts.values())
    if count > _MOST_COMBINATIONS:
        named = ", ".join(f"{number} {name}" for name, number in counts.items() if number > 1)
        raise ValueError(
            f"these gears ({named}) make {count} combinations, which must be at most"
            f" {_MOST_COMBINATIONS}: name fewer of them"
        )


def _pairs(car: Car, parts: Parts, gear: str) -> Iterator[_core.GearPair]:
    spurs = getattr(parts, f"{gear}_spurs") or (car[f"{gear}.spur"],)
    pinions = getattr(parts, f"{gear}_pinions") or (car[f"{gear}.pinion"],)
    shape = {
        name: car[f"{gear}.{name}"] for name in ("module", "pressure_angle", "addendum", "friction")
    }
    for spur, pinion in itertools.product(spurs, pinions):
        yield _core.GearPair(spur=spur, pinion=pinion, **shape)
