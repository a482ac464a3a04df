"""What meshes: every pair of gear pairs from the parts at hand that fits one centre distance."""

import itertools
from collections.abc import Iterator
from typing import NamedTuple

from layshaft import _core
from layshaft.setup.car import Car
from layshaft.setup.parts_box import Parts

_GEARS = ("first", "second")
_TEETH = tuple(f"{gear}.{part}" for gear in _GEARS for part in ("spur", "pinion"))


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
        return (self.first.spur / self.first.pinion) / (self.second.spur / self.second.pinion)

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
    """
    pairs = {gear: list(_pairs(car, parts, gear)) for gear in _GEARS}
    for first, second in itertools.product(pairs["first"], pairs["second"]):
        if not first.spur / first.pinion > second.spur / second.pinion:
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


def _pairs(car: Car, parts: Parts, gear: str) -> Iterator[_core.GearPair]:
    spurs = getattr(parts, f"{gear}_spurs") or (car[f"{gear}.spur"],)
    pinions = getattr(parts, f"{gear}_pinions") or (car[f"{gear}.pinion"],)
    shape = {
        name: car[f"{gear}.{name}"] for name in ("module", "pressure_angle", "addendum", "friction")
    }
    for spur, pinion in itertools.product(spurs, pinions):
        yield _core.GearPair(spur=spur, pinion=pinion, **shape)
