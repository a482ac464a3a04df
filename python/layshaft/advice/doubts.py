"""What it costs the advice that numbers of the car are not known, and which to measure first.

Each setting alone is moved by one standard deviation to either side, and the best gap found anew
there. The two points stand for the whole distribution: the mean square of a shift and the mean of a
loss over them are exact where the best gap moves in proportion and the loss grows with the square,
and they are taken at the size of the doubt, so that a bend there counts, as in a slope it would
not. Drawing all settings at random takes thousands of cars to tell the fifth from the sixth; two
of each do. Together the settings are taken as independent: squares of shifts add up, and so do
losses. What a measurement leaves is reckoned in proportion, losses with the square.

A goal with a target is missed in proportion, not with the square: there a loss at one standard
deviation is multiplied by that of the mean of a normal number without its sign, the square root of
2/pi, losses add up as shifts do, and what is left is in proportion.
A choice that nobody saw is as likely any of them.

Where guesses are so wide that curves bend and settings work together, all of it comes to more than
their sum: of spring and zero reading, both guessed, 240 demo cars drawn moved the best gap up to a
seventh more and lost about twice as much. At the size of measured ones they agree within the
draw's own error.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.doubt_sides import GAP, InDoubt, settings_in_doubt
from layshaft.advice.goals import Goal, goal_reasons, quickest
from layshaft.fitting.measuring_sheet import measuring_sheet, spread_of
from layshaft.mounting.gaps import usual_gaps
from layshaft.mounting.setting_moves import turns_in
from layshaft.runs.failed_runs import Reasons
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.point_runs import run_points
from layshaft.runs.setting_scatter import USUAL_SCATTER, expected_along
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked, checked_names
from layshaft.setup.settings import merged

if TYPE_CHECKING:
    from layshaft.fitting.measuring_sheet import Way

#: Settings that are driven by laps, which take a hundred times as long as launches.
_MOST_BY_LAPS = 10
_FINE = 801  # gaps between which a curve is looked at: 2 um apart


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One setting that is not known: what that costs, and what measuring it leaves; SI units."""

    path: str
    way: "Way"
    is_measured: bool
    error: float  #: standard deviation of the number now, in its SI unit; 1 of an unseen choice
    gap_error: float  #: standard deviation of the best gap for it [m]
    gap_error_left: float  #: once it is measured [m]
    loss: float  #: of the goal, in the mean, at the gap that is advised now
    loss_left: float  #: once it is measured

    @property
    def gain(self) -> float:
        """What measuring it is worth, in the unit of the goal."""
        return self.loss - self.loss_left


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubts:
    """What is not known of a car, that of which measuring gains most first; SI units."""

    car: Car
    goal: Goal
    gap: float  #: best for the car as it is written [m]
    is_at_end: bool  #: it is the first or last gap that was tried
    caliper_loss: float  #: in the mean, of a gap that is set as well as the measuring sheet says
    ranked: tuple[Doubt, ...]
    untried: tuple[str, ...]  #: settings that no car to either side could be driven of
    runs: int  #: launches or laps driven

    @property
    def gap_error(self) -> float:
        """Standard deviation of the best gap for all of it together [m]."""
        return math.hypot(*(each.gap_error for each in self.ranked))

    @property
    def loss(self) -> float:
        """What all of it costs in the mean, in the unit of the goal."""
        losses = [each.loss for each in self.ranked]
        return sum(losses) if self.goal.target is None else math.hypot(*losses)

    def turns(self, gap_error: float) -> float:
        """Return the turns of the screws that an error of the gap [m] comes to."""
        return abs(turns_in(self.car, self.gap, self.gap + gap_error))


