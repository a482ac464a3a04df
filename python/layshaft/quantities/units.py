"""Text with a unit to SI numbers and back, exactly.

The conversions are those of pint, on a short list of units of our own: here an angle has a
dimension, so that `rpm` and `Hz`, or an angle and a ratio, cannot be mixed up. They are carried out
with decimal numbers and rounded once: `"4.3 mm"` is the same number as `4.3e-3`.

pint is slow to import and is imported by the first text that has a unit.
"""

import decimal
import functools
import importlib
import math
import re
from collections.abc import Iterable
from decimal import Decimal
from types import ModuleType
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol, TypeVar

if TYPE_CHECKING:
    import numpy as np
    import pint


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


class Quantity(NamedTuple):
    """What an SI unit measures, and how a mechanic writes it."""

    noun: str  #: with its article
    example: str
    unit: str  #: unit of the set-up files that are written
    others: tuple[str, ...] = ()  #: further usual units


#: By SI unit as it stands in the field table, where `1` is a ratio.
QUANTITIES = {
    "1": Quantity("a ratio", "25 %", "", ("%",)),
    "m": Quantity("a length", "4.5 mm", "mm", ("cm", "m", "um", "in")),
    "m^2": Quantity("an area", "150 cm^2", "cm^2", ("cm2", "m^2", "m2", "mm^2", "mm2")),
    "m^3": Quantity("a volume", "3.5 cm^3", "cm^3", ("cm3", "cc", "ml", "l", "m^3", "mm^3")),
    "kg": Quantity("a mass", "6 g", "g", ("kg", "mg", "oz", "lb")),
    "kg/m": Quantity("a mass per length", "8 g/m", "g/m", ("kg/m", "mg/mm")),
    "kg/m^3": Quantity("a density", "0.96 g/cm^3", "g/cm^3", ("kg/m^3", "g/ml", "g/cm3")),
    "s": Quantity("a time", "0.15 s", "s", ("ms", "min", "h")),
    "m/s": Quantity("a speed", "40 km/h", "km/h", ("m/s", "mph", "kmh", "km/s")),
    "rad": Quantity("an angle", "20 deg", "deg", ("rad", "turn", "turns", "°")),
    "turn": Quantity("an angle", "2.5 turns", "turns", ("turn", "deg", "rad", "°")),
    "rad/s": Quantity("a speed of turning", "8500 rpm", "rpm", ("krpm", "rad/s", "deg/s")),
    "N": Quantity("a force", "28 N", "N", ("kN", "mN")),
    "N/m": Quantity("a spring rate", "45 N/mm", "N/mm", ("N/m", "N/cm", "kN/m")),
    "N*m": Quantity("a torque", "0.45 N*m", "N*m", ("Nm", "mNm", "mN*m", "N*cm", "Ncm", "N*mm")),
    "N*m*s": Quantity(
        "a torque per speed of turning", "20 uN*m*s", "uN*m*s", ("N*m*s", "mN*m/krpm")
    ),
    "kg*m^2": Quantity(
        "a moment of inertia", "140 g*cm^2", "g*cm^2", ("g cm^2", "kg*m^2", "kg m^2", "g*mm^2")
    ),
    "Pa": Quantity("a pressure", "1013 hPa", "hPa", ("Pa", "kPa", "mbar", "bar")),
    "K": Quantity("a temperature", "25 degC", "degC", ("°C", "K", "degF", "°F")),
    "J": Quantity("an energy", "100 J", "J", ("kJ", "mJ")),
    "W": Quantity("a power", "1.6 kW", "kW", ("W",)),
    "J/K": Quantity("a heat capacity", "8 J/K", "J/K", ("J/degC",)),
    "W/K": Quantity("a heat conductance", "0.3 W/K", "W/K", ("mW/K", "W/degC")),
    "J/kg": Quantity("a heating value", "17.5 MJ/kg", "MJ/kg", ("kJ/kg", "J/kg", "J/g")),
    "m*s^2": Quantity(
        "a growth of radius per square of speed", "0.4 nm*s^2", "nm*s^2", ("um/krpm^2",)
    ),
}

