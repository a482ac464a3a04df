"""What a pendulum and a spin-down tell: inertias and drags from lengths, weights and times."""

import math

from layshaft import _core
from layshaft.quantities import units
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given

#: Of a part of such a car and of what it may hang on; a value beyond was mistyped.
_MASS, _LENGTH, _TIME = (1e-4, 20.0), (1e-3, 10.0), (0.01, 1000.0)
_INERTIA, _SPEED = (1e-9, 10.0), (0.1, 1e4)


def pendulum_inertia(*, mass: Given, distance: Given, length: Given, period: Given) -> float:
    """Return the moment of inertia of what swings level about its middle on two equal threads.

        inertia = mass g (distance / 2)^2 period^2 / (4 pi^2 length)

    Parameters
    ----------
    mass
        Of the part, 0.1 g to 20 kg.
    distance
        Between the two threads, which hang upright to either side of the centre of mass, 1 mm to
        10 m.
    length
        Of each thread, 1 mm to 10 m.
    period
        Of one swing there and back, 0.01 s to 1000 s: the time of 20 over 20. Swings of 15 degrees
        to either side make it 0.4 % longer, and the inertia 0.9 % larger.

    Returns
    -------
    float
        About the upright axis through the centre of mass [kg m^2].

    Raises
    ------
    ValueError
        For a number beyond its bounds, or a wrong unit.

    Notes
    -----
    The pendulum of two threads for small swings, from the height gained, r^2 a^2 / (2 L) for a turn
    by a; as in Jardin & Mueller, Journal of Aircraft 46 (2009) 763 (from memory).

    Examples
    --------
    A spur of 18 g on threads of 300 mm, 40 mm apart, takes 0.43 s for a swing:

    >>> inertia = pendulum_inertia(mass="18 g", distance="40 mm", length="0.3 m", period="0.43 s")
    >>> f"{inertia * 1e7:.0f} g cm^2"
    '11 g cm^2'
    """
    weight = _core.standard_gravity * _read("mass", mass, "kg", _MASS)
    radius = 0.5 * _read("distance", distance, "m", _LENGTH)
    way = _read("length", length, "m", _LENGTH)
    time = _read("period", period, "s", _TIME)
    return weight * (radius * time / (2.0 * math.pi)) ** 2 / way


def spin_down_torque(*, inertia: Given, from_speed: Given, to_speed: Given, time: Given) -> float:
    """Return the drag of what runs down evenly, as on bearings.

        torque = inertia (from_speed - to_speed) / time

    Parameters
    ----------
    inertia
        Of all that runs down together, 0.01 g cm^2 to 10 kg m^2.
    from_speed, to_speed
        At the beginning and the end, 0.1 rad/s to 10 000 rad/s; the latter is the lower.
    time
        Between them, 0.01 s to 1000 s.

    Returns
    -------
    float
        The torque that slows it down [N m].

    Raises
    ------
    ValueError
        For a number beyond its bounds, a wrong unit, or an end that is not the slower one.

    Notes
    -----
    The law of angular momentum with a constant torque.

    Examples
    --------
    >>> drag = spin_down_torque(
    ...     inertia="60 g cm^2", from_speed="3000 rpm", to_speed="1000 rpm", time="1.4 s"
    ... )
    >>> f"{drag * 1e3:.2f} mN m"
    '0.90 mN m'
    """
    begin, end = _speeds(from_speed, to_speed)
    return (
        _read("inertia", inertia, "kg*m^2", _INERTIA)
        * (begin - end)
        / _read("time", time, "s", _TIME)
    )


def spin_down_slope(*, inertia: Given, from_speed: Given, to_speed: Given, time: Given) -> float:
    """Return the drag for each unit of speed of what runs down ever more slowly, as an engine does.

        slope = inertia ln(from_speed / to_speed) / time

    Parameters
    ----------
    inertia, from_speed, to_speed, time
        As for `spin_down_torque`; of an engine speeds above its idle.

    Returns
    -------
    float
        Torque over speed [N m s].

    Raises
    ------
    ValueError
        As `spin_down_torque`.

    Notes
    -----
    The law of angular momentum with a torque in proportion to the speed. To 37 % of the speed it is
    the inertia over the time.

    Examples
    --------
    >>> slope = spin_down_slope(
    ...     inertia="140 g cm^2", from_speed="10 krpm", to_speed="3.68 krpm", time="0.5 s"
    ... )
    >>> f"{slope * 1e6:.1f} uN m s"
    '28.0 uN m s'
    """
    begin, end = _speeds(from_speed, to_speed)
    return (
        _read("inertia", inertia, "kg*m^2", _INERTIA)
        * math.log(begin / end)
        / _read("time", time, "s", _TIME)
    )


def _speeds(from_speed: Given, to_speed: Given) -> tuple[float, float]:
    begin, end = (
        _read(name, given, "rad/s", _SPEED)
        for name, given in (("from_speed", from_speed), ("to_speed", to_speed))
    )
    if not end < begin:
        raise ValueError(f"to_speed = {shown(to_speed)} must be below from_speed")
    return begin, end


def _read(name: str, given: Given, unit: str, bounds: tuple[float, float]) -> float:
    number = units.read(name, given, unit)
    low, high = bounds
    if not low <= number <= high:
        ends = " to ".join(units.si_text(end, unit) for end in bounds)
        raise ValueError(f"{name} = {shown(given)} must be from {ends}")
    return number