def doubts(
    car: Car,
    *,
    measured: Iterable[str] = (),
    settings: Iterable[str] | None = None,
    goal: Goal | None = None,
) -> Doubts:
    """Rank the settings by what measuring each would gain for the advice on the gap.

    Parameters
    ----------
    car
        The car as its set-up file has it.
    measured
        Settings that were measured, as from `layshaft.measured_in`: their error is that of the way
        of the measuring sheet; that of the others is a guess's.
    settings
        Settings to look at; by default all. For laps by default the ten that gain most by launches
        over 60 m, for a lap takes a hundred times as long.
    goal
        From `layshaft.goals`; by default the least time over 60 m from rest.

    Returns
    -------
    Doubts
        Errors of the best gap [m], and losses in the unit of the goal.

    Raises
    ------
    ValueError
        For an unknown setting, and where the car as it is does not reach the goal at any gap.

    Examples
    --------
    >>> import layshaft
    >>> goal = layshaft.goals.quickest(distance="30 m")
    >>> two = ["two_speed.zero_preload_reading", "air.carbon_dioxide"]
    >>> found = layshaft.doubts(layshaft.demo_car(), settings=two, goal=goal)
    >>> [doubt.path for doubt in found.ranked]
    ['two_speed.zero_preload_reading', 'air.carbon_dioxide']
    """
    goal = quickest() if goal is None else checked("goal", goal, Goal, "layshaft.goals.quickest")
    checked_car(car)
    known = checked_names("measured", measured)
    settings = None if settings is None else checked_names("settings", settings)
    if settings == []:
        raise ValueError("settings: name at least one")
    is_lap = isinstance(goal.options, LapOptions)
    if is_lap and settings is None:
        by_launches = doubts(car, measured=known).ranked
        settings = [each.path for each in by_launches[:_MOST_BY_LAPS]]
    goal = replace(goal, scatter=USUAL_SCATTER if is_lap else 0.0)
    caliper = spread_of(GAP, 1.0, measuring_sheet()[field_table.field_of(GAP).path].error)
    wanted = settings_in_doubt(car, settings, known)
    curves = _Curves(car, goal, [{}, *(side.changes for each in wanted for side in each.sides)])
    judged = []
    row = 1
    for each in wanted:
        judged.append(_judged(each, curves, goal, range(row, row + len(each.sides))))
        row += len(each.sides)
    tried = [each for each in judged if each is not None]
    untried = (each.path for each, one in zip(wanted, judged, strict=True) if one is None)
    return Doubts(
        car=car,
        goal=goal,
        gap=curves.best,
        is_at_end=curves.best in (curves.fine[0], curves.fine[-1]),
        caliper_loss=_mean_loss(goal, [curves.loss_beside(sign * caliper) for sign in (-1, 1)]),
        ranked=tuple(sorted(tried, key=lambda one: (-one.gain, -one.loss, -one.gap_error))),
        untried=tuple(untried),
        runs=curves.runs,
    )


class _Curves:
    """The cost over the gap of several cars, the first as it is."""

    def __init__(self, car: Car, goal: Goal, cars: list) -> None:
        gaps = np.array(usual_gaps(car))
        points = [merged(changes, {GAP: float(gap)}) for changes in cars for gap in gaps]
        runs = run_points(car, points, goal.options)
        values = goal.value(runs).reshape(len(cars), len(gaps))
        if goal.scatter > 0.0:
            values = expected_along(gaps, values, goal.scatter)
        self.runs = len(points)
        self.fine = np.linspace(gaps[0], gaps[-1], _FINE)
        self._costs = [self._curve(gaps, row, goal) for row in values]
        if not np.isfinite(self._costs[0]).any():
            why = Reasons(goal_reasons(runs, goal)).describe()
            raise ValueError(f"no gap reaches the goal, {goal.name}: {why}")
        self._own = int(np.argmin(self._costs[0]))
        self.best = float(self.fine[self._own])

    def shift(self, row: int) -> float:
        """Return how far the best gap of a car is from that of the car as it is [m]."""
        return float(self.fine[np.argmin(self._costs[row])]) - self.best

    def loss(self, row: int) -> float:
        """Return what a car loses at the gap that is best for the car as it is."""
        return float(self._costs[row][self._own] - self._costs[row].min())

    def loss_beside(self, way: float) -> float:
        """Return what the car as it is loses at a gap some way from its best [m]."""
        return float(np.interp(self.best + way, self.fine, self._costs[0]) - self._costs[0].min())

    def is_known(self, row: int) -> bool:
        """Tell whether a car reaches the goal, and at that gap too."""
        return bool(np.isfinite(self._costs[row][self._own]))

    def _curve(self, gaps: np.ndarray, values: np.ndarray, goal: Goal) -> np.ndarray:
        from scipy.interpolate import Akima1DInterpolator

        known = np.isfinite(values)
        if known.sum() < 2:
            return np.full(_FINE, np.inf)
        return goal.cost_of(Akima1DInterpolator(gaps[known], values[known])(self.fine))


def _judged(each: InDoubt, curves: _Curves, goal: Goal, rows: range) -> Doubt | None:
    """Judge one setting by the cars to either side of it; nothing where none could be driven."""
    sides = [
        (side, row) for side, row in zip(each.sides, rows, strict=True) if curves.is_known(row)
    ]
    if not sides:
        return None
    shifts = np.array([curves.shift(row) / side.steps for side, row in sides])
    power = 2 if goal.target is None else 1
    losses = [curves.loss(row) / side.steps**power for side, row in sides]
    gap_error, loss = float(np.sqrt(np.mean(shifts**2))), _mean_loss(goal, losses)
    left = each.error_left / each.error
    return Doubt(
        path=each.path,
        way=each.way,
        is_measured=each.is_measured,
        error=each.error,
        gap_error=gap_error,
        gap_error_left=gap_error * left,
        loss=loss,
        loss_left=loss * left**power,
    )


def _mean_loss(goal: Goal, losses: list[float]) -> float:
    """Return the mean over a normal number of a loss that is known a deviation to either side."""
    share = 1.0 if goal.target is None else math.sqrt(2.0 / math.pi)
    return share * float(np.mean(losses))