_DEFINITIONS = """
nano- = 1e-9 = n-
micro- = 1e-6 = µ- = μ- = u-
milli- = 1e-3 = m-
centi- = 1e-2 = c-
hecto- = 1e2 = h-
kilo- = 1e3 = k-
mega- = 1e6 = M-
pi = 3.14159265358979323846264338327950288419716939937510
percent = 0.01
metre = [length] = m = meter
inch = 0.0254 * metre = in
mile = 1609.344 * metre
litre = 0.001 * metre ** 3 = l = L = liter
cubic_centimetre = 1e-6 * metre ** 3 = cc = ccm
second = [time] = s
minute = 60 * second = min
hour = 60 * minute = h
gram = [mass] = g
ounce = 28.349523125 * gram = oz
pound = 453.59237 * gram = lb
radian = [angle] = rad
turn = 2 * pi * radian = _ = revolution = rev
degree = pi / 180 * radian = deg
revolution_per_minute = turn / minute = rpm = RPM
kilometre_per_hour = kilometre / hour = kmh = kph
mile_per_hour = mile / hour = mph
hertz = 1 / second = Hz
kelvin = [temperature] = K
degree_Celsius = kelvin; offset: 273.15 = degC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF
newton = kilogram * metre / second ** 2 = N
newton_metre = newton * metre = Nm
newton_centimetre = 0.01 * newton * metre = Ncm
joule = newton * metre = J
watt = joule / second = W
pascal = newton / metre ** 2 = Pa
bar = 1e5 * pascal
"""

#: Digits carried in between: far more than the 17 that tell two doubles apart.
_EXACT = decimal.Context(prec=50, rounding=decimal.ROUND_HALF_EVEN)
_MOST_DIGITS = 40
_LONGEST_UNIT = 40  # of a unit as written [characters]

_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,4})?"
_WITH_COMMA = re.compile(r"([+-]?[0-9]+,[0-9]+)(?:\s*[^\s0-9,.].*)?", re.DOTALL)
_FACTOR = r"[^\W\d_]+(?:\^-?[0-9])?"
_TEXT = re.compile(rf"({_NUMBER})\s*(\S.*)?", re.DOTALL)
_UNIT = re.compile(rf"{_FACTOR}(?:[*/]{_FACTOR})*")

# Other ways to write a unit, and the one that pint is given.
_SPELLINGS = (
    (re.compile("°(?=[CF])"), "deg"),
    (re.compile("°"), "deg"),
    (re.compile("%"), "percent"),
    (re.compile("[·⋅]"), "*"),
    (re.compile("²"), "^2"),
    (re.compile("³"), "^3"),
    (re.compile(r"(?<=[A-Za-z])(?=[23](?![0-9]))"), "^"),
    (re.compile(r"\s*([*/])\s*"), r"\1"),
    (re.compile(r"\s+"), "*"),
)


def _pint() -> ModuleType:
    try:
        return importlib.import_module("pint")
    except ModuleNotFoundError as error:
        plain = "text with a unit needs the package pint; a plain number in SI units does not"
        raise ModuleNotFoundError(plain, name=error.name) from None


@functools.cache
def _registry() -> "pint.UnitRegistry":
    registry = _pint().UnitRegistry(None, non_int_type=Decimal)
    registry.load_definitions(_DEFINITIONS.strip().splitlines())
    return registry


def _spelled(unit: str) -> str:
    for pattern, spelling in _SPELLINGS:
        unit = pattern.sub(spelling, unit)
    return unit


def _parsed(unit: str) -> "pint.Unit":
    spelled = _spelled(unit.strip())
    if spelled in ("", "1"):
        return _registry().dimensionless
    if len(unit) > _LONGEST_UNIT:
        raise ValueError("its unit is too long")
    if not _UNIT.fullmatch(spelled):
        raise ValueError(f'"{unit}" is not a unit')
    try:
        return _registry().parse_units(spelled)
    except _pint().UndefinedUnitError:
        raise ValueError(f'"{unit}" is not a known unit') from None


