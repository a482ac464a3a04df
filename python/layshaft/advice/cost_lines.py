"""A goal's cost along each setting, and the plateau on which it counts as none."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from layshaft.advice.choices import Choices
from layshaft.advice.goals import Goal, is_allowed
from layshaft.runs.point_runs import PointRuns
from layshaft.setup.settings import merged

_LINE = 21


@dataclass(frozen=True, slots=True, eq=False)
class CostLine:
    """Values of the goal's measure over one setting, all others at their best."""

    path: str
    settings: np.ndarray
    values: np.ndarray
    shift_speeds: np.ndarray  #: [m/s]
    low: float  #: of the plateau
    high: float
    low_is_end: bool  #: what was allowed ends there, the plateau may not
    high_is_end: bool


def cost_points(
    best: dict[str, float], choices: Choices, steps: Mapping[str, float]
) -> dict[str, list[dict[str, float]]]:
    """Return points along each setting that has an order."""
    lines = {}
    for path, (low, high) in choices.ranges.items():
        count = round((high - low) / steps[path]) + 1 if path in steps else _LINE
        values = sorted({*np.linspace(low, high, count).tolist(), best[path]})
        lines[path] = [merged(best, {path: value}) for value in values]
    for path, values in choices.lists.items():
        if len(values) > 1:
            lines[path] = [merged(best, {path: value}) for value in values]
    return lines


def cost_lines(
    lines: dict[str, list[dict[str, float]]],
    runs: PointRuns,
    goal: Goal,
    limits: Mapping[str, float],
    best_cost: float,
) -> tuple[CostLine, ...]:
    """Judge the runs at those points, which follow those of the present car and of the best."""
    judged = []
    allowed = is_allowed(runs, limits)
    start = 2
    for path, points in lines.items():
        part = slice(start, start + len(points))
        start += len(points)
        settings = np.array([point[path] for point in points])
        values = goal.value(runs)[part]
        costs = np.where(allowed[part], goal.cost_of(values), np.inf)
        low, high = plateau(settings, costs, int(np.argmin(costs)), best_cost + goal.within)
        ends = low == settings[0], high == settings[-1]
        judged.append(CostLine(path, settings, values, runs["shift_speed"][part], low, high, *ends))
    return tuple(judged)


def plateau(settings: np.ndarray, costs: np.ndarray, best: int, most: float) -> tuple[float, float]:
    """Find the ends of the plateau, on straight lines between the points."""
    ends = []
    for step in (-1, 1):
        at = best
        while 0 <= at + step < len(costs) and costs[at + step] <= most:
            at += step
        end = settings[at]
        beyond = at + step
        if 0 <= beyond < len(costs) and np.isfinite(costs[beyond]) and costs[at] < most:
            share = (most - costs[at]) / (costs[beyond] - costs[at])
            end += share * (settings[beyond] - end)
        ends.append(float(end))
    return ends[0], ends[1]
