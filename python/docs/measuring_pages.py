"""Page of the measuring sheet: how each setting is got, and what a guess of it costs."""

from pathlib import Path

import layshaft
from layshaft.setup import field_table
from layshaft.setup.field_table import CURVE
from text import code, plain, table

_OPENING = """# Measuring a car

Every setting can be got in a workshop somehow. `well` says how well: *good*, as well as the advice
needs; *poor*, better than a guess; *guess*, no way at all. `error` is how far a number may be out
that was got so, `guess` how far one taken from another car, each one standard deviation (common
practice, no source). `gap` and `costs` say what such a guess does on the demo car, whose numbers
are invented: how far it moves the best gap for 60 m from rest, and what driving with the gap
advised before loses in the mean. What does nothing there may matter on a track.

`layshaft car` begins a set-up file from a few questions and marks what was not answered; `layshaft
doubts --car car.toml` ranks what is left, for your car and goal; `layshaft sheet NAME` prints lines
of this page; `layshaft facts --car car.toml` tells what follows from the numbers.

How `layshaft doubts` reckons: each setting alone is moved by one standard deviation to either side,
and the best gap found anew there. All settings are taken as independent. Where guesses are so wide
that curves bend, all of it together comes to more than their sum; the order of each alone stays.

"""


def write_measuring(out: Path) -> None:
    """Write the ways of measuring, then all settings, a section at a time."""
    costs = {doubt.path: doubt for doubt in layshaft.doubts(layshaft.demo_car()).ranked}
    text = _OPENING + "## The ways\n\n" + _ways()
    for section, members in field_table.sections().items():
        pairs = field_table.pairs()
        paths = [path for path in members.values() if path in (CURVE, *field_table.positions())]
        rows = [_row(path, costs.get(_pair_of(path, pairs))) for path in paths]
        if rows:
            text += f"\n## {code(section) if section else 'The car itself'}\n\n"
            heads = ("path", "by", "well", "error", "guess", "gap", "costs", "how")
            text += table(heads, rows)
    (out / "measuring.md").write_text(text, encoding="utf-8")


def _ways() -> str:
    uses = {way.instrument: way.instrument_use for way in layshaft.measuring_sheet().values()}
    return table(("way", "what to do"), [(plain(name), plain(use)) for name, use in uses.items()])


def _pair_of(path: str, pairs: dict[str, tuple[str, str]]) -> str:
    return next((pair for pair, both in pairs.items() if path in both), path)


def _row(path: str, cost: layshaft.Doubt | None) -> tuple[str, ...]:
    way = layshaft.measuring_sheet()[path]
    figures = ("", "")
    if cost is not None:
        figures = (f"{cost.gap_error * 1e3:.2f} mm", f"{cost.loss * 1e3:.2f} ms")
    errors = (plain(way.error), plain(way.guess), *figures)
    unbroken = (text.replace(" ", "\N{NO-BREAK SPACE}") for text in errors)
    return code(path), way.instrument, way.well, *unbroken, plain(way.how)
