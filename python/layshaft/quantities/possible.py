"""What a number of a run can be at all: a value beyond was mistyped, or is in another unit.

The bounds are far beyond what a car of this scale does, and those that the core takes where it has
one: speed and distance of a run, speed of the engine's torque curve.
"""

import math
from typing import TYPE_CHECKING, NamedTuple

from layshaft import _core
from layshaft.quantities import units

if TYPE_CHECKING:
    from layshaft.runs.run_options import RunOptions


class Range(NamedTuple):
    """Least and greatest possible value in the SI unit."""

    low: float
    high: float


#: By SI unit.
RANGES = {
    "1": Range(-1e6, 1e6),
    "m": Range(0.0, 1e5),
    "m/s": Range(0.0, 100.0),
    "s": Range(0.0, 1e4),
    "rad/s": Range(0.0, _core.torque_curve_field().x_maximum),
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
    if low <= number <= high:
        return number
    if not math.isfinite(number):
        raise ValueError(f"{name} = {given!r} must be a finite number")
    written = "m" if unit == "m" else None  # no way of a car is told in millimetres
    ends = (units.bound_text(end, unit, is_minimum=end == low, unit=written) for end in (low, high))
    hint = "" if isinstance(given, str) or unit == "1" else f"; a plain number is in {unit}"
    bounds = f"from {' to '.join(ends)}, which no run leaves"
    raise ValueError(f"{name} = {given!r} must be {bounds}{hint}")


#: Far beyond what tyres hold [m/s^2], and far slower than a car that only creeps [m/s].
_MOST_ACCELERATION, _LEAST_MEAN_SPEED = 98.0665, 1.0 / 3.6


def check_shown(
    measure: str, number: float, unit: str, given: object, options: "RunOptions"
) -> float:
    """Return what a run was seen to do; refuse what no car can do in such a run.

    Beside the bounds of `check_possible`: a time to the distance fits that distance, and nothing
    happens after the run's longest time or beyond its end.

    Parameters
    ----------
    measure
        `time` to the distance, or a scalar of a run.
    number, unit, given
        As for `check_possible`.
    options
        Of the run.

    Raises
    ------
    ValueError
        As `check_possible`.

    Examples
    --------
    >>> from layshaft.runs.run_options import RunOptions
    >>> check_shown("time", 3.1, "s", "3.1 s", RunOptions())
    3.1
    >>> check_shown("time", 0.2, "s", "0.2 s", RunOptions())
    Traceback (most recent call last):
    ValueError: time = '0.2 s' must be from 1.11 s to 20 s over 60 m, which no run leaves
    """
    check_possible(measure, number, unit, given)
    distance = f"{options.distance:g} m"
    if measure in ("time", "lap_time"):
        low, high = _times_over(options)
        where = f" over {distance}"
    elif unit == "s":
        low, high, where = 0.0, options.longest_time, f" in a run of {options.longest_time:g} s"
    elif unit == "m":
        low, high, where = 0.0, options.distance, f" in a run of {distance}"
    else:
        return number
    if low <= number <= high:
        return number
    bounds = f"from {low:.3g} {unit} to {high:.4g} {unit}{where}, which no run leaves"
    raise ValueError(f"{measure} = {given!r} must be {bounds}")


def _times_over(options: "RunOptions") -> Range:
    """Return the times [s] that the distance of a run can take."""
    distance, longest = options.distance, options.longest_time
    low = distance / RANGES["m/s"].high
    if hasattr(options, "track"):
        return Range(low, longest)
    begin = options.start_speed
    gained = math.sqrt(begin**2 + 2.0 * _MOST_ACCELERATION * distance) - begin
    high = longest if options.pedals else min(longest, distance / _LEAST_MEAN_SPEED)
    return Range(max(low, gained / _MOST_ACCELERATION), high)


def check_error(name: str, spread: float, given: object) -> float:
    """Return how far a number of a run may be out: any number above 0.

    Examples
    --------
    >>> check_error("shift_speed", 0.5, "1.8 km/h")
    0.5
    """
    if 0.0 < spread < math.inf:
        return spread
    raise ValueError(f"error of {name} = {given!r} must be a finite number above 0")
