"""What a trade-off between goals found."""

import numpy as np

from layshaft.advice.goal_front import TradeOff
from layshaft.advice.goals import Goal
from layshaft.advice.no_shift import no_shift_cure
from layshaft.mounting.setting_moves import moves_to
from layshaft.quantities import pit_units
from layshaft.reports.pit_table import PitTable
from layshaft.reports.wording import setting_text, short_name, with_unit
from layshaft.runs.lap_options import LapOptions
from layshaft.setup.handed_over import checked

_MOST_ROWS = 12


def front_sentences(found: TradeOff) -> list[str]:
    """Say what to know before the front: that nothing that was tried shifts, and why.

    Returns
    -------
    list of str
        None where something shifts.
    """
    checked("found", found, TradeOff, "layshaft.trade_off")
    if found.shifts:
        return []
    has_end = not any(isinstance(goal.options, LapOptions) for goal in found.goals)
    cure = no_shift_cure(found.car, found.settings[found.middle], has_end=has_end)
    return [f"Nothing that was tried shifts: {cure}."]


def front_rows(found: TradeOff) -> PitTable:
    """Return the front of a trade-off, the best in the first goal first.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    checked("found", found, TradeOff, "layshaft.trade_off")
    count = min(len(found.front), _MOST_ROWS)
    places = sorted({round(i) for i in np.linspace(0, len(found.front) - 1, count)})
    shown = sorted({*(found.front[i] for i in places), found.middle}, key=found.front.index)
    alike = {
        path: value
        for path, value in found.settings[shown[0]].items()
        if all(found.settings[row][path] == value for row in shown)
    }
    varied = [path for path in found.settings[shown[0]] if path not in alike]
    units_shown = map(_shown_unit, found.goals)
    headings = (f"{g.name}\n{unit}" for g, unit in zip(found.goals, units_shown, strict=True))
    rows = PitTable(*headings)
    for path in varied:
        rows.add_column(short_name(path).replace(" ", "\n"))
    rows.add_column("", rank=1)
    for row in shown:
        costs = [_cost_number(g, c) for g, c in zip(found.goals, found.costs[row], strict=True)]
        settings = [setting_text(path, found.settings[row][path]) for path in varied]
        is_middle = row == found.middle
        rows.add_row(*costs, *settings, "*" if is_middle else "", bold=is_middle)
    steps = "; ".join(move.text for move in moves_to(found.car, alike))
    beyond = [
        f"out of reach: {goal.name}, at best {with_unit(off, goal.unit, is_difference=True)} off"
        for goal, off in zip(found.goals, found.costs.min(axis=0), strict=True)
        if goal.target is not None and off > goal.within
    ]
    captions = ("*: best of both", f"for all of them: {steps}" if steps else "", *beyond)
    rows.caption = "\n".join(filter(None, captions))
    return rows


def _shown_unit(goal: Goal) -> str:
    is_off = goal.target is not None
    _, unit = pit_units.run_text(0.0, goal.unit, is_difference=is_off)
    return f"{unit} off".strip() if is_off else unit


def _cost_number(goal: Goal, cost: float) -> str:
    text, _ = pit_units.run_text(cost, goal.unit, is_difference=goal.target is not None)
    return text
