"""What a run can have shown at all, beside what any number of a run can be."""

import math

from layshaft.quantities.pit_units import KMH
from layshaft.quantities.possible import RANGES, Range
from layshaft.quantities.refused import shown
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.measures import check_value
from layshaft.runs.run_options import Drive

#: Far beyond what tyres hold [m/s^2], and far slower than a car that only creeps [m/s].
_MOST_ACCELERATION, _LEAST_MEAN_SPEED = 98.0665, 1.0 / KMH


#: What a car shows only once it moves.
_ABOVE_ZERO = (
    *(f"{moment}_speed" for moment in ("shift", "contact", "let_go", "lock", "low", "peak")),
    "engine_speed_before",
    "engine_speed_after",
)


def check_shown(measure: str, number: float, unit: str, given: object, options: Drive) -> float:
    """Return what a run was seen to do; refuse what no car can do in such a run.

    Beside the bounds of `check_value`: a time to the distance fits that distance, and nothing
    happens after the run's longest time or beyond its end.

    Parameters
    ----------
    measure
        `time` to the distance, a scalar of a run, or a measure of the options, which may be any.
    number, unit, given
        As for `check_value`.
    options
        Of the run.

    Raises
    ------
    ValueError
        As `check_value`.

    Examples
    --------
    >>> from layshaft.runs.run_options import read_options
    >>> check_shown("time", 3.1, "s", "3.1 s", read_options())
    3.1
    >>> check_shown("time", 0.2, "s", "0.2 s", read_options())
    Traceback (most recent call last):
    ValueError: time = '0.2 s' must be from 1.11 s to 20 s over 60 m, which no run leaves
    """
    check_value(measure, number, unit, given, options.measures)
    if measure in _ABOVE_ZERO and not number > 0.0:
        raise ValueError(
            f"{measure} = {shown(given)} must be above 0: at rest nothing is seen of it"
        )
    if measure in {each.name for each in options.measures}:
        return number
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
    raise ValueError(f"{measure} = {shown(given)} must be {bounds}")


def _times_over(options: Drive) -> Range:
    """Return the times [s] that the distance of a run can take."""
    distance, longest = options.distance, options.longest_time
    low = distance / RANGES["m/s"].high
    if isinstance(options, LapOptions):
        return Range(low, longest)
    begin = options.start_speed
    gained = math.sqrt(begin**2 + 2.0 * _MOST_ACCELERATION * distance) - begin
    high = longest if options.pedals else min(longest, distance / _LEAST_MEAN_SPEED)
    return Range(max(low, gained / _MOST_ACCELERATION), high)