def _alike(given: "pint.Unit", wanted: "pint.Unit") -> bool:
    """Compare dimensions; an angle may be left out only where the wanted unit leaves it out too."""
    given_dimensions = dict(given.dimensionality)
    wanted_dimensions = dict(wanted.dimensionality)
    angle = given_dimensions.pop("[angle]", 0)
    wanted_angle = wanted_dimensions.pop("[angle]", 0)
    implied = wanted_angle == 0 and bool(wanted_dimensions)
    return given_dimensions == wanted_dimensions and (angle == wanted_angle or implied)


@functools.lru_cache(maxsize=1024)
def _scale(unit: str, si_unit: str) -> tuple[Decimal, Decimal]:
    """Find factor and offset: SI value = number * factor + offset."""
    with decimal.localcontext(_EXACT):
        given, wanted = _parsed(unit), _parsed(si_unit)
        if not _alike(given, wanted):
            _, kind = QUANTITIES[si_unit].noun.split(" ", maxsplit=1)
            raise ValueError(f'"{unit}" is no unit of {kind}' if unit else "it has no unit")
        one, none = (_registry().Quantity(Decimal(n), given).to_root_units() for n in (1, 0))
        size = _registry().Quantity(Decimal(1), wanted).to_root_units().magnitude
        offset = none.magnitude / size
        return one.magnitude / size - offset, offset


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
        factor, offset = _scale(unit, si_unit)
        return _apply(Decimal(number), factor, offset)
    except ValueError as error:
        raise ValueError(f"must be {expectation(si_unit)} ({error})") from None


def is_unit(text: str) -> bool:
    """Tell whether a text is a known unit.

    Examples
    --------
    >>> is_unit("rpm"), is_unit("speed")
    (True, False)
    """
    try:
        return _parsed(text) is not None
    except ValueError:
        return False


def as_text(given: Any) -> object:
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
    try:
        return to_si(given, si_unit) if isinstance(given, str) else float(given)
    except (ValueError, TypeError, OverflowError) as error:
        why = str(error) if isinstance(given, str) else f"must be {expectation(si_unit)}"
        raise ValueError(f"{name} = {given!r} {why}") from None


def read_list(name: str, given: object, si_unit: str) -> list[float]:
    """Read a list of such numbers, an array, a Series or an array with a unit.

    Examples
    --------
    >>> read_list("times", ["1 s", 2], "s")
    [1.0, 2.0]
    """
    if isinstance(as_text(given), str) or not isinstance(given, Iterable):
        raise ValueError(f"{name} = {given!r} must be a list")
    return [read(name, each, si_unit) for each in given]


def _apply(number: Decimal, factor: Decimal, offset: Decimal) -> float:
    with decimal.localcontext(_EXACT):
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
    factor, offset = _scale(unit, si_unit)
    return (values - float(offset)) / float(factor)


def column_unit(si_unit: str) -> str:
    """Write a unit as it stands in the name of a column; nothing for a ratio.

    Examples
    --------
    >>> column_unit("rad/s"), column_unit("N*m"), column_unit("1")
    ('rad_per_s', 'N_m', '')
    """
    return "" if si_unit == "1" else si_unit.replace("/", "_per_").replace("*", "_")


def unit_of_column(text: str) -> str:
    """Read a unit as it stands in the name of a column.

    Examples
    --------
    >>> unit_of_column("km_per_h")
    'km/h'
    """
    return text.replace("_per_", "/").replace("_", "*")


def _plain(number: Decimal) -> str:
    with decimal.localcontext(_EXACT):
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
    factor, offset = _scale(unit, si_unit)
    with decimal.localcontext(_EXACT):
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
    factor, offset = _scale(unit, si_unit)
    rounding = decimal.ROUND_CEILING if is_minimum else decimal.ROUND_FLOOR
    with decimal.localcontext(_EXACT):
        # The bound stands for the short number it was written as.
        exact = (Decimal(repr(value)) - offset) / factor
    number = decimal.Context(prec=6, rounding=rounding).create_decimal(exact)
    return f"{_plain(number)} {unit}".strip()
