"""The field table as Python sees it: sections, and what a value of a field must be.

The table itself, with all units, ranges and defaults, is the core's (`fields.hpp`).
"""

import functools
from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher
from numbers import Real
from typing import Any

from layshaft import _core
from layshaft._core import Field
from layshaft.quantities import units
from layshaft.quantities.refused import cut

#: Path of the one field that is a list of points.
CURVE = _core.torque_curve_field().path

Value = float | int | str
_MOST_NAMED = 3
Points = tuple[tuple[float, float], ...]


@functools.cache
def fields() -> tuple[Field, ...]:
    """List every parameter of the car but the torque curve, in the order of the set-up file.

    Returns
    -------
    tuple of Field
        One for each field: `path`, SI `unit`, `minimum`, `maximum`, `fallback`, `meaning`.

    Examples
    --------
    >>> gap = next(f for f in fields() if f.path == "two_speed.shoe_1.gap")
    >>> gap.unit, gap.minimum, gap.maximum, gap.meaning
    ('m', 0.001, 0.01, 'Caliper reading over the screw of shoe 1')
    """
    return _core.fields()


@functools.cache
def positions() -> dict[str, int]:
    """Map each field's path to its position in the table."""
    return {field.path: position for position, field in enumerate(fields())}


@functools.cache
def pairs() -> dict[str, tuple[str, ...]]:
    """Map each path that stands for a field of every shoe to these."""
    return {pair.path: pair.singles for pair in _core.paired_fields()}


@functools.cache
def sections() -> dict[str, dict[str, str]]:
    """Map each section to its members, name to path; the car itself is the section `""`.

    Examples
    --------
    >>> sections()["brake"]
    {'torque': 'brake.torque', 'static_ratio': 'brake.static_ratio'}
    """
    tree: dict[str, dict[str, str]] = {"": {}}
    for path in [CURVE, *positions(), *pairs()]:
        names = path.split(".")
        for depth, name in enumerate(names):
            inner = ".".join(names[: depth + 1])
            tree.setdefault(".".join(names[:depth]), {})[name] = inner
    return tree


def singles(paths: Iterable[str]) -> set[str]:
    """Return the paths of fields, with pairs taken apart.

    Raises
    ------
    ValueError
        For a path that no field has; the message names the nearest known one.

    Examples
    --------
    >>> sorted(singles(["two_speed.gap", "body.mass"]))
    ['body.mass', 'two_speed.shoe_1.gap', 'two_speed.shoe_2.gap']
    """
    found: set[str] = set()
    for path in paths:
        if path != CURVE and find_field(path) is None:
            raise ValueError(f"{path}: {unknown(path)}")
        found |= set(pairs().get(path, (path,)))
    return found


def find_field(path: str) -> Field | None:
    """Find the field of a path; of a pair, its first."""
    position = positions().get(pairs().get(path, (path, ""))[0])
    return None if position is None else fields()[position]


def field_of(path: str) -> Field:
    """Return the field of a path that is one; of a pair, its first.

    Examples
    --------
    >>> field_of("two_speed.gap").path
    'two_speed.shoe_1.gap'
    """
    field = find_field(path)
    if field is None:
        raise ValueError(f"{cut(path)}: {unknown(path)}")
    return field


def column_of(path: str) -> str:
    """Return the name that a field has in a table of results: a plain word.

    Examples
    --------
    >>> column_of("two_speed.gap")
    'two_speed_gap'
    """
    return path.replace(".", "_")


def path_of(column: object) -> str | None:
    """Return the path of the field that a table of results names so.

    Examples
    --------
    >>> path_of("two_speed_gap"), path_of("shift_speed")
    ('two_speed.gap', None)
    """
    return _columns().get(str(column))


@functools.cache
def _columns() -> dict[str, str]:
    return {column_of(path): path for path in (*positions(), *pairs())}


def unknown(path: str) -> str:
    """Say which known path is nearest to an unknown one; of a bare name, those that end with it.

    Examples
    --------
    >>> unknown("two_sped.gap"), unknown("gap")
    ('the nearest known name is two_speed.gap', 'the nearest known name is two_speed.gap')
    >>> unknown("pinion")
    'the nearest known names are first.pinion and second.pinion'
    """
    if path == CURVE:
        return "it is a list of points, no single value"
    if path in sections() and path:
        example = next(each for each in (*pairs(), *positions()) if each.startswith(f"{path}."))
        return f"it is a part of the car; name a field of it, such as {example}"
    candidates = [_core.nearest_path(path), *(section for section in sections() if section)]
    nearest = max(candidates, key=functools.partial(_likeness, path))
    name = max(_endings(), key=functools.partial(_likeness, path))
    if "." in path or _likeness(path, name) <= _likeness(path, nearest):
        return f"the nearest known name is {nearest}"
    paths = _endings()[name][:_MOST_NAMED]
    return f"the nearest known name{'s are' if paths[1:] else ' is'} {' and '.join(paths)}"


