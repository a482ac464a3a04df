"""What the command line prints of doubts: what to measure first, how, and what that is worth."""

from layshaft.advice.doubts import Doubt, Doubts
from layshaft.fitting.measuring_sheet import measuring_sheet
from layshaft.quantities import units
from layshaft.reports.pit_table import PitTable
from layshaft.reports.wording import setting_text, short_name, with_unit
from layshaft.runs.lap_options import LapOptions
from layshaft.setup import field_table
from layshaft.setup.handed_over import checked

_MOST_TOLD = 3  #: settings of which it is said how to measure them
_LEAST_LOSS = 0.005  #: of the greatest; what costs less goes without a line
_MS = 1e3


def doubts_sentences(found: Doubts) -> list[str]:
    """Say what it costs that numbers are not known, and how to measure those that cost most.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    checked("found", found, Doubts, "layshaft.doubts")
    lines = [*_opening(found), *_worst_measured(found), _worth(found)]
    for number, doubt in enumerate(_worthwhile(found)[:_MOST_TOLD], 1):
        lines.append(f"{number}. {doubt.path} ({doubt.way.instrument}): {doubt.way.how}")
    if found.untried:
        lines.append(f"Not to be tried, no such car runs: {', '.join(found.untried)}.")
    return [*lines, _tried(found)]


def doubts_rows(found: Doubts, most: int = 12) -> PitTable:
    """Return a line for each setting that costs something, what measuring gains most first.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    unit = _loss_unit(checked("found", found, Doubts, "layshaft.doubts"))
    rows = PitTable()
    rows.add_column("setting", is_text=True)
    rows.add_column("measure by", rank=3, is_text=True)
    rows.add_column("out\nby", rank=4)
    rows.add_column("gap\nmm", rank=1)
    rows.add_column("turns", rank=2)
    rows.add_column(f"costs\n{unit}")
    rows.add_column(f"then\n{unit}")
    for doubt in _costly(found)[:most]:
        rows.add_row(
            short_name(doubt.path),
            "measured" if doubt.is_measured else doubt.way.instrument,
            _error(doubt),
            f"{doubt.gap_error * 1e3:.2f}",
            f"{found.turns(doubt.gap_error):.2f}",
            _loss_text(found, doubt.loss),
            _loss_text(found, doubt.loss_left),
        )
    rows.caption = (
        "out by: one standard deviation; gap, turns: how far that moves the best gap; costs: what"
        " that loses in the mean at the gap advised now; then: once it is measured"
    )
    return rows


def _opening(found: Doubts) -> list[str]:
    gap = setting_text("two_speed.gap", found.gap)
    end = ", the end of what was tried" if found.is_at_end else ""
    count = len(found.ranked)
    caliper = measuring_sheet()[field_table.field_of("two_speed.gap").path].error
    moved = f"{found.gap_error * 1e3:.2f} mm, {found.turns(found.gap_error):.2f} turns"
    return [
        f"Best gap for {found.goal.name}: {gap}{end}.",
        f"What is not known of {count} setting{'s' if count != 1 else ''} moves it by {moved} (one"
        f" standard deviation), and costs {_told(found, found.loss)} in the mean; a caliper"
        f" {caliper} out alone costs {_told(found, found.caliper_loss)}.",
    ]


def _tried(found: Doubts) -> str:
    kind = "laps" if isinstance(found.goal.options, LapOptions) else "launches"
    return f"Tried: {found.runs:,} {kind}."


def _worth(found: Doubts) -> str:
    worthwhile = _worthwhile(found)
    if not worthwhile:
        return "All of it counts as measured; nothing is left to gain."
    most = worthwhile[0]
    if most.gain < found.goal.within:
        return (
            f"No measuring gains as much as {_told(found, found.goal.within)}, which counts as"
            f" nothing; most, {_told(found, most.gain)}, is gained by {most.path}."
        )
    return f"Measure {most.path} first: that gains {_told(found, most.gain)} in the mean."


def _worst_measured(found: Doubts) -> list[str]:
    worst = max(found.ranked, key=lambda doubt: doubt.loss, default=None)
    if worst is None or not (worst.is_measured and worst.loss > 0.0):
        return []
    return [f"Most of it by {worst.path}, though it is measured: {_told(found, worst.loss)}."]


def _worthwhile(found: Doubts) -> list[Doubt]:
    return [each for each in _costly(found) if each.gain > 0.0]


def _costly(found: Doubts) -> list[Doubt]:
    """Leave out what costs next to nothing beside the rest."""
    least = _LEAST_LOSS * max((each.loss for each in found.ranked), default=0.0)
    return [each for each in found.ranked if each.loss > least]


def _error(doubt: Doubt) -> str:
    written = doubt.way.error if doubt.is_measured else doubt.way.guess
    return written or "other"


def _loss_unit(found: Doubts) -> str:
    if found.goal.unit == "s":
        return "ms"
    return "K" if found.goal.unit == "K" else units.QUANTITIES[found.goal.unit].unit


def _loss_text(found: Doubts, loss: float) -> str:
    if found.goal.unit == "s":
        number = loss * _MS
    elif found.goal.unit in ("1", "K"):
        number = loss
    else:
        number = units.from_si(loss, found.goal.unit, _loss_unit(found))
    digits = 0 if number >= 9.95 else 1 if number >= 0.095 else 2
    return f"{number:.{digits}f}"


def _told(found: Doubts, loss: float) -> str:
    if found.goal.unit == "s":
        return f"{_loss_text(found, loss)} ms"
    return with_unit(loss, found.goal.unit, is_difference=True)
