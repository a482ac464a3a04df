"""Keys, values and cars as TOML text."""

import json
import re
from collections.abc import Container, Iterator, Mapping
from typing import Any

from layshaft import _core
from layshaft.quantities import units
from layshaft.setup import field_table
from layshaft.setup.field_table import Value
from layshaft.setup.toml_lines import KeyPath

_LONGEST_SHOWN = 60
_CURVE_SPEED_UNIT = "krpm"
_HEADING = """\
# Set-up of a car for layshaft. A line left out has the value of the demo car, whose numbers are
# invented. A plain number without a unit is in SI units; text may have any unit that fits.
"""
_ASSUMED = "#= "
_HEADING_WITH_ASSUMED = """\
# A line that begins with #= was not measured and is not read: the demo car's value counts.
# Measure it, put yours in and take the #= away; `layshaft sheet NAME` says how.
"""


def shown_key(key: KeyPath) -> str:
    """Write a key as TOML does."""
    path = ""
    for part in key:
        if isinstance(part, int):
            path += f"[{part}]"
        else:
            name = part if re.fullmatch(r"[A-Za-z0-9_-]+", part) else json.dumps(part)
            path += f".{name}" if path else name
    return path


def shown(value: object) -> str:
    """Write a value as TOML does, cut off where it is long."""
    return _shortened(_toml(value))


def _shortened(text: str) -> str:
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 3]}..."


def _toml(value: object) -> str:
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        inner = (f"{shown_key((name,))} = {_toml(each)}" for name, each in value.items())
        return f"{{ {', '.join(inner)} }}" if value else "{}"
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, int) and abs(value) >= 10**_LONGEST_SHOWN:
        return "a huge integer"  # Python refuses to print one of thousands of digits
    return str(value)


def without_marks(text: str) -> str:
    r"""Return the text of a set-up file as it reads with all that is assumed in it.

    Examples
    --------
    >>> without_marks('[first]\n#= pinion = 17  # teeth\n')
    '[first]\npinion = 17  # teeth\n'
    """
    return re.sub(f"^{_ASSUMED.strip()} ?", "", text, flags=re.MULTILINE)


def to_toml(values: Mapping[str, object], assumed: Container[str] = ()) -> str:
    """Return the text of a set-up file with these values of a car; what is assumed is marked."""
    blocks = [_HEADING + _HEADING_WITH_ASSUMED if assumed else _HEADING]
    for section in _file_sections():
        members = field_table.sections()[section].values()
        lines = [
            f"{_ASSUMED}{line}" if path in assumed else line
            for path in members
            if path in values
            for line in _lines(path, values[path])
        ]
        if lines:
            blocks.append("\n".join([f"[{section}]"] * bool(section) + lines) + "\n")
    return "\n".join(blocks)


def _file_sections(section: str = "") -> Iterator[str]:
    """Go through the sections, each before the ones inside it: the car's own fields come first."""
    yield section
    for path in field_table.sections()[section].values():
        if path in field_table.sections():
            yield from _file_sections(path)


def _lines(path: str, value: Any) -> Iterator[str]:
    name = path.rpartition(".")[2]
    field = field_table.find_field(path)
    if field is None:
        curve = _core.torque_curve_field()
        yield f"# {curve.meaning}"
        yield f"{name} = ["
        for speed, torque in value:
            x = units.si_text(speed, curve.x_unit, _CURVE_SPEED_UNIT)
            yield f'  ["{x}", "{units.si_text(torque, curve.y_unit)}"],'
        yield "]"
        return
    choices = f"; one of {', '.join(field.choices)}" if field.choices else ""
    yield f"{name} = {_written(field, value)}  # {field.meaning}{choices}"


def _written(field: _core.Field, value: Value) -> str:
    if field.kind == "number" and field.unit != "1":
        return json.dumps(units.si_text(float(value), field.unit))
    return _toml(value)
