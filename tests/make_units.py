"""Write the scales of the usual units, as pint works them out, into the package.

    python tests/make_units.py

A program that reads "4.3 mm" then need not wait for pint, which takes longer to import than a
launch to run; any other unit still goes to it. A test compares what is written.
"""

from decimal import Decimal
from pathlib import Path

from layshaft.quantities import known_units

FILE = Path(__file__).parents[1] / "python" / "layshaft" / "quantities" / "usual_units.py"

_LONGEST_LINE = 101  # with its end

HEAD = '''"""Scales of the usual units as pint works them out. Written by tests/make_units.py."""

#: By the SI unit, then the unit as written: factor and offset, SI value = number * factor + offset.
USUAL: dict[str, dict[str, tuple[str, str]]] = {
'''


def usual_units() -> str:
    """Return the module's text."""
    lines = [HEAD]
    for si_unit, quantity in known_units.QUANTITIES.items():
        lines.append(f'    "{si_unit}": {{\n')
        for unit in dict.fromkeys((si_unit, quantity.unit, *quantity.others)):
            factor, offset = known_units.scale_by_pint(unit, si_unit)
            lines.append(_row(unit, _plain(factor), _plain(offset)))
        lines.append("    },\n")
    return "".join([*lines, "}\n"])


def _row(unit: str, factor: str, offset: str) -> str:
    """Write one unit as the formatter leaves it."""
    row = f'        "{unit}": ("{factor}", "{offset}"),\n'
    if len(row) <= _LONGEST_LINE:
        return row
    return f'        "{unit}": (\n            "{factor}",\n            "{offset}",\n        ),\n'


def _plain(number: Decimal) -> str:
    """Write a number as short as it is."""
    return str(known_units.EXACT.normalize(number)) if number else "0"


if __name__ == "__main__":
    FILE.write_text(usual_units(), encoding="utf-8")