def _likeness(path: str, known: str) -> float:
    return SequenceMatcher(None, path, known).ratio()


@functools.cache
def _endings() -> dict[str, list[str]]:
    """Map the last name of each path to the paths that have it; a pair stands for its two."""
    inside = {each for both in pairs().values() for each in both}
    endings: dict[str, list[str]] = {}
    for path in (*pairs(), *(path for path in positions() if path not in inside)):
        endings.setdefault(path.rpartition(".")[2], []).append(path)
    return endings


def as_stored(field: Field, number: float) -> Value:
    """Turn a stored number into what a reader expects: a float, an int or the name of a choice."""
    if field.kind == "choice":
        return field.choices[int(number)]
    return int(number) if field.kind == "count" else number


def describe(field: Field, number: float) -> str:
    """Write a stored number as a mechanic does, with its unit.

    Examples
    --------
    >>> describe(find_field("two_speed.gap"), 0.0046), describe(find_field("first.pinion"), 17.0)
    ('4.6 mm', '17')
    """
    if field.kind != "number":
        return str(as_stored(field, number))
    return units.si_text(number, field.unit)


def to_number(field: Field, value: object) -> float:
    """Turn a value as people write it into the stored number.

    Parameters
    ----------
    field
        Row of the table.
    value
        A number in the field's SI unit, text with a unit, a quantity of pint, or the name of a
        choice.

    Raises
    ------
    ValueError
        If the value is of another kind, in a wrong unit or outside the range; the message says
        what it must be.
    """
    value = units.as_text(value)
    if field.kind == "choice":
        if not (isinstance(value, str) and value in field.choices):
            raise ValueError("must be one of " + ", ".join(f'"{name}"' for name in field.choices))
        return float(field.choices.index(value))
    if field.kind == "count":
        return _whole(field, value)
    return _in_range(value, field.unit, field.minimum, field.maximum)


def _whole(field: Field, value: Any) -> float:
    is_number = isinstance(value, Real) and not isinstance(value, bool)
    # Compared before the conversion: a great integer does not fit into a float.
    if is_number and field.minimum <= value <= field.maximum and value == int(value):
        return float(value)
    raise ValueError(f"must be a whole number from {field.minimum:g} to {field.maximum:g}")


def _in_range(value: Any, unit: str, minimum: float, maximum: float) -> float:
    value = number = units.as_text(value)
    if isinstance(value, str):
        number = units.to_si(value, unit)
    elif not isinstance(value, Real) or isinstance(value, bool):
        raise ValueError(f"must be {units.expectation(unit)}")
    if minimum <= number <= maximum:
        return float(number)
    least = units.bound_text(minimum, unit, is_minimum=True)
    most = units.bound_text(maximum, unit, is_minimum=False)
    hint = "" if isinstance(value, str) or unit == "1" else f"; a plain number is in {unit}"
    raise ValueError(f"must be from {least} to {most}{hint}")


def to_points(value: Any) -> tuple[Points, list[tuple[int | None, str]]]:
    """Turn the torque curve as people write it into points in SI, and list what is wrong.

    Parameters
    ----------
    value
        2 or more pairs of speed [rad/s] and torque [N*m], numbers or text with units.

    Returns
    -------
    points, faults
        A fault is the position of the point (`None`: the whole list) and what it must be.
    """
    pair = '["10 krpm", "0.25 N*m"]'
    if not _is_list(value) or len(value) < 2:
        return (), [(None, f"must be a list of 2 or more points such as {pair}")]
    points: list[tuple[float, float]] = []
    faults: list[tuple[int | None, str]] = []
    for position, point in enumerate(value):
        try:
            points.append(_to_point(point, pair))
        except ValueError as error:
            faults.append((position, str(error)))
            continue
        if len(points) > 1 and not points[-1][0] > points[-2][0]:
            faults.append((position, "must have a higher speed than the point before it"))
    return tuple(points), faults


def _to_point(point: Any, example: str) -> tuple[float, float]:
    curve = _core.torque_curve_field()
    if not _is_list(point) or len(point) != 2:
        raise ValueError(f"must be a point such as {example}")
    speed = _named("its speed", point[0], curve.x_unit, 0.0, curve.x_maximum)
    return speed, _named("its torque", point[1], curve.y_unit, curve.y_minimum, curve.y_maximum)


def _named(part: str, value: object, unit: str, minimum: float, maximum: float) -> float:
    try:
        return _in_range(value, unit, minimum, maximum)
    except ValueError as error:
        raise ValueError(f"{part} {error}") from None


def _is_list(value: object) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str | bytes)
