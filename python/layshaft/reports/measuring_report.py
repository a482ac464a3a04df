"""What the command line prints of measuring: how each setting is got."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from layshaft import _core
from layshaft.fitting.measuring_sheet import measuring_sheet
from layshaft.reports.wording import capital
from layshaft.setup import field_table
from layshaft.setup.field_table import CURVE
from layshaft.setup.handed_over import checked_names

if TYPE_CHECKING:
    from layshaft.fitting.measuring_sheet import Way

_COST = "What a guess costs the advice on your car: `layshaft doubts --car FILE --of NAME`."


def sheet_sentences(names: Iterable[str] = ()) -> list[str]:
    """Say how settings are measured, how well, and how far a guess may be out.

    Parameters
    ----------
    names
        Parts of the paths of those to tell of, such as `"two_speed"`; by default all.

    Returns
    -------
    list of str
        A sentence a setting, one for each instrument that they take, and who tells what a guess
        costs.

    Raises
    ------
    ValueError
        For a name that no setting has.
    """
    wanted = checked_names("names", names)
    found: dict[str, Way] = {}
    for name in wanted or [""]:
        ways = {path: way for path, way in measuring_sheet().items() if name in path}
        if not ways:
            raise ValueError(f"{name}: {field_table.unknown(name)}")
        found |= ways
    chosen = [way for path, way in measuring_sheet().items() if path in found]
    return [*map(way_sentence, chosen), *_instruments(chosen), _COST]


def way_sentence(way: "Way") -> str:
    """Say how one setting is measured.

    Returns
    -------
    str
        A sentence with the path, what it means, the way, and the errors with their units.
    """
    is_curve = way.path == CURVE
    field = _core.torque_curve_field() if is_curve else field_table.field_of(way.path)
    told = f"{way.path} ({field.meaning}). {capital(way.instrument)}"
    return f"{told}{_errors(way)}. {way.how}"


def _errors(way: "Way") -> str:
    if not way.guess:
        return ""
    if way.well == "guess":
        return f", a guess: {way.guess} out"
    return f", {way.well}: {way.error} out; a guess: {way.guess}"


def _instruments(ways: "Iterable[Way]") -> Iterator[str]:
    for instrument, use in {way.instrument: way.instrument_use for way in ways}.items():
        yield f"{capital(instrument)}: {use}"
