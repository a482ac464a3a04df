"""Axes of a sweep and settings of a car as they are typed on a command line."""

import re
from decimal import Decimal

from layshaft.quantities import units
from layshaft.quantities.refused import cut
from layshaft.setup import field_table
from layshaft.sweeps.swept_values import axis_values

_MOST_VALUES = 100_000
_NUMBER = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*)")


def read_axes(texts: list[str], option: str = "--over") -> dict[str, list[object]]:
    """Read the axes of a sweep, each as `read_axis` does; refuse one given twice."""
    axes: dict[str, list[object]] = {}
    for text in texts:
        path, values = read_axis(text, option)
        if path in axes:
            raise ValueError(f"{path} is to vary twice; write all its values at once")
        axes[path] = values
    return axes


def read_axis(text: str, option: str = "--over") -> tuple[str, list[object]]:
    """Read `PATH=FROM:TO:STEP` or `PATH=VALUE,VALUE,...`.

    A unit may stand once, at the end: `two_speed.gap=4:5:0.1mm`. Steps are counted in decimals, so
    4.3 mm is the same number as in a set-up file.

    Raises
    ------
    ValueError
        With what is wrong, in one sentence.

    Examples
    --------
    >>> read_axis("two_speed.gap=4.2:4.4:0.1mm")
    ('two_speed.gap', [0.0042, 0.0043, 0.0044])
    >>> read_axis("first.pinion=15,17")
    ('first.pinion', [15, 17])
    """
    path, equals, values = (part.strip() for part in text.partition("="))
    if not equals or not values:
        raise ValueError(f'"{text}" must read PATH=FROM:TO:STEP or PATH=VALUE,VALUE,...')
    field = field_table.find_field(path)
    if field is None:
        raise ValueError(f"cannot sweep {cut(path)}: {field_table.unknown(path)}")
    given = _range(values) if ":" in values else _list(values)
    numbers = axis_values(path, [check_unit(option, path, value) for value in given])
    return path, [field_table.as_stored(field, number) for number in numbers]


def read_choice(text: str) -> tuple[str, object]:
    """Read `PATH=FROM:TO` as a range of any value, or what `read_axis` reads as a list.

    Examples
    --------
    >>> read_choice("two_speed.gap=4.2:4.4mm")
    ('two_speed.gap', Between(low='4.2 mm', high='4.4 mm'))
    >>> read_choice("first.pinion=16,17")
    ('first.pinion', [16, 17])
    """
    from layshaft.advice.choices import Between

    path, _, values = (part.strip() for part in text.partition("="))
    if values.count(":") != 1:
        return read_axis(text)
    _refuse_comma(values)
    found = _numbers(values.split(":"))
    if found is None:
        raise ValueError(f'"{values}" must read FROM:TO, such as 4.2:5mm')
    unit = _one_unit([match[2] for match in found])
    ends = (plain(f"{match[1]} {unit}".strip()) for match in found)
    return path, Between(*(check_unit("--over", path, end) for end in ends))


def read_list(text: str) -> list[object]:
    """Read values with their unit once, at the end.

    Examples
    --------
    >>> read_list("20,30 krpm")
    ['20 krpm', '30 krpm']
    """
    return _list(text)


def read_setting(text: str) -> tuple[str, object]:
    """Read `PATH=VALUE`; a value with a dimension needs its unit.

    Examples
    --------
    >>> read_setting("first.pinion=16"), read_setting("two_speed.gap=4.3 mm")
    (('first.pinion', 16), ('two_speed.gap', '4.3 mm'))
    """
    path, equals, value = (part.strip() for part in text.partition("="))
    if not equals or not value:
        raise ValueError(f'"{text}" must read PATH=VALUE')
    return path, check_unit("--set", path, plain(value))


