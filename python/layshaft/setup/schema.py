"""JSON schemas of set-up files and of files of parts, for editors that check while one types.

A TOML-aware editor takes the schema named in the first line of a file,
`#:schema car.schema.json`: it completes names, shows meanings and defaults, marks faults.
"""

import json
import os
import re
from pathlib import Path
from typing import Any

from layshaft import _core
from layshaft.quantities import units
from layshaft.setup import field_table, parts_at_hand
from layshaft.setup.field_table import CURVE
from layshaft.storage.atomic import atomic_write

Schema = dict[str, Any]

_NUMBER = r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,4})?"


def setup_schema() -> Schema:
    """Return the JSON schema (draft 7) of set-up files, made from the field table.

    It admits plain numbers inside the field's range and text in a usual unit. `read_car` is the
    judge: it also checks the range of text, takes any unit that fits, and checks what parts must
    fulfil together.

    Returns
    -------
    dict
        The schema as `json.dump` takes it; plain numbers are in SI units.

    Examples
    --------
    >>> import layshaft
    >>> section = layshaft.setup_schema()["properties"]["first"]
    >>> section["properties"]["pinion"]["minimum"]
    8
    """
    return _head("Set-up of a car for layshaft") | _section("")


def parts_schema() -> Schema:
    """Return the JSON schema (draft 7) of files of parts; `read_parts` is the judge.

    Returns
    -------
    dict
        The schema as `json.dump` takes it; plain numbers are in SI units.

    Examples
    --------
    >>> import layshaft
    >>> layshaft.parts_schema()["properties"]["slugs"]["properties"]["masses"]["description"]
    'Masses of the slugs at hand, a pair of each'
    """
    sections: dict[str, dict[str, Schema]] = {}
    for path, entry in parts_at_hand.ENTRIES.items():
        section, name = path.split(".")
        sections.setdefault(section, {})[name] = _entry(entry)
    properties = {name: _object(members) for name, members in sections.items()}
    return _head("Parts at hand for layshaft") | _object(properties)


#: By name of the file that `write_schemas` writes.
_FILES = {"car.schema.json": setup_schema, "parts.schema.json": parts_schema}


def write_schemas(folder: str | os.PathLike[str]) -> list[Path]:
    """Write `car.schema.json` and `parts.schema.json` into a folder; return their paths.

    Returns
    -------
    list of pathlib.Path
        The files written.
    """
    files = [Path(folder, name) for name in _FILES]
    for file, schema in zip(files, _FILES.values(), strict=True):
        with atomic_write(file) as aside:
            aside.write_text(json.dumps(schema(), indent=1) + "\n", encoding="utf-8")
    return files


def _head(title: str) -> Schema:
    # Editors for TOML know this draft; of later ones they misread how a pair is described.
    return {"$schema": "http://json-schema.org/draft-07/schema#", "title": title}


def _object(properties: dict[str, Schema]) -> Schema:
    return {"type": "object", "additionalProperties": False, "properties": properties}


def _entry(entry: parts_at_hand.Entry) -> Schema:
    if entry.unit:
        single = _number(entry.unit, entry.minimum, entry.maximum)
    else:
        single = {"type": "integer", "minimum": entry.minimum, "maximum": entry.maximum}
    several = {"type": "array", "minItems": 1, "uniqueItems": True, "items": single}
    return {"description": entry.meaning} | (several if entry.is_list else single)


def _section(section: str) -> Schema:
    properties = {}
    for name, path in field_table.sections()[section].items():
        field = field_table.find_field(path)
        if path == CURVE:
            properties[name] = _curve()
        elif field is None:
            properties[name] = _section(path)
        else:
            properties[name] = _value(path, field)
    return _object(properties)


def _value(path: str, field: _core.Field) -> Schema:
    fallback = field_table.as_stored(field, field.fallback)
    if field.kind == "choice":
        allowed: Schema = {"enum": list(field.choices)}
    elif field.kind == "count":
        allowed = {
            "type": "integer",
            "minimum": int(field.minimum),
            "maximum": int(field.maximum),
        }
    else:
        allowed = _number(field.unit, field.minimum, field.maximum)
        fallback = units.si_text(field.fallback, field.unit) if field.unit != "1" else fallback
    meaning = field.meaning
    if path in field_table.pairs():
        meaning += "; set for both shoes"
    return {"description": meaning, "default": fallback} | allowed


def _number(unit: str, minimum: float, maximum: float) -> Schema:
    return {
        "anyOf": [
            {"type": "number", "minimum": minimum, "maximum": maximum},
            {"type": "string", "pattern": _pattern(unit)},
        ]
    }


def _pattern(unit: str) -> str:
    quantity = units.QUANTITIES[unit]
    spellings = [quantity.unit, *quantity.others]
    usual = "|".join(re.sub(r"([.*^$+?])", r"\\\1", spelling) for spelling in spellings if spelling)
    return f"^{_NUMBER}( *({usual})){'?' if unit == '1' else ''}$"


def _curve() -> Schema:
    curve = _core.torque_curve_field()
    point = {
        "type": "array",
        "items": [
            _number(curve.x_unit, 0.0, curve.x_maximum),
            _number(curve.y_unit, curve.y_minimum, curve.y_maximum),
        ],
        "additionalItems": False,
        "minItems": 2,
    }
    return {
        "description": curve.meaning,
        "type": "array",
        "items": point,
        "minItems": 2,
    }
