"""How sure a recommendation is: the same judged on cars drawn from what is known of this one.

What it leaves out: doubts of the learned car are taken as normal around its values (see `learned`),
and nothing that was not learned is in doubt. On each car the first range is looked through, all
else as recommended; of other combinations the nearest few are tried, each at its own best setting
on the learned car. Intervals are quantiles of the cars drawn: their ends are themselves out by some
6 % of their width (standard error of the 2.5 % quantile of 128 normal draws, .24 deviations).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.choices import Choices
from layshaft.advice.goals import Goal, is_allowed
from layshaft.advice.setting_search import Found
from layshaft.runs.point_runs import run_points
from layshaft.setup.settings import merged

if TYPE_CHECKING:
    from layshaft.fitting.learned import Learned

_DRAWS = 128
_MOST_OTHERS = 3
_IN_95 = (0.025, 0.975)
_LINE = 9
_SEED = 20


@dataclass(frozen=True, slots=True)
class Confidence:
    """What the uncertainty of a learned car leaves of the recommendation."""

    path: str | None  #: the range that was looked through; `None` without ranges
    best_low: float  #: 95 % interval of the best setting of it
    best_high: float
    low_is_end: bool  #: what was allowed ends there, the interval may not
    high_is_end: bool
    shift_low: float  #: 95 % interval of the shift speed at the recommended setting [m/s]
    shift_high: float
    better_than_present: float  #: share of plausible cars for which it is at least as good
    best_of_all: float  #: share for which no other combination is better by what counts as a loss
    keeps_limits: float  #: share for which it keeps all limits
    gain_error: float  #: standard deviation of the gain over the present setting


def judge_confidence(
    learned: "Learned",
    goal: Goal,
    best: Mapping[str, float],
    choices: Choices,
    limits: Mapping[str, float],
    others: Sequence[Found] = (),
) -> Confidence:
    """Judge the recommendation on cars drawn from what is known of this one."""
    path, (low, high) = next(iter(choices.ranges.items()), (None, (np.nan, np.nan)))
    settings = np.array([]) if path is None else np.linspace(low, high, _LINE)
    rivals = [other.settings for other in others[:_MOST_OTHERS]]
    line = [merged(best, {str(path): float(value)}) for value in settings]
    each = [{}, best, *rivals, *line]
    draws = learned.draws(_DRAWS, seed=_SEED)
    runs = run_points(
        learned.car, [merged(d, point) for d in draws for point in each], goal.options
    )
    shape = (len(draws), len(each))
    values, allowed = goal.value(runs).reshape(shape), is_allowed(runs, limits).reshape(shape)
    costs = np.where(allowed, goal.cost_of(values), np.inf)
    start = 2 + len(rivals)
    known = np.where(allowed, values, np.nan)[:, start:]
    bests = np.array([_best_between(settings, row, goal) for row in known])
    best_low, best_high = _interval(bests)
    shift_low, shift_high = _interval(runs["shift_speed"].reshape(shape)[:, 1])
    rival = costs[:, 2:start].min(axis=1, initial=np.inf)
    return Confidence(
        path=path,
        best_low=best_low,
        best_high=best_high,
        low_is_end=best_low == low,
        high_is_end=best_high == high,
        shift_low=shift_low,
        shift_high=shift_high,
        better_than_present=float(np.mean(costs[:, 1] <= costs[:, 0])),
        best_of_all=float(np.mean(costs[:, 1] <= rival + goal.within)),
        keeps_limits=float(np.mean(allowed[:, 1])),
        gain_error=_gain_error(costs[:, 0], costs[:, 1]),
    )


def _gain_error(before: np.ndarray, after: np.ndarray) -> float:
    known = np.isfinite(before) & np.isfinite(after)
    return float(np.std(before[known] - after[known])) if known.any() else float("nan")


def _interval(values: np.ndarray) -> tuple[float, float]:
    known = values[np.isfinite(values)]
    if not len(known):
        return float("nan"), float("nan")
    low, high = np.quantile(known, _IN_95)
    return float(low), float(high)


def _best_between(settings: np.ndarray, values: np.ndarray, goal: Goal) -> float:
    """Find the best setting on a smooth curve through the points that are known.

    A curve that keeps between neighbouring points would be best at a point itself, so that the
    interval came in steps of the line.
    """
    from scipy.interpolate import Akima1DInterpolator

    known = np.isfinite(values)
    if known.sum() < 2:
        return float("nan")
    fine = np.linspace(settings[known][0], settings[known][-1], 401)
    between = Akima1DInterpolator(settings[known], values[known])(fine)
    return float(fine[np.argmin(goal.cost_of(between))])
