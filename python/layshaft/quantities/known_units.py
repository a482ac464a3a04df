"""The quantities that are known, by SI unit, and what a unit as written is of it.

A unit is a product of named ones, each with a prefix or none: `mN*m/krpm`. An angle has a dimension
here. Sources: BIPM, The International System of Units, 9th edition; inch and pound of 1959.
"""

import decimal
import functools
import re
from decimal import Decimal
from typing import NamedTuple


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

_PI = Decimal("3.14159265358979323846264338327950288419716939937510")
_PREFIXES = {
    "": 0,
    **dict.fromkeys(("nano", "n"), -9),
    **dict.fromkeys(("micro", "\u00b5", "\u03bc", "u"), -6),
    **dict.fromkeys(("milli", "m"), -3),
    **dict.fromkeys(("centi", "c"), -2),
    **dict.fromkeys(("hecto", "h"), 2),
    **dict.fromkeys(("kilo", "k"), 3),
    **dict.fromkeys(("mega", "M"), 6),
}  #: powers of ten

#: Digits carried in between: far more than the 17 that tell two doubles apart.
EXACT = decimal.Context(prec=50, rounding=decimal.ROUND_HALF_EVEN)
_LONGEST_UNIT = 40  # of a unit as written [characters]
_FACTOR = r"[^\W\d_]+(?:\^-?[0-9])?"
_UNIT = re.compile(rf"{_FACTOR}(?:[*/]{_FACTOR})*")

# Other ways to write a unit, and the one that is read.
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


class _Unit(NamedTuple):
    """A unit in metre, gram, second, radian and kelvin."""

    factor: Decimal
    powers: dict[str, int]  #: of what it measures; none of them 0
    offset: Decimal = Decimal(0)  #: of the zero of its scale

    def times(self, other: "_Unit", power: int) -> "_Unit":
        """Multiply by a power of a unit, whose scale's zero counts no longer."""
        powers = dict(self.powers)
        for name, exponent in other.powers.items():
            powers[name] = powers.get(name, 0) + power * exponent
        return _Unit(self.factor * other.factor**power, {n: p for n, p in powers.items() if p != 0})


_ONE = _Unit(Decimal(1), {})

#: Names, number, and the unit that there are so many of, of those above.
_DERIVED = (
    ("in inch", Decimal("0.0254"), "m"),
    ("mile", Decimal("1609.344"), "m"),
    ("l L litre liter", Decimal("1e-3"), "m^3"),
    ("cc ccm", Decimal("1e-6"), "m^3"),
    ("min minute", Decimal(60), "s"),
    ("h hour", Decimal(60), "min"),
    ("oz ounce", Decimal("28.349523125"), "g"),
    ("lb pound", Decimal("453.59237"), "g"),
    ("turn revolution rev", EXACT.multiply(2, _PI), "rad"),
    ("deg degree", EXACT.divide(_PI, 180), "rad"),
    ("rpm RPM", Decimal(1), "turn/min"),
    ("kmh kph", Decimal(1), "km/h"),
    ("mph", Decimal(1), "mile/h"),
    ("Hz hertz", Decimal(1), "s^-1"),
    ("N newton", Decimal(1), "kg*m/s^2"),
    ("Nm", Decimal(1), "N*m"),
    ("Ncm", Decimal("0.01"), "N*m"),
    ("J joule", Decimal(1), "N*m"),
    ("W watt", Decimal(1), "J/s"),
    ("Pa pascal", Decimal(1), "N/m^2"),
    ("bar", Decimal("1e5"), "Pa"),
)


@functools.cache
def _named() -> dict[str, _Unit]:
    """Return the units by their names, without prefixes."""
    bases = {"length": "m metre meter", "mass": "g gram", "time": "s second"}
    bases |= {"angle": "rad radian", "temperature": "K kelvin"}
    named = {
        name: _Unit(Decimal(1), {dimension: 1})
        for dimension, names in bases.items()
        for name in names.split()
    }
    named["percent"] = _Unit(Decimal("0.01"), {})
    named["degC"] = _Unit(Decimal(1), {"temperature": 1}, Decimal("273.15"))
    with decimal.localcontext(EXACT):
        zero = Decimal("233.15") + Decimal(200) / 9
        named["degF"] = _Unit(Decimal(5) / 9, {"temperature": 1}, zero)
        for names, number, text in _DERIVED:
            unit = _product(text, named)
            for name in names.split():
                named[name] = _Unit(number * unit.factor, unit.powers)
    return named


def _product(text: str, named: dict[str, _Unit]) -> _Unit:
    """Read a product; `KeyError` for a name that is not known."""
    words = re.split("([*/])", text)
    product = _ONE
    for sign, factor in zip(["*", *words[1::2]], words[::2], strict=True):
        name, _, power = factor.partition("^")
        unit = _prefixed(name, named)
        if len(words) == 1 and not power:
            return unit
        product = product.times(unit, int(power or 1) * (1 if sign == "*" else -1))
    return product


def _prefixed(name: str, named: dict[str, _Unit]) -> _Unit:
    """Find a unit by its name, with a prefix or in the plural; `KeyError` for none."""
    if name in named:
        return named[name]
    for plural in ("", "s"):
        for prefix, power in _PREFIXES.items():
            if not (name.startswith(prefix) and name.endswith(plural)):
                continue
            own = name.removeprefix(prefix).removesuffix(plural)
            unit = named.get(own)
            # No plural of a single letter: `ms` is no metres. No thousandth of a scale's degree.
            if unit and not (plural and len(own) == 1) and not (prefix and unit.offset):
                return unit._replace(factor=unit.factor.scaleb(power))
    raise KeyError(name)


def _spelled(unit: str) -> str:
    for pattern, spelling in _SPELLINGS:
        unit = pattern.sub(spelling, unit)
    return unit


def _parsed(unit: str) -> _Unit:
    spelled = _spelled(unit.strip())
    if spelled in ("", "1"):
        return _ONE
    if len(unit) > _LONGEST_UNIT:
        raise ValueError("its unit is too long")
    if not _UNIT.fullmatch(spelled):
        raise ValueError(f'"{unit}" is not a unit')
    try:
        return _product(spelled, _named())
    except KeyError:
        raise ValueError(f'"{unit}" is not a known unit') from None


def _alike(given: _Unit, wanted: _Unit) -> bool:
    """Compare dimensions; an angle may be left out only where the wanted unit leaves it out too."""
    powers, wanted_powers = dict(given.powers), dict(wanted.powers)
    angle, wanted_angle = powers.pop("angle", 0), wanted_powers.pop("angle", 0)
    implied = wanted_angle == 0 and bool(wanted_powers)
    return powers == wanted_powers and (angle == wanted_angle or implied)


@functools.lru_cache(maxsize=1024)
def scale(unit: str, si_unit: str) -> tuple[Decimal, Decimal]:
    """Find factor and offset: SI value = number * factor + offset."""
    with decimal.localcontext(EXACT):
        given, wanted = _parsed(unit), _parsed(si_unit)
        if not _alike(given, wanted):
            _, kind = QUANTITIES[si_unit].noun.split(" ", maxsplit=1)
            raise ValueError(f'"{unit}" is no unit of {kind}' if unit else "it has no unit")
        return given.factor / wanted.factor, given.offset / wanted.factor


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
