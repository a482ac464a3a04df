"""Pages of tables: every parameter of a car, every result of a run."""

from pathlib import Path

import layshaft
from layshaft import _core
from layshaft.quantities import units
from layshaft.setup import field_table
from text import code, plain, table

_PARAMETERS = """# Parameters of a car

Made from the field table, which also makes set-up files, their schema, the axes of sweeps and the
attributes of results. In a set-up file and in Python a value is a plain number in SI units or text
with any unit that fits. The defaults are the demo car's and invented: they are no advice.

"""
_RESULTS = """# Results of a run

Names, SI units and meanings as they stand in `run.samples`, `run.scalars`, in a sweep and in their
files. Times and speeds at marks are `time_to_distance`, `speed_at_distance` and `time_to_speed`.

"""


def write_parameters(out: Path) -> None:
    """Write the field table, a section at a time."""
    text = _PARAMETERS
    for section, members in field_table.sections().items():
        fields = [(path, field_table.find_field(path)) for path in members.values()]
        rows = [_row(path, field) for path, field in fields if field is not None]
        if field_table.CURVE in members.values():
            rows.insert(0, _curve_row())
        if rows:
            text += f"## {code(section) if section else 'The car itself'}\n\n"
            text += table(("path", "default", "from", "to", "meaning"), rows) + "\n"
    (out / "parameters.md").write_text(text, encoding="utf-8")


def _row(path: str, field: _core.Field) -> tuple[str, ...]:
    meaning = plain(field.meaning)
    if path in field_table.pairs():
        meaning += "; set for both shoes"
    stored = field_table.as_stored(field, field.fallback)
    if field.kind == "choice":
        return (
            code(path),
            code(stored),
            "",
            "",
            f"{meaning}; one of {', '.join(map(code, field.choices))}",
        )
    if field.kind == "count":
        return code(path), str(stored), f"{field.minimum:g}", f"{field.maximum:g}", meaning
    least, most = (
        units.bound_text(bound, field.unit, is_minimum=is_minimum)
        for bound, is_minimum in ((field.minimum, True), (field.maximum, False))
    )
    shown = (_unbroken(text) for text in (units.si_text(stored, field.unit), least, most))
    return code(path), *shown, meaning


def _unbroken(text: str) -> str:
    return plain(text.replace(" ", "\N{NO-BREAK SPACE}"))


def _curve_row() -> tuple[str, ...]:
    curve = _core.torque_curve_field()
    points = layshaft.demo_car()[curve.path]
    return (
        code(curve.path),
        f"{len(points)} points",
        _unbroken(units.si_text(curve.y_minimum, curve.y_unit)),
        _unbroken(units.si_text(curve.y_maximum, curve.y_unit)),
        plain(curve.meaning),
    )


def write_results(out: Path) -> None:
    """Write what a run gives, from a run."""
    run = layshaft.launch(layshaft.demo_car(), distance=5.0)
    heads = ("name", "unit", "meaning")
    text = _RESULTS
    for title, data in (("Scalars", run.scalars), ("Samples over time", run.samples)):
        rows = [
            (code(name), plain(values.attrs["units"]), _meaning(values))
            for name, values in data.variables.items()
        ]
        text += f"## {title}\n\n" + table(heads, rows) + "\n"
    (out / "results.md").write_text(text, encoding="utf-8")


def _meaning(values: object) -> str:
    flags = values.attrs.get("flag_meanings", "")
    numbered = ", ".join(f"{value} {flag}" for value, flag in enumerate(flags.split()))
    return plain(values.attrs["long_name"] + (f": {numbered}" if flags else ""))
