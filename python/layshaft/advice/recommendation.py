"""Which setting: the best for a goal, how wide it is, the way there, and how sure it is."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from layshaft.advice.choices import Choices, rounded
from layshaft.advice.confidence import Confidence, judge_confidence
from layshaft.advice.cost_lines import CostLine, cost_lines, cost_points
from layshaft.advice.goals import Goal, is_allowed, quickest, read_limits
from layshaft.advice.needed_moves import Spared, spare_moves
from layshaft.advice.new_warnings import new_warnings
from layshaft.advice.parts_choices import read_all_choices
from layshaft.advice.setting_search import Found, search
from layshaft.advice.small_errors import Effect, effect_points, judged_effects
from layshaft.fitting.learned import checked_learned
from layshaft.mounting.setting_moves import Move, moves_to
from layshaft.quantities import units
from layshaft.quantities.html_table import html_table
from layshaft.quantities.pit_units import run_text
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.remembered_runs import RememberedRuns
from layshaft.runs.run_warnings import Warned
from layshaft.runs.setting_scatter import USUAL_SCATTER
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked

if TYPE_CHECKING:
    from layshaft.fitting.learned import Learned
    from layshaft.setup.parts_at_hand import Parts

_MOST_SCATTER = 1e-3  # [m]


@dataclass(frozen=True, slots=True, eq=False)
class Recommendation:
    """A setting, and what is needed to judge it; SI units."""

    car: Car  #: as it is now
    goal: Goal
    settings: dict[str, float]
    cost: float
    value: float  #: of the goal's measure
    present_cost: float  #: infinite where the car as it is misses the goal or breaks a limit
    present_breaks: tuple[str, ...]  #: limits that the car as it is breaks
    width: float  #: standard deviation of the time over the goal's scatter of the gap [s]
    shift_speed: float  #: [m/s]
    present_shift_speed: float  #: [m/s]
    shifts: bool  #: whether anything that was tried shifts
    moves: tuple[Move, ...]
    spared: tuple[Spared, ...]  #: what may change and need not
    lines: tuple[CostLine, ...]
    effects: tuple[Effect, ...]
    others: tuple[Found, ...]  #: next best combinations
    tried: int  #: settings looked at first, all over what may be chosen
    missed: int  #: of them: do not reach the goal
    reasons: str  #: why not, with how often; empty where all do
    steps: dict[str, float]  #: of each range: what is narrower may have been stepped over
    warnings: tuple[Warned, ...]  #: of the recommended car, not of the present one
    confidence: Confidence | None

    @property
    def gain(self) -> float:
        """What is gained over the present setting."""
        return self.present_cost - self.cost

    @property
    def gain_error(self) -> float:
        """How uncertain the gain is, as a standard deviation; 0 where nothing is known of it.

        That of a lap comes from the scatter of the gap, that of a learned car from its doubts.
        """
        learned = 0.0 if self.confidence is None else self.confidence.gain_error
        return float(np.hypot(self.width, np.nan_to_num(learned)))

    @property
    def is_worth_it(self) -> bool:
        """Whether it gains more than what counts as none, and more than its uncertainty."""
        return bool(self.moves) and self.gain > max(self.goal.within, self.gain_error)

    @property
    def present_fault(self) -> str:
        """What the car as it is does wrong, so that no gain can be told; empty where one can."""
        if np.isfinite(self.gain):
            return ""
        broken = ", ".join(name.replace("_", " ") for name in self.present_breaks)
        return f"goes beyond the limit of {broken}" if broken else "does not get there"

    def _repr_html_(self) -> str:
        value = " ".join(run_text(self.value, self.goal.unit)).strip()
        apart = " ".join(run_text(abs(self.gain), self.goal.unit, is_difference=True)).strip()
        beside = f"{apart} {'worse' if self.gain < 0.0 else 'better'} than now"
        if self.present_fault:
            beside = f"the car as it is {self.present_fault}"
        rows = [(move.text,) for move in self.moves if self.is_worth_it]
        text = f"{self.goal.name}: {value}, {beside}"
        return html_table(text, ("to do",), rows or [("leave all as it is",)])


def recommend(
    car: Car,
    over: Mapping[str, object] | None = None,
    *,
    goal: Goal | None = None,
    limits: Mapping[str, Given] | None = None,
    parts: "Parts | None" = None,
    learned: "Learned | None" = None,
    scatter: Given | None = None,
) -> Recommendation:
    """Find the setting that is best for a goal.

    Parameters
    ----------
    car
        The car as it is now. With `learned` it is the car that was learned.
    over
        What may be chosen: path of a field to `layshaft.Between(low, high)` or to a list of values.
        By default the gap of the two-speed, to 0.8 mm either side.
    goal
        From `layshaft.goals`; by default the least time over 60 m from rest.
    limits
        Upper limits of scalars of a run, `{"peak_engine_speed": "42 krpm"}`.
    parts
        Parts at hand: every combination of its gears that mesh on one centre distance, its pulleys,
        tyres and slugs is tried.
    learned
        What `layshaft.learn` returned; gives the uncertainty.
    scatter
        Standard deviation of the gap by caliper, friction and driver [m]; settings are judged by
        the mean over it. By default 0.05 mm for a lap, whose time has steps where a shift just
        comes or does not, and none for a launch.

    Returns
    -------
    Recommendation
        The settings as stored numbers in SI units, the moves that lead there, the plateau of each
        setting, and the gain in the unit of the goal.

    Raises
    ------
    ValueError
        If a choice is invalid, and when no setting keeps all limits.

    Examples
    --------
    >>> import layshaft
    >>> over = {"two_speed.gap": layshaft.Between("4.0 mm", "4.6 mm")}
    >>> goal = layshaft.goals.shift_at("68 km/h", distance="30 m")
    >>> advice = recommend(layshaft.demo_car(), over, goal=goal)
    >>> bool(abs(advice.shift_speed * 3.6 - 68) < 0.5)
    True
    """
    asked = quickest() if goal is None else checked("goal", goal, Goal, "layshaft.goals.quickest")
    asked = replace(asked, scatter=_scatter(asked, scatter))
    goal = replace(asked, driven=RememberedRuns(asked.options))
    present = checked_car(car) if learned is None else checked_learned(learned).car
    choices = read_all_choices(present, _usual_gaps(present) if over is None else over, parts)
    most = read_limits({} if limits is None else limits, goal.options)
    looked = search(present, choices, goal, most)
    found = looked.found
    best = rounded(found[0].settings, choices.ranges)
    if not is_allowed(goal.runs(present, [best]), most)[0]:
        best = found[0].settings
    best, spared = _without_noise(present, choices, goal, most, best)
    # Neighbours on the grid share their runs where a mean over them is taken.
    steps = looked.steps if goal.scatter > 0.0 else {}
    lines = cost_points(best, choices, steps)
    effects = effect_points(present, best, parts)
    points = [{}, best, *(point for line in lines.values() for point in line), *effects.values()]
    runs = goal.runs(present, points)
    costs, shifts = goal.cost(runs), runs["shift_speed"]
    broken = tuple(name for name, limit in most.items() if not runs[name][0] <= limit)
    return Recommendation(
        car=present,
        goal=asked,
        settings=best,
        cost=float(costs[1]),
        value=float(goal.value(runs)[1]),
        present_cost=np.inf if broken else float(costs[0]),
        present_breaks=broken,
        width=goal.width(present, best),
        shift_speed=float(shifts[1]),
        present_shift_speed=float(shifts[0]),
        shifts=looked.shifts or bool(np.isfinite(shifts[1:]).any()),
        moves=moves_to(present, best),
        spared=spared,
        lines=cost_lines(lines, runs, goal, most, float(costs[1])),
        effects=judged_effects(
            effects, costs[-len(effects) :], shifts[-len(effects) :], runs, goal
        ),
        others=tuple(found[1:]),
        tried=looked.tried,
        missed=looked.missed,
        reasons=looked.reasons,
        steps=looked.steps,
        warnings=new_warnings(present, best, runs, 1),
        confidence=None
        if learned is None
        else judge_confidence(learned, goal, best, choices, most, found[1:]),
    )


def _scatter(goal: Goal, scatter: Given | None) -> float:
    if scatter is None:
        return USUAL_SCATTER if isinstance(goal.options, LapOptions) else 0.0
    number = units.read("scatter", scatter, "m")
    if not 0.0 <= number <= _MOST_SCATTER:
        most = f"{_MOST_SCATTER * 1e3:g} mm"
        raise ValueError(f"scatter = {shown(scatter)} must be from 0 to {most}")
    return number


def _without_noise(
    car: Car, choices: Choices, goal: Goal, limits: Mapping[str, float], best: dict[str, float]
) -> tuple[dict[str, float], tuple[Spared, ...]]:
    """Take back moves that gain nothing to speak of, where others do; else all is left anyway."""
    costs = goal.cost(goal.runs(car, [{}, best]))
    if costs[0] - costs[1] <= goal.within:
        return best, ()
    return spare_moves(car, choices, goal, limits, best)


def _usual_gaps(car: Car) -> dict[str, Any]:
    from layshaft.advice.choices import Between
    from layshaft.mounting.gaps import usual_gaps

    gaps = usual_gaps(car)
    return {"two_speed.gap": Between(gaps[0], gaps[-1])}
