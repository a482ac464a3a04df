"""Gaps of the two-speed that are worth a try."""

from decimal import Decimal

from layshaft.quantities import units
from layshaft.setup import field_table
from layshaft.setup.car import Car

_TENTH = Decimal("0.1")
_REACH = Decimal("0.8")  # to either side of the present gap [mm]


def usual_gaps(car: Car) -> list[float]:
    """Return gaps in tenths of a millimetre around the present one, and this [m].

    Examples
    --------
    >>> len(usual_gaps(Car({"two_speed.gap": "4.5 mm"})))
    17
    """
    shoes = [car[path] for path in field_table.pairs()["two_speed.gap"]]
    present = shoes[:1] if len(set(shoes)) == 1 else []
    middle = Decimal(units.si_text(sum(shoes) / len(shoes), "m", "mm").split()[0])
    middle = middle.quantize(_TENTH)
    field = field_table.field_of("two_speed.gap")
    count = int(2 * _REACH / _TENTH) + 1
    marks = (middle - _REACH + step * _TENTH for step in range(count))
    gaps = {units.to_si(f"{mark} mm", "m") for mark in marks if mark > 0}
    return sorted(gap for gap in gaps.union(present) if field.minimum <= gap <= field.maximum)
