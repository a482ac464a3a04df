"""Text with a unit to SI numbers and back, exactly.

The conversions are those of pint, on a short list of units of our own: here an angle has a
dimension, so that `rpm` and `Hz`, or an angle and a ratio, cannot be mixed up. They are carried out
with decimal numbers and rounded once: `"4.3 mm"` is the same number as `4.3e-3`.

pint is slow to import and is imported by the first text that has a unit.
"""

import decimal
import math
import re
from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from layshaft.quantities.known_units import EXACT, QUANTITIES, scale
from layshaft.quantities.refused import shown

if TYPE_CHECKING:
    import numpy as np


class WithUnit(Protocol):
    """A quantity with its unit, such as one of pint."""

    @property
    def magnitude(self) -> Any:
        """The number."""

    @property
    def units(self) -> Any:
        """The unit."""


#: A number in the SI unit, text with a unit, or a quantity of pint.
Given = float | str | WithUnit
_Values = TypeVar("_Values", float, "np.ndarray")
_MOST_DIGITS = 40
_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,4})?"
_WITH_COMMA = re.compile(r"([+-]?[0-9]+,[0-9]+)(?:\s*[^\s0-9,.].*)?", re.DOTALL)
_TEXT = re.compile(rf"({_NUMBER})\s*(\S.*)?", re.DOTALL)


def expectation(si_unit: str) -> str:
    """Say what a value in an SI unit may look like.

    Examples
    --------
    >>> expectation("m")
    'a length such as "4.5 mm", or a plain number in m'
    """
    quantity = QUANTITIES[si_unit]
    plain = "a plain number" if si_unit == "1" else f"a plain number in {si_unit}"
    return f'{quantity.noun} such as "{quantity.example}", or {plain}'


def to_si(text: str, si_unit: str) -> float:
    """Read a number with its unit.

    Parameters
    ----------
    text
        A number and a unit, `"4.3 mm"`, `"8.5 krpm"`, `"140 g cm^2"`; a ratio may have none.
    si_unit
        Unit of the result: one of `QUANTITIES`.

    Returns
    -------
    float
        The value in `si_unit`, rounded once.

    Raises
    ------
    ValueError
        If it is no number with a unit of that dimension; the message says what it must be.

    Examples
    --------
    >>> to_si("4.3 mm", "m")
    0.0043
    >>> to_si("25 degC", "K")
    298.15
    >>> to_si("4.3 g", "m")
    Traceback (most recent call last):
    ValueError: must be a length such as "4.5 mm", or a plain number in m ("g" is no unit of length)
    """
    try:
        comma = _WITH_COMMA.fullmatch(text.strip())
        if comma:
            raise ValueError(without_comma(comma[1]))
        found = _TEXT.fullmatch(text.strip())
        if not found:
            raise ValueError("it is not a number with a unit")
        number, unit = found.groups(default="")
        if not math.isfinite(float(number)):
            raise ValueError("it is too great")
        factor, offset = scale(unit, si_unit)
        return _apply(Decimal(number), factor, offset)
    except ValueError as error:
        raise ValueError(f"must be {expectation(si_unit)} ({error})") from None


def as_text(given: Any) -> Any:
    """Return a quantity of pint as text with a unit, the one value of an array as it is itself.

    Units are read as in any text: here 60 Hz is no speed of turning, pint takes it for 60 rad/s.

    Examples
    --------
    >>> import pint, numpy as np
    >>> as_text(pint.Quantity(4.3, "mm")), as_text(np.array(0.25)), as_text(3)
    ('4.3 mm', 0.25, 3)
    """
    if hasattr(given, "magnitude") and hasattr(given, "units"):
        number = as_text(given.magnitude)
        is_number = isinstance(number, int | float | Decimal)
        return f"{number} {given.units:~C}".replace("**", "^").strip() if is_number else given
    is_one = hasattr(given, "item") and getattr(given, "ndim", None) == 0
    return given.item() if is_one else given


def without_comma(number: str) -> str:
    """Say how a number with a comma is to be written.

    Examples
    --------
    >>> without_comma("4,6")
    'write 4.6 for 4,6: a number has a decimal point, no comma'
    >>> without_comma("30,000")
    'write 30000 or 30.000 for 30,000: a number has a decimal point, no comma'
    """
    ways = [number.replace(",", ".")]
    if re.search(",[0-9]{3}$", number):
        ways.insert(0, number.replace(",", ""))
    return f"write {' or '.join(ways)} for {number}: a number has a decimal point, no comma"


def read_loss(name: str, given: Any, si_unit: str) -> float:
    """Read a number that is at least 0; see `read`.

    Examples
    --------
    >>> read_loss("within", "-10 ms", "s")
    Traceback (most recent call last):
    ValueError: within = '-10 ms' must be at least 0
    """
    number = read(name, given, si_unit)
    if not number >= 0.0:
        raise ValueError(f"{name} = {shown(as_text(given))} must be at least 0")
    return number


