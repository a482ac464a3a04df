"""Settings and numbers as words of the pit."""

from layshaft.quantities import pit_units, units
from layshaft.setup import field_table


def setting_text(path: str, value: float, *, fine: bool = False) -> str:
    """Write a setting in the unit of the workshop.

    Examples
    --------
    >>> setting_text("two_speed.gap", 0.0046), setting_text("first.pinion", 16.0)
    ('4.60 mm', '16')
    """
    field = field_table.field_of(path)
    if field.kind != "number" or field.unit == "1":
        stored = field_table.as_stored(field, value)
        return f"{stored:.3g}" if isinstance(stored, float) else str(stored)
    unit = units.QUANTITIES[field.unit].unit
    number = units.from_si(float(value), field.unit, unit)
    digits = f"{number:.2f}" if unit in ("mm", "turns") else f"{number:.4g}"
    return f"{digits} {pit_units.printed(unit)}" if not fine or unit != "mm" else f"{number:.3f} mm"


def short_name(path: str) -> str:
    """Return a field's path as words for the pit."""
    return path.removeprefix("two_speed.").replace("_", " ").replace(".", " ")


def capital(text: str) -> str:
    """Begin a sentence with a text."""
    return text[:1].upper() + text[1:]


def with_unit(value: float, si_unit: str, *, is_difference: bool = False) -> str:
    """Write a number of a run with its unit; see `pit_units.run_text`."""
    return " ".join(pit_units.run_text(value, si_unit, is_difference=is_difference)).strip()
