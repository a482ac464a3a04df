"""What a number of a run can be at all: a value beyond was mistyped, or is in another unit.

The bounds are far beyond what a car of this scale does, and those that the core takes where it has
one: speed and distance of a run, speed of the engine's torque curve.
"""

import math
from typing import NamedTuple

from layshaft import _core
from layshaft.quantities import units
from layshaft.quantities.refused import shown


class Range(NamedTuple):
    """Least and greatest possible value in the SI unit."""

    low: float
    high: float


#: Of errors, in any SI unit: squares of what is measured in them stay numbers.
_ERRORS = Range(1e-9, 1e9)
#: By SI unit.
RANGES = {
    "1": Range(-1e6, 1e6),
    "m": Range(0.0, 1e5),
    "m/s": Range(0.0, 100.0),
    "s": Range(0.0, 1e4),
    "rad/s": Range(0.0, _core.torque_curve_field().x_maximum),
    "rad": Range(-2.0 * math.pi, 2.0 * math.pi),
    "K": Range(200.0, 1500.0),
    "J": Range(-1e6, 1e6),
    "kg": Range(0.0, 10.0),
}


def check_possible(name: str, number: float, unit: str, given: object) -> float:
    """Return a number of a run; refuse what no car can do.

    Parameters
    ----------
    name
        What the number is.
    number
        It, in the SI unit.
    unit
        The SI unit.
    given
        The number as it was written, for the message.

    Raises
    ------
    ValueError
        If it is out of the range of its unit, or no number.

    Examples
    --------
    >>> check_possible("shift_speed", 15.0, "m/s", "54 km/h")
    15.0
    >>> check_possible("shift_speed", 2500.0, "m/s", "9000 km/h")
    Traceback (most recent call last):
    ValueError: shift_speed = '9000 km/h' must be from 0 km/h to 360 km/h, which no run leaves
    """
    low, high = RANGES[unit]
    if low <= check_finite(name, number, given) <= high:
        return number
    written = "m" if unit == "m" else None  # no way of a car is told in millimetres
    ends = (units.bound_text(end, unit, is_minimum=end == low, unit=written) for end in (low, high))
    hint = "" if isinstance(given, str) or unit == "1" else f"; a plain number is in {unit}"
    bounds = f"from {' to '.join(ends)}, which no run leaves"
    raise ValueError(f"{name} = {shown(given)} must be {bounds}{hint}")


def check_finite(name: str, number: float, given: object) -> float:
    """Return a number of which no more is known than that it is one.

    Examples
    --------
    >>> check_finite("slip", 0.2, "20 %")
    0.2
    """
    if math.isfinite(number):
        return number
    raise ValueError(f"{name} = {shown(given)} must be a finite number")


def check_error(name: str, spread: float, given: object) -> float:
    """Return how far a number of a run may be out: more than nothing, less than one can be.

    Examples
    --------
    >>> check_error("shift_speed", 0.5, "1.8 km/h")
    0.5
    """
    low, high = _ERRORS
    if low <= spread <= high:
        return spread
    bounds = f"above 0, from {low:g} to {high:g} in SI units"
    raise ValueError(f"error of {name} = {shown(given)} must be a finite number {bounds}")
