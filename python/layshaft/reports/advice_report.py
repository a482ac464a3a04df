"""What advice reads like: what to do first, then how much it matters and how sure it is."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.choices import rounded
from layshaft.advice.confidence import Confidence
from layshaft.advice.cost_lines import CostLine
from layshaft.advice.no_shift import no_shift_cure
from layshaft.advice.recommendation import Recommendation
from layshaft.advice.small_errors import Effect
from layshaft.mounting.setting_moves import moves_to, turns_in, turns_text
from layshaft.quantities.pit_units import KMH
from layshaft.reports.wording import capital, setting_text, short_name, with_unit
from layshaft.runs.lap_options import LapOptions
from layshaft.setup.handed_over import checked

if TYPE_CHECKING:
    from layshaft.advice.goals import Goal


_GAP = "two_speed.gap"
#: By SI unit: less is below what the numbers can tell, and what is printed.
_LEAST_GAINS = {"s": 1e-3, "K": 0.1, "m/s": 0.1 / KMH}


def advice_sentences(advice: Recommendation) -> list[str]:
    """Say what to do, how sure that is, and how much it matters.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    checked("advice", advice, Recommendation, "layshaft.recommend")
    lines = [*_no_shift(advice), *_out_of_reach(advice)]
    # Without a shift its settings do nothing; all else may still do something.
    of_shift_alone = all(path.startswith("two_speed.") for path in advice.settings)
    if advice.shifts or advice.is_worth_it or not of_shift_alone:
        lines += [what_to_do(advice), *_spared(advice), *_less_work(advice)]
    if advice.missed:
        which = f"{advice.missed} of {advice.tried} settings tried do not get there"
        lines.append(f"{which}: {advice.reasons}.")
    if advice.confidence is not None:
        lines.append(confidence_sentence(advice, advice.confidence))
    lines += [
        _plateau(line, advice.goal)
        for line in advice.lines
        # A setting of the shift does nothing without one.
        if advice.shifts or not line.path.startswith("two_speed.")
    ]
    # Without a shift there is none to move.
    lines += [_effect(each, advice) for each in advice.effects if np.isfinite(each.shift_speed)]
    return [*lines, *_mean_over(advice), *_resolved(advice)]


def _no_shift(advice: Recommendation) -> list[str]:
    """Say that nothing that was tried shifts, why, and whether the car as it is does."""
    if advice.shifts:
        return []
    goal = advice.goal
    is_lap = isinstance(goal.options, LapOptions)
    where = "on this track" if is_lap else f"over {goal.options.distance:g} m"
    ranges = [
        f"{short_name(line.path)} {setting_text(line.path, line.settings[0])}"
        f" to {setting_text(line.path, line.settings[-1])}"
        for line in advice.lines
    ]
    cure = no_shift_cure(advice.car, advice.settings, has_end=not is_lap)
    said = f"Nothing that was tried shifts {where}{_listed(ranges)}: {cure}."
    if np.isfinite(advice.present_shift_speed):
        now = f"{advice.present_shift_speed * KMH:.0f} km/h"
        return [f"{said} The car as it is shifts at {now}: better leave it."]
    return [said]


def _listed(ranges: list[str]) -> str:
    return f", {', '.join(ranges)}" if ranges else ""


def _out_of_reach(advice: Recommendation) -> list[str]:
    """Say that what is aimed at lies beyond all that was tried, and what comes nearest."""
    goal = advice.goal
    if goal.target is None or advice.cost <= goal.within:
        return []
    settings = ", ".join(
        f"{short_name(path)} {setting_text(path, value)}" for path, value in advice.settings.items()
    )
    return [
        f"Out of reach of what was tried: {goal.name}. The nearest is"
        f" {_measured(goal, advice.value)}, with {settings}."
    ]


def what_to_do(advice: Recommendation) -> str:
    """Say what to do, and what that brings."""
    goal, gain = advice.goal, advice.gain
    steps = "; ".join(move.text for move in advice.moves)
    at = _reached(advice)
    if not advice.moves:
        return f"Leave everything as it is: {at}."
    if advice.present_fault:
        return f"{capital(steps)}: {gain_sentence(advice)}"
    if gain < 0.0:
        worse = _gain(goal, -gain)
        return f"Leave everything as it is: the best that was tried ({steps}) is {worse} worse."
    better = _gain(goal, gain)
    if advice.is_worth_it:
        return f"{capital(steps)}: {gain_sentence(advice)}"
    if gain <= goal.within:
        return f"Leave it: the best ({steps}) gains {better}, too little to notice."
    give_or_take = _loss(goal, advice.gain_error)
    return (
        f"Leave it: the best ({steps}) gains {better}, give or take {give_or_take}: no more than"
        " the doubt about it."
    )


def gain_sentence(advice: Recommendation) -> str:
    """Say what the advised setting reaches, and how much better that is than now."""
    at = _reached(advice)
    if advice.present_fault:
        return f"{at}; the car as it is {advice.present_fault}."
    return f"{at}, {_gain(advice.goal, advice.gain)} better than now."


def _spared(advice: Recommendation) -> list[str]:
    """Name what may change and need not, with what it would gain."""
    if not advice.spared:
        return []
    parts = [
        f"{' and '.join(map(short_name, each.paths))}, {_gain(advice.goal, each.gain)}"
        for each in advice.spared
    ]
    return [f"Leave as is what would gain too little to notice: {'; '.join(parts)}."]


