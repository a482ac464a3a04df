"""Labelled arrays in the units of the workshop, for tables and pictures."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from layshaft.quantities import units

if TYPE_CHECKING:
    import xarray

_Values = TypeVar("_Values", float, np.ndarray)

KMH = 3.6  #: km/h in 1 m/s

#: Digits of what a run gives, by SI unit; else three that count.
_FORMS = {
    "s": "{:.3f}",
    "m/s": "{:.1f}",
    "K": "{:.1f}",
    "rad/s": "{:,.0f}",
    "m": "{:.1f}",
}
#: Units of what a run gives, where another is usual than for a part of the car.
_OF_RUNS = {"m": "m"}

_BOTH_SHOES = {
    "two_speed.gap": "Gap read on the caliper, both shoes",
    "two_speed.slug_mass": "Slug mass, both shoes",
}


def unit_of(values: "xarray.DataArray") -> str:
    """Return the workshop's unit of a labelled array; empty for a ratio or a count."""
    return _unit(values.attrs)


def _unit(labels: Mapping[str, Any]) -> str:
    return units.QUANTITIES[labels.get("units", "1")].unit


def printed(unit: str) -> str:
    """Return a unit as it is printed.

    Examples
    --------
    >>> printed("N*m")
    'N m'
    """
    return unit.replace("*", " ")


def convert(numbers: object, like: "xarray.DataArray") -> tuple[np.ndarray, str]:
    """Convert numbers that are in the SI unit of `like` to the workshop's unit, and name it."""
    unit = unit_of(like)
    plain = np.asarray(numbers, dtype=float)
    return (units.from_si(plain, like.attrs["units"], unit) if unit else plain), unit


def shown(values: "xarray.DataArray") -> tuple[np.ndarray, str]:
    """Convert a labelled array to the workshop's unit, and name the unit.

    Examples
    --------
    >>> import xarray
    >>> speed = xarray.DataArray([10.0], attrs={"units": "m/s"})
    >>> numbers, unit = shown(speed)
    >>> numbers.round(9).tolist(), unit
    ([36.0], 'km/h')
    """
    return convert(values.values, values)


def of_run(values: _Values, si_unit: str, *, is_difference: bool = False) -> tuple[_Values, str]:
    """Convert a number of a run, or an array, to the workshop's unit, and name the unit.

    Parameters
    ----------
    values
        In the SI unit.
    si_unit
        One of `units.QUANTITIES`.
    is_difference
        Of two such numbers: the zero of a temperature's scale does not count.

    Examples
    --------
    >>> of_run(15.0, "m/s"), of_run(60.0, "m")
    ((54.0, 'km/h'), (60.0, 'm'))
    >>> of_run(2.0, "K", is_difference=True)
    (2.0, 'K')
    """
    if is_difference and si_unit == "K":
        return values, "K"
    unit = _OF_RUNS.get(si_unit, units.QUANTITIES[si_unit].unit)
    return (units.from_si(values, si_unit, unit) if unit else values), printed(unit)


def run_text(value: float, si_unit: str, *, is_difference: bool = False) -> tuple[str, str]:
    """Write a number of a run to the digits that tell, and its unit.

    Examples
    --------
    >>> run_text(3.3021, "s"), run_text(423.15, "K"), run_text(0.00412, "kg")
    (('3.302', 's'), ('150.0', 'degC'), ('4.12', 'g'))
    >>> run_text(12345.0, "J")
    ('12,345', 'J')
    """
    number, unit = of_run(float(value), si_unit, is_difference=is_difference)
    text = _FORMS.get(si_unit, "{:.3g}").format(number)
    # `g` writes 12345 as 1.23e+04.
    return (f"{number:,.0f}" if "e+" in text else text), unit


def label(labels: Mapping[str, Any], path: str = "") -> str:
    """Return an axis label: what is measured, and its unit.

    Parameters
    ----------
    labels
        Attributes of a labelled array.
    path
        Field it belongs to; both shoes stand for a pair of them.
    """
    long_name = labels.get("long_name", "")
    meaning = _BOTH_SHOES.get(path) or (f"{long_name} ({path})" if path else long_name)
    unit = _unit(labels)
    return f"{meaning} [{printed(unit)}]" if unit else meaning
