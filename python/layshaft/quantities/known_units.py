"""The units that are known, by the SI unit that each belongs to, as pint is told of them.

The scales of the usual ones are kept in `usual_units`, so that pint is imported for others only.
"""

import decimal
import functools
import importlib
import re
from decimal import Decimal
from types import ModuleType
from typing import TYPE_CHECKING, NamedTuple

from layshaft.quantities.usual_units import USUAL

if TYPE_CHECKING:
    import pint


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
EXACT = decimal.Context(prec=50, rounding=decimal.ROUND_HALF_EVEN)
_LONGEST_UNIT = 40  # of a unit as written [characters]
_FACTOR = r"[^\W\d_]+(?:\^-?[0-9])?"
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
def scale(unit: str, si_unit: str) -> tuple[Decimal, Decimal]:
    """Find factor and offset: SI value = number * factor + offset."""
    usual = USUAL.get(si_unit, {}).get(unit.strip())
    if usual is not None:
        return Decimal(usual[0]), Decimal(usual[1])
    return scale_by_pint(unit, si_unit)


def scale_by_pint(unit: str, si_unit: str) -> tuple[Decimal, Decimal]:
    """Find factor and offset as `scale` does, of any unit."""
    with decimal.localcontext(EXACT):
        given, wanted = _parsed(unit), _parsed(si_unit)
        if not _alike(given, wanted):
            _, kind = QUANTITIES[si_unit].noun.split(" ", maxsplit=1)
            raise ValueError(f'"{unit}" is no unit of {kind}' if unit else "it has no unit")
        one, none = (_registry().Quantity(Decimal(n), given).to_root_units() for n in (1, 0))
        size = _registry().Quantity(Decimal(1), wanted).to_root_units().magnitude
        offset = none.magnitude / size
        return one.magnitude / size - offset, offset


def is_unit(text: str) -> bool:
    """Tell whether a text is a known unit.

    Examples
    --------
    >>> is_unit("rpm"), is_unit("speed")
    (True, False)
    """
    if any(text in units for units in USUAL.values()):
        return True
    try:
        return _parsed(text) is not None
    except ValueError:
        return False
