"""Labelled arrays in the units of the workshop, for tables and pictures."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft import units

if TYPE_CHECKING:
    import xarray

_BOTH_SHOES = {
    "two_speed.gap": "Gap read on the caliper, both shoes",
    "two_speed.slug_mass": "Slug mass, both shoes",
}


def unit_of(values: "xarray.DataArray") -> str:
    """Return the workshop's unit of a labelled array; empty for a ratio or a count."""
    si_unit = values.attrs.get("units", "1")
    return units.QUANTITIES[si_unit].unit


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


def label(values: "xarray.DataArray", path: str = "") -> str:
    """Return an axis label: what is measured, and its unit.

    Parameters
    ----------
    values
        A labelled array.
    path
        Field it belongs to; both shoes stand for a pair of them.
    """
    long_name = values.attrs.get("long_name", "")
    meaning = _BOTH_SHOES.get(path) or (f"{long_name} ({path})" if path else long_name)
    unit = unit_of(values)
    return f"{meaning} [{printed(unit)}]" if unit else meaning
