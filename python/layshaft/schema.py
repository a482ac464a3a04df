"""JSON schema of set-up files, for editors that check while one types."""

import re

from layshaft import _core, field_table, units
from layshaft.field_table import CURVE

Schema = dict[str, object]

_NUMBER = r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,4})?"


def setup_schema() -> Schema:
    """Return the JSON schema (draft 2020-12) of set-up files, made from the field table.

    It admits plain numbers inside the field's range and text in a usual unit. `read_car` is the
    judge: it also checks the range of text, takes any unit that fits, and checks what parts must
    fulfil together.

    Examples
    --------
    >>> import layshaft
    >>> section = layshaft.setup_schema()["properties"]["first"]
    >>> section["properties"]["pinion"]["minimum"]
    8
    """
    dialect = "https://json-schema.org/draft/2020-12/schema"
    head = {"$schema": dialect, "title": "Set-up of a car for layshaft"}
    return head | _section("")


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
    return {"type": "object", "additionalProperties": False, "properties": properties}


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
        "prefixItems": [
            _number(curve.x_unit, 0.0, curve.x_maximum),
            _number(curve.y_unit, curve.y_minimum, curve.y_maximum),
        ],
        "items": False,
        "minItems": 2,
    }
    return {
        "description": curve.meaning,
        "type": "array",
        "items": point,
        "minItems": 2,
        "maxItems": _core.max_curve_points,
    }