def _mean_over(advice: Recommendation) -> list[str]:
    goal = advice.goal
    if not goal.scatter > 0.0:
        return []
    scatter = f"{goal.scatter * 1e3:.2f} mm"
    width = ""
    if goal.measure == "time":
        width = f"; single laps are {_gain(goal, advice.width)} either side of it"
    return [f"All is the mean over a gap that is {scatter} out by caliper and friction{width}."]


def _resolved(advice: Recommendation) -> list[str]:
    """Say how fine the search was; a dip narrower than that may have been stepped over."""
    if not advice.steps:
        return []
    parts = [
        f"{short_name(path)} every {setting_text(path, step)}"
        for path, step in advice.steps.items()
    ]
    return [f"Tried: {', '.join(parts)}; what is narrower may have been stepped over."]


def _less_work(advice: Recommendation) -> list[str]:
    """Name the setting that loses too little to notice and takes the fewest parts to change."""
    near = [each for each in advice.others if each.cost <= advice.cost + advice.goal.within]
    easiest = min(near, key=lambda each: len(moves_to(advice.car, each.settings)), default=None)
    if easiest is None or advice.gain <= advice.goal.within:
        return []
    moves = moves_to(advice.car, rounded(easiest.settings, easiest.settings))
    if len(moves) >= len(advice.moves):
        return []
    loss = _loss(advice.goal, max(easiest.cost - advice.cost, 0.0))
    steps = "; ".join(move.text for move in moves) or "leave everything as it is"
    return [f"Less work, and only {loss} behind: {steps}."]


def _reached(advice: Recommendation) -> str:
    if advice.goal.measure == "shift_speed":
        return f"shift at {advice.shift_speed * KMH:.1f} km/h"
    text = f"{advice.goal.name} {_measured(advice.goal, advice.value)}"
    if np.isfinite(advice.shift_speed):
        text += f", shift at {advice.shift_speed * KMH:.0f} km/h"
    return text


def _gain(goal: "Goal", gain: float) -> str:
    least = _LEAST_GAINS.get(goal.unit, 0.0)
    if gain < least:
        return f"under {_loss(goal, least)}"
    return _loss(goal, gain)


def confidence_sentence(advice: Recommendation, sure: Confidence) -> str:
    """Say how sure the advice is, by the doubts of a learned car."""
    parts = []
    if sure.path is not None:
        parts.append(_sure_range(advice, sure, sure.path))
    if np.isfinite(sure.shift_low):
        parts.append(f"shift then {sure.shift_low * KMH:.0f} to {sure.shift_high * KMH:.0f} km/h")
    share = f"{sure.better_than_present:.0%} of plausible cars"
    parts.append(f"at least as good as now for {share}")
    if advice.others:
        parts.append(f"no other parts notably better for {sure.best_of_all:.0%}")
    if sure.keeps_limits < 1.0:
        parts.append(f"limits kept by {sure.keeps_limits:.0%}")
    return f"95 % sure: {'; '.join(parts)}."


def _sure_range(advice: Recommendation, sure: Confidence, path: str) -> str:
    low, high = (setting_text(path, value) for value in (sure.best_low, sure.best_high))
    text = f"best {short_name(path)} {low} to {high}"
    if path == _GAP and not any(m.startswith("two_speed.shoe") for m in advice.settings):
        ends = (sure.best_low, sure.best_high)
        turns = [turns_text(turns_in(advice.car, advice.settings[_GAP], end)) for end in ends]
        text += f", the screws {turns[0]} to {turns[1]} from there"
    if sure.low_is_end or sure.high_is_end:
        text += f" and maybe beyond, for what was tried ends at {low if sure.low_is_end else high}"
    return text


def _plateau(line: CostLine, goal: "Goal") -> str:
    low, high = (setting_text(line.path, value) for value in (line.low, line.high))
    within = _loss(goal, goal.within)
    if low == high:
        return f"{capital(short_name(line.path))}: any other than {low} loses more than {within}."
    text = f"{capital(short_name(line.path))}: {low} to {high} is within {within} of the best"
    ends = [t for t, is_end in ((low, line.low_is_end), (high, line.high_is_end)) if is_end]
    further = f"; it may go on beyond {' and '.join(ends)}" if ends else ""
    return f"{text}{further}."


def _effect(effect: Effect, advice: Recommendation) -> str:
    shift = f"moves the shift by up to {effect.shift_speed * KMH:.1f} km/h"
    costs = "" if advice.goal.measure == "shift_speed" else _costs(advice.goal, effect.loss)
    if effect.what == "caliper":
        return f"A caliper {effect.change * 1e3:.2f} mm out {shift}{costs}."
    return f"Slugs {effect.change * 1e3:.2g} g heavier or lighter: it {shift}{costs}."


def _costs(goal: "Goal", loss: float) -> str:
    if not np.isfinite(loss) or loss <= 0.0 or loss < _LEAST_GAINS.get(goal.unit, 0.0):
        return " and costs nothing to speak of"
    return f" and costs up to {_loss(goal, loss)}"


def _measured(goal: "Goal", value: float) -> str:
    return with_unit(value, goal.unit)


def _loss(goal: "Goal", loss: float) -> str:
    return with_unit(loss, goal.unit, is_difference=True)
