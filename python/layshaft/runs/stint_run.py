"""A stint: lap after lap to the end of a race, with fuel, stops, worn tyres, and the screws."""

from typing import Unpack

from layshaft import _core
from layshaft.quantities import units
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.runs.lap_options import AnyTrack, LapKeywords, read_lap_options
from layshaft.runs.measures import refuse_measures
from layshaft.runs.race import Race
from layshaft.runs.stint_result import Stint, TyreWear
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked, one_of


def stint(
    car: Car,
    track: AnyTrack,
    *,
    duration: Given = "30 min",
    wear: TyreWear | None = None,
    reserve: Given = "5 %",
    stop_time: Given = "6 s",
    turning_time: Given = "10 s",
    **options: Unpack[LapKeywords],
) -> Stint:
    """Drive a race: laps on a tank, stops, what tyres and heat do to the shift, and the screws.

    Every lap is the settled flying lap of the car as it is then, with its fuel burnt and its tyres
    worn; each computed lap stands for two. The clock starts on the line at full speed.

    Parameters
    ----------
    car
        The car at the start, with a full tank.
    track
        As for `layshaft.lap`.
    duration
        Of the race [s]; the lap begun when it is over counts.
    wear
        Law of the tyres' wear, an assumption; `TyreWear()` by default.
    reserve
        Share of the tank left when the car comes in [-], 0 to 0.5.
    stop_time
        Lost by a stop for fuel [s].
    turning_time
        Lost more by turning both screws [s].
    options
        As for `layshaft.lap`.

    Returns
    -------
    Stint
        A table over the laps, the stops with the turns of the screws there, fuel [m^3] and times
        [s].

    Raises
    ------
    ValueError
        For a number out of bounds, a tank that does not last a lap, or a lap that fails.

    Examples
    --------
    >>> import layshaft
    >>> race = stint(layshaft.demo_car(), "club", duration="3 min")
    >>> race.stops, bool(race.laps.rear_radius[-1] < race.laps.rear_radius[0])
    ((), True)
    """
    refuse_measures("a stint", options)
    race = Race(
        checked_car(car),
        read_lap_options(track, **{"sample_spacing": 0.0} | options),
        TyreWear() if wear is None else checked("wear", wear, TyreWear, "layshaft.TyreWear"),
        duration=_number("duration", duration, "s", 1.0, 86400.0),
        reserve=_number("reserve", reserve, "1", 0.0, 0.5),
        stop_time=_number("stop_time", stop_time, "s", 0.0, 3600.0),
        turning_time=_number("turning_time", turning_time, "s", 0.0, 3600.0),
    )
    return race.driven()


def friction_left(car: Car, section: str, temperature: Given) -> float:
    """Return hot over cold friction [-] of `clutch.heat` or `two_speed_heat` at a temperature [K].

    Returns
    -------
    float
        Share of the cold friction [-].

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.demo_car()
    >>> friction_left(car, "two_speed_heat", 300.0)
    1.0
    >>> half = car["two_speed_heat.half_friction_temperature"]
    >>> round(friction_left(car, "two_speed_heat", half), 9)
    0.5
    """
    checked_car(car)
    one_of("section", section, ("clutch.heat", "two_speed_heat"))
    return _core.friction_left(car._core, section, units.read("temperature", temperature, "K"))


def _number(name: str, value: Given, unit: str, low: float, high: float) -> float:
    number = units.read(name, value, unit)
    if not low <= number <= high:
        raise ValueError(
            f"{name} = {shown(value)} must be from {low:g} to {high:g} {unit}".rstrip(" 1")
        )
    return number