def _range(text: str) -> list[object]:
    _refuse_comma(text)
    found = _numbers(text.split(":"))
    if found is None or len(found) != 3:
        raise ValueError(f'"{text}" must read FROM:TO:STEP, such as 4:5:0.1mm')
    start, stop, step = (Decimal(match[1]) for match in found)
    unit = _one_unit([match[2] for match in found])
    if step == 0 or (stop - start) / step < 0:
        raise ValueError(f'"{text}": the step must lead from the first value to the last')
    count = int((stop - start) / step) + 1
    if count > _MOST_VALUES:
        raise ValueError(f'"{text}" has more than {_MOST_VALUES} values')
    return [plain(f"{start + number * step:f} {unit}".strip()) for number in range(count)]


def _refuse_comma(text: str) -> None:
    """Refuse a range with a decimal comma: in a range nothing else is parted by commas."""
    found = re.search(r"[0-9]+,[0-9]+", text)
    if found:
        raise ValueError(f'"{text}": {units.without_comma(found[0])}')


def _list(text: str) -> list[object]:
    items = [item.strip() for item in text.split(",")]
    found = _numbers(items)
    if found is None:
        return list(items)
    unit = _one_unit([match[2] for match in found])
    return [plain(f"{match[1]} {unit}".strip()) for match in found]


def _numbers(parts: list[str]) -> list[re.Match[str]] | None:
    """Part numbers from their units; nothing if one of them is no number."""
    found = [_NUMBER.fullmatch(part.strip()) for part in parts]
    return [each for each in found if each] if all(found) else None


def _one_unit(written: list[str]) -> str:
    unit = written[-1]
    if any(other not in ("", unit) for other in written):
        raise ValueError(
            f"write one unit, once, at the end; found {', '.join(filter(None, written))}"
        )
    return unit


def measured(option: str, text: str, si_unit: str, example: str = "") -> float:
    """Read a number that must have its unit, as nothing tells what a bare one is in; 0 is 0.

    Parameters
    ----------
    option
        What the number is given by.
    text
        As it was typed.
    si_unit
        Unit of the result.
    example
        For the message; by default that of the quantity.

    Raises
    ------
    ValueError
        Naming the option, what was given, and what it takes.

    Examples
    --------
    >>> measured("--start-speed", "36 km/h", "m/s"), measured("--start-speed", "0", "m/s")
    (10.0, 0.0)
    >>> measured("--start-speed", "40", "m/s")
    Traceback (most recent call last):
    ValueError: --start-speed 40: must be a speed such as "40 km/h" (it has no unit)
    """
    return _measured(f"{option} {text}", text, si_unit, example)


def _measured(typed: str, text: str, si_unit: str, example: str = "") -> float:
    given = plain(text)
    if not isinstance(given, str):
        if si_unit == "1" or (given == 0 and si_unit != "K"):
            return float(given)
        raise ValueError(f"{typed}: must be {_wanted(si_unit, example)} (it has no unit)")
    try:
        return units.to_si(text, si_unit)
    except ValueError as error:
        reason = re.search(r" \((.*)\)$", str(error))
        why = f" ({reason[1]})" if reason else ""
        raise ValueError(f"{typed}: must be {_wanted(si_unit, example)}{why}") from None


def _wanted(si_unit: str, example: str = "") -> str:
    quantity = units.QUANTITIES[si_unit]
    return f'{quantity.noun} such as "{example or quantity.example}"'


def check_unit(option: str, path: str, value: object) -> object:
    """Return the value of a field; refuse what has no unit, or another, where the field has one.

    Examples
    --------
    >>> check_unit("--set", "first.pinion", 16)
    16
    >>> check_unit("--set", "two_speed.gap", 4.3)
    Traceback (most recent call last):
    ValueError: --set two_speed.gap=4.3: must be a length such as "4.5 mm" (it has no unit)
    """
    field = field_table.find_field(path)
    if field is None or field.kind != "number" or field.unit == "1":
        return value
    is_share = isinstance(value, str) and value.endswith("%")  # of the field's own value
    if not is_share:
        _measured(f"{option} {path}={value}", str(value), field.unit)
    return value


def plain(text: str) -> int | float | str:
    """Read a number without a unit as such; leave other text for a reader of units.

    Examples
    --------
    >>> plain("16"), plain("0.5"), plain("4.3 mm")
    (16, 0.5, '4.3 mm')
    """
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text
