"""What was learned of a car, what was seen, and what to observe next."""

import numpy as np

from layshaft.fitting.learned import Learned
from layshaft.fitting.next_observations import Suggestion
from layshaft.fitting.observations import describe
from layshaft.reports.pit_table import PitTable
from layshaft.reports.wording import capital, setting_text, short_name, with_unit
from layshaft.runs.point_runs import scalar_unit
from layshaft.setup.handed_over import checked, checked_list

#: What is to be said of a fit that did not settle.
_ENDS = {
    "rough": "The fit came within a thousandth of its best: jumps of what the car shows hide the"
    " rest.",
    "most_looks": "The fit did not get to its best: take the values for better ones, not the best,"
    " and learn from fewer numbers at a time.",
}


def learned_sentences(learned: "Learned") -> list[str]:
    """Say what was learned, how sure, and what the data leave open.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    checked("learned", learned, Learned, "layshaft.learn")
    lines = []
    for each, before in zip(learned.intervals, learned.unknowns, strict=True):
        value, low, high, guess = (
            setting_text(each.path, number, fine=True)
            for number in (each.value, each.low, each.high, before.guess)
        )
        bound = ", at its bound" if each.at_bound else ""
        lines.append(
            f"{capital(short_name(each.path))}: {value}, 95 % sure {low} to {high};"
            f" was {guess}{bound}."
        )
    lines += [_ENDS[learned.end]] if learned.end in _ENDS else []
    if not learned.agrees:
        lines.append(
            "What was seen does not agree within its errors: look at each value again, and at what"
            " else changed between the runs."
        )
    return [*lines, *learned.ambiguities()]


def seen_rows(learned: "Learned") -> PitTable:
    """Return what was seen beside what the car believed and the car learned show.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    checked("learned", learned, Learned, "layshaft.learn")
    rows = PitTable()
    rows.add_column("seen", is_text=True)
    for heading, rank in (("value", 0), ("as\nbelieved", 1), ("as\nlearned", 0)):
        rows.add_column(heading, rank=rank)
    for row, each in enumerate(learned.numbers):
        unit = "s" if each.measure == "time" else None
        numbers = learned.seen[row], learned.shown_before[row], learned.shown[row]
        rows.add_row(
            describe(each), *(_seen_number(each.measure, unit, number) for number in numbers)
        )
    if len(learned.seen) > len(learned.numbers):
        part = slice(len(learned.numbers), None)
        off = [
            np.sqrt(np.mean(((shown - learned.seen) / learned.errors)[part] ** 2))
            for shown in (learned.shown_before, learned.shown)
        ]
        count = len(learned.seen) - len(learned.numbers)
        rows.add_row(f"log, {count} samples: misfit in errors", "", *(f"{x:.2f}" for x in off))
    return rows


def suggestion_sentence(suggestions: "list[Suggestion]") -> str:
    """Say which observation would help most, alone and as one of two.

    Returns
    -------
    str
        A sentence, numbers in the units of the workshop.
    """
    for each in checked_list("suggestions", suggestions, "suggestions"):
        checked("suggestions", each, Suggestion, "layshaft.suggest")
    if not any(len(each.observations) == 1 for each in suggestions):
        raise ValueError("suggestions: there are none")
    one = next(each for each in suggestions if len(each.observations) == 1)
    two = next((each for each in suggestions if len(each.observations) == 2), one)
    best = two if two.volume < 0.9 * one.volume else one
    now, then = (f"+/- {1.96 * share:.0%}" for share in (best.now, best.then))
    name = short_name(best.loosest)
    if now == then:
        less = f"takes {1.0 - best.volume:.0%} off all doubts together, none off {name}, {now}"
        return f"Next, take {best.text}: that {less}."
    return f"Next, take {best.text}: {name} would be known to {then} instead of {now}."


def _seen_number(measure: str, unit: str | None, number: float) -> str:
    return with_unit(number, unit or scalar_unit(measure)) if np.isfinite(number) else "-"
