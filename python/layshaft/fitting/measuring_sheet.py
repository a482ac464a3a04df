"""The measuring sheet: how each setting is got in a workshop, and how far a number may be out."""

import functools
import tomllib
from dataclasses import dataclass
from fnmatch import fnmatchcase
from importlib import resources
from typing import Any, Literal

from layshaft.quantities import units
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.setup import field_table
from layshaft.setup.field_table import CURVE


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """How one setting is got. Errors are standard deviations, written as in a set-up file.

    With `%` an error is a share of the number. A choice has no errors: both are empty.
    """

    path: str
    instrument: str
    instrument_use: str  #: what to do with it, whatever is measured
    how: str  #: what to do for this setting
    well: Literal["good", "poor", "guess"]  #: as the advice needs it; better than a guess; no way
    error: str  #: of a number got so; `"0"` where one counts
    guess: str  #: of a number taken from another car


@functools.cache
def measuring_sheet() -> dict[str, Way]:
    """Return how each setting of a car is measured.

    Returns
    -------
    dict
        By the path of the field, in the order of the set-up file: the `Way` to get it.

    Examples
    --------
    >>> way = measuring_sheet()["two_speed.spring_rate"]
    >>> way.instrument, way.well, way.error, way.guess
    ('hook scale', 'good', '5 %', '20 %')
    """
    file = resources.files("layshaft").joinpath("data", "measuring-sheet.toml")
    content = tomllib.loads(file.read_text(encoding="utf-8"))
    return {path: _way(content, path) for path in (CURVE, *field_table.positions())}


def rows_of(content: dict[str, Any], path: str) -> list[str]:
    """Return the names of the rows that hold a setting: one, in a sound sheet.

    Examples
    --------
    >>> rows_of({"setting": {"*.module *.spur": {}, "second.*": {}}}, "first.spur")
    ['*.module *.spur']
    """
    rows: dict[str, Any] = content["setting"]
    return [row for row in rows if any(fnmatchcase(path, name) for name in row.split())]


def spread_of(path: str, value: float, given: Given) -> float:
    """Turn a spread as people write it into one in the SI unit of the field.

    Parameters
    ----------
    path
        Of the field.
    value
        The field's number, of which a spread in `%` is a share.
    given
        The spread: a number in the SI unit, text with a unit, or a share.

    Examples
    --------
    >>> spread_of("two_speed.spring_rate", 100e3, "20 %")
    20000.0
    >>> spread_of("air.temperature", 300.0, "5 K")
    5.0
    """
    unit = field_table.field_of(path).unit
    is_share = isinstance(given, str) and given.strip().endswith("%")
    if is_share:
        return abs(value) * units.to_si(str(given), "1")
    if isinstance(given, str) and unit == "K" and not given.strip().endswith("K"):
        # A scale whose zero is elsewhere has no differences: 5 degC would be 278 K.
        raise ValueError(
            f'{path}: its standard deviation, {shown(given)}, must be a difference such as "5 K"'
        )
    return units.read(path, given, unit)


def _way(content: dict[str, Any], path: str) -> Way:
    row = content["setting"][rows_of(content, path)[0]]
    return Way(
        path=path,
        instrument=row["with"],
        instrument_use=content["way"][row["with"]],
        how=row["how"],
        well=row["well"],
        error=row.get("error", ""),
        guess=row.get("guess", ""),
    )