def read(name: str, given: Any, si_unit: str) -> float:
    """Read a number as people hand it over: in the SI unit, or with a unit.

    Parameters
    ----------
    name
        What the number is, for the message.
    given
        A number, text with a unit, a quantity of pint, or an array that holds one number.
    si_unit
        Unit of the result: one of `QUANTITIES`.

    Raises
    ------
    ValueError
        Naming the number, what was given, and what it must be.

    Examples
    --------
    >>> read("distance", "25 m", "m"), read("distance", 25, "m")
    (25.0, 25.0)
    >>> read("distance", None, "m")
    Traceback (most recent call last):
    ValueError: distance = None must be a length such as "4.5 mm", or a plain number in m
    """
    given = as_text(given)
    if isinstance(given, bool):
        raise ValueError(f"{name} = {given} must be {expectation(si_unit)}")
    try:
        return to_si(given, si_unit) if isinstance(given, str) else float(given)
    except (ValueError, TypeError, OverflowError) as error:
        why = str(error) if isinstance(given, str) else f"must be {expectation(si_unit)}"
        raise ValueError(f"{name} = {shown(given)} {why}") from None


def read_list(name: str, given: object, si_unit: str) -> list[float]:
    """Read a list of such numbers, an array, a Series or an array with a unit.

    Examples
    --------
    >>> read_list("times", ["1 s", 2], "s")
    [1.0, 2.0]
    """
    if isinstance(as_text(given), str) or not isinstance(given, Iterable):
        raise ValueError(f"{name} = {shown(given)} must be a list")
    return [read(name, each, si_unit) for each in given]


def _apply(number: Decimal, factor: Decimal, offset: Decimal) -> float:
    with decimal.localcontext(EXACT):
        # Adding an offset of 0 would lose the sign of -0.
        return float(number * factor + offset if offset else number * factor)


def from_si(values: _Values, si_unit: str, unit: str) -> _Values:
    """Convert a number or an array from SI, for labels and tables; rounded as floats round.

    Parameters
    ----------
    values
        Number or array in `si_unit`.
    si_unit
        One of `QUANTITIES`.
    unit
        Unit of the result.

    Examples
    --------
    >>> round(from_si(1000.0, "rad/s", "rpm"), 3)
    9549.297
    """
    factor, offset = scale(unit, si_unit)
    return (values - float(offset)) / float(factor)


def _plain(number: Decimal) -> str:
    with decimal.localcontext(EXACT):
        number = number.normalize()
    if -7 <= number.adjusted() < 16:
        return f"{number:f}"
    return f"{number:e}".replace("e+", "e")


def si_text(value: float, si_unit: str, unit: str | None = None) -> str:
    """Write a value in a mechanic's unit, with the fewest digits that read back as the same number.

    Parameters
    ----------
    value
        Finite value in `si_unit`.
    si_unit
        One of `QUANTITIES`.
    unit
        Unit to write; `None` for the usual one of the quantity.

    Examples
    --------
    >>> si_text(0.0043, "m")
    '4.3 mm'
    >>> si_text(298.15, "K")
    '25 degC'
    """
    unit = QUANTITIES[si_unit].unit if unit is None else unit
    factor, offset = scale(unit, si_unit)
    with decimal.localcontext(EXACT):
        # Taking away an offset of 0 would lose the sign of -0.
        exact = (Decimal(value) - offset if offset else Decimal(value)) / factor
    for digits in range(1, _MOST_DIGITS):
        number = decimal.Context(prec=digits).create_decimal(exact)
        if _apply(number, factor, offset) == value:
            return f"{_plain(number)} {unit}".strip()
    # Next to the zero of a scale with an offset no digits are enough; the SI unit has no offset.
    return si_text(value, si_unit, si_unit)


def bound_text(value: float, si_unit: str, *, is_minimum: bool, unit: str | None = None) -> str:
    """Write a bound with six digits, rounded so that what it says is inside it.

    Examples
    --------
    >>> bound_text(0.18, "rad", is_minimum=True)
    '10.3133 deg'
    """
    unit = QUANTITIES[si_unit].unit if unit is None else unit
    factor, offset = scale(unit, si_unit)
    rounding = decimal.ROUND_CEILING if is_minimum else decimal.ROUND_FLOOR
    with decimal.localcontext(EXACT):
        # The bound stands for the short number it was written as.
        exact = (Decimal(repr(value)) - offset) / factor
    number = decimal.Context(prec=6, rounding=rounding).create_decimal(exact)
    return f"{_plain(number)} {unit}".strip()
