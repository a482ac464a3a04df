"""How sure a recommendation is: the same judged on cars drawn from what is known of this one."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from layshaft.choices import Choices, merged
from layshaft.goals import Goal
from layshaft.learned import WIDTH_95
from layshaft.point_runs import run_points

if TYPE_CHECKING:
    from layshaft.learned import Learned

_DRAWS = 32
_LINE = 9
_SEED = 20


@dataclass(frozen=True, slots=True)
class Sureness:
    """What the uncertainty of a learned car leaves of the recommendation."""

    path: str
    best_low: float  #: 95 % interval of the best setting
    best_high: float
    shift_low: float  #: 95 % interval of the shift speed at the recommended setting [m/s]
    shift_high: float
    better_than_present: float  #: share of plausible cars for which it is at least as good


def judge_sureness(
    learned: "Learned", goal: Goal, best: Mapping[str, float], choices: Choices
) -> Sureness | None:
    """Judge the recommendation on cars drawn from what is known of this one."""
    if not choices.ranges:
        return None
    path, (low, high) = next(iter(choices.ranges.items()))
    draws = learned.draws(_DRAWS, seed=_SEED)
    settings = np.linspace(low, high, _LINE)
    each = [{}, best, *(merged(best, {path: float(value)}) for value in settings)]
    points = [merged(draw, point) for draw in draws for point in each]
    runs = run_points(learned.car, points, goal.options)
    values = goal.value(runs).reshape(len(draws), len(each))
    costs = goal.cost_of(values)
    shifts = runs["shift_speed"].reshape(values.shape)[:, 1]
    bests = np.array([_best_between(settings, row[2:], goal) for row in values])
    middle, spread = np.nanmean(bests), WIDTH_95 * np.nanstd(bests)
    return Sureness(
        path=path,
        best_low=float(max(middle - spread, low)),
        best_high=float(min(middle + spread, high)),
        shift_low=float(np.nanmean(shifts) - WIDTH_95 * np.nanstd(shifts)),
        shift_high=float(np.nanmean(shifts) + WIDTH_95 * np.nanstd(shifts)),
        better_than_present=float(np.mean(costs[:, 1] <= costs[:, 0])),
    )


def _best_between(settings: np.ndarray, values: np.ndarray, goal: Goal) -> float:
    """Find the best setting on a monotone cubic through the points that are known."""
    from scipy.interpolate import PchipInterpolator

    known = np.isfinite(values)
    if known.sum() < 2:
        return float("nan")
    fine = np.linspace(settings[known][0], settings[known][-1], 401)
    between = PchipInterpolator(settings[known], values[known])(fine)
    return float(fine[np.argmin(goal.cost_of(between))])
