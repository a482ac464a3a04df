"""Search for the best setting: single choices all tried, ranges by a grid and then an optimiser."""

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from layshaft import _core
from layshaft.advice.choices import Choices
from layshaft.advice.goals import Goal, goal_reasons, is_allowed
from layshaft.advice.setting_advice import present_setting
from layshaft.quantities.pit_units import run_text
from layshaft.runs.failed_runs import Reasons
from layshaft.runs.point_runs import PointRuns, scalar_unit
from layshaft.setup.car import Car
from layshaft.setup.settings import merged

#: Grid points to a range, by the number of ranges.
_GRID = {0: 1, 1: 11, 2: 7, 3: 5}
_FINEST_GRID = 4
#: Points of a grid that is made fine for the scatter of the gap.
_MOST_ON_GRID = 400
_GAP = "two_speed.gap"
#: Combinations whose ranges are searched finely.
_MOST_REFINED = 12
#: Least step of the search, as a share of a range: 0.005 mm of a range of 1 mm.
_STEP = 5e-3
_MOST_RUNS = 60
#: Share of what counts as a loss to which two settings are alike.
_ALIKE = 0.1
_WORST = 1e3  #: Cost of a run that fails.


class Search(NamedTuple):
    """What a search found, the best first, and what of it was nothing."""

    found: "list[Found]"
    tried: int  #: settings of the grid, all of which were run
    missed: int  #: of them: do not reach the goal
    reasons: str  #: why not
    shifts: bool  #: whether any of them shifts
    steps: dict[str, float]  #: of each range: what is narrower may have been stepped over


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """The best of one combination of single choices."""

    settings: dict[str, float]
    cost: float


def search(car: Car, choices: Choices, goal: Goal, limits: Mapping[str, float]) -> Search:
    """Find the best setting of each combination that keeps the limits, the best first.

    Of those that are alike to a tenth of what counts as a loss, the one that takes the fewest parts
    to change is first.

    Raises
    ------
    ValueError
        If nothing keeps the limits; the message says how near it came.
    """
    combinations = choices.combinations()
    counts = _counts(choices, goal, len(combinations))
    points = [merged(one, each) for one in combinations for each in choices.grid(counts)]
    runs = goal.runs(car, points)
    cost = np.where(is_allowed(runs, limits), goal.cost(runs), np.inf)
    if not np.isfinite(cost).any():
        raise ValueError(_nothing_found(runs, goal, limits))
    table = cost.reshape(len(combinations), *counts)
    found = _found(car, choices, goal, limits, points, table)
    missed = list(goal_reasons(runs, goal))
    shifts = bool(np.isfinite(runs["shift_speed"]).any())
    steps = {
        path: (high - low) / (count - 1)
        for (path, (low, high)), count in zip(choices.ranges.items(), counts, strict=True)
    }
    return Search(found, len(points), len(missed), Reasons(missed).describe(), shifts, steps)


def _counts(choices: Choices, goal: Goal, combinations: int) -> list[int]:
    """Return the grid points to each range; with a scatter of the gap they lie no further apart."""
    usual = _GRID.get(len(choices.ranges), _FINEST_GRID)
    counts = dict.fromkeys(choices.ranges, usual)
    if goal.scatter > 0.0 and _GAP in counts:
        low, high = choices.ranges[_GAP]
        others = combinations * usual ** (len(counts) - 1)
        fine = int(np.ceil((high - low) / goal.scatter - 1e-9)) + 1
        most = max(_MOST_ON_GRID // others, usual)
        counts[_GAP] = min(fine, most)
    return list(counts.values())


def _found(
    car: Car,
    choices: Choices,
    goal: Goal,
    limits: Mapping[str, float],
    points: list[dict[str, float]],
    table: np.ndarray,
) -> list[Found]:
    """Return the best of each combination; the table has costs over the ranges for each of them."""
    width = int(np.prod(table.shape[1:]))
    starts = [
        Found(points[row * width + int(np.argmin(costs))], float(costs.min()))
        for row, costs in enumerate(table)
        if np.isfinite(costs).any()
    ]
    # A mean over the scatter has no detail finer than the grid.
    if not choices.ranges or goal.scatter > 0.0:
        return _in_order(car, starts, choices, goal)
    hopes = [_hope(costs) for costs in table if np.isfinite(costs).any()]
    promising = _promising(car, starts, hopes, choices)
    with ThreadPoolExecutor() as pool:
        refined = pool.map(
            lambda row: _refined(
                car, choices, goal, limits, starts[row], 1.0 / (table.shape[1] - 1)
            ),
            promising,
        )
        rest = [start for row, start in enumerate(starts) if row not in promising]
        return _in_order(car, [*refined, *rest], choices, goal)


def _promising(car: Car, starts: list[Found], hopes: list[float], choices: Choices) -> list[int]:
    """Return the rows that may still turn out to be the best: hopeful ones, and easy ones."""
    best = min(start.cost for start in starts)
    rows = sorted(range(len(starts)), key=lambda row: (hopes[row], starts[row].cost))
    rows = [row for row in rows if hopes[row] < best] or rows[:1]
    easy = sorted(rows, key=lambda row: _changes(car, starts[row], choices))
    return sorted({*rows[:_MOST_REFINED], *easy[:_MOST_REFINED]})


def _in_order(car: Car, found: list[Found], choices: Choices, goal: Goal) -> list[Found]:
    ordered = sorted(found, key=lambda each: each.cost)
    alike = [e for e in ordered if e.cost <= ordered[0].cost + _ALIKE * goal.within]
    first = min(alike, key=lambda each: _changes(car, each, choices))
    return [first, *(each for each in ordered if each is not first)]


def _changes(car: Car, found: Found, choices: Choices) -> int:
    """Return how many parts a setting takes to change; what is turned anyway does not count."""
    parts = [path for path in found.settings if path not in choices.ranges]
    return sum(present_setting(car, path) != found.settings[path] for path in parts)


def _hope(costs: np.ndarray) -> float:
    """Return how low the cost may go between the points of a grid.

    That is: its least value less the greatest step to a neighbour along each range.

    Examples
    --------
    >>> _hope(np.array([5.0, 2.0, 3.0]))
    -1.0
    """
    place = np.unravel_index(int(np.argmin(costs)), costs.shape)
    steps = []
    for axis, at in enumerate(place):
        line = np.moveaxis(costs, axis, -1)[(*place[:axis], *place[axis + 1 :])]
        near = line[max(at - 1, 0) : at + 2] - line[at]
        steps.append(float(np.max(near[np.isfinite(near)])))
    return float(costs[place] - sum(steps))


def _nothing_found(runs: PointRuns, goal: Goal, limits: Mapping[str, float]) -> str:
    if not np.isfinite(goal.cost(runs)).any():
        why = Reasons(goal_reasons(runs, goal)).describe()
        return f"no setting reaches the goal, {goal.name}: {why}"
    return f"no setting keeps all limits: {nearest_to_limits(runs, limits)}"


def nearest_to_limits(runs: PointRuns, limits: Mapping[str, float]) -> str:
    """Say how near runs come to each limit.

    Examples
    --------
    >>> runs = PointRuns(("peak_speed",), np.array([[20.0], [15.0]]), np.empty(0), (), ())
    >>> nearest_to_limits(runs, {"peak_speed": 10.0})
    'peak_speed is at least 54.0 km/h, allowed is 36.0 km/h'
    """
    return "; ".join(
        f"{name} is at least {_told(name, float(np.nanmin(runs[name])))}, allowed is"
        f" {_told(name, limit)}"
        for name, limit in limits.items()
    )


def _told(scalar: str, value: float) -> str:
    return " ".join(run_text(value, scalar_unit(scalar))).strip()


def _refined(
    car: Car, choices: Choices, goal: Goal, limits: Mapping[str, float], start: Found, step: float
) -> Found:
    """Search around a start: one range between the neighbours of the grid, more by COBYQA.

    COBYQA is a derivative-free trust-region method.
    """
    if len(choices.ranges) == 1:
        return _refined_along(car, choices, goal, limits, start, step)
    from scipy.optimize import Bounds, NonlinearConstraint, minimize

    walk = _Walk(car, choices, goal, limits, start)
    minimize(
        walk.objective,
        walk.shares_of_start(),
        method="COBYQA",
        bounds=Bounds(0.0, 1.0),
        constraints=[NonlinearConstraint(walk.excess, -np.inf, 0.0)] if limits else [],
        options={"initial_tr_radius": step, "final_tr_radius": _STEP, "maxfev": _MOST_RUNS},
    )
    return walk.best


def _refined_along(
    car: Car, choices: Choices, goal: Goal, limits: Mapping[str, float], start: Found, step: float
) -> Found:
    ((path, (low, high)),) = choices.ranges.items()
    at, width = start.settings[path], step * (high - low)

    def judge(setting: float) -> tuple[float, float]:
        runs = goal.runs(car, [merged(start.settings, {path: setting})], threads=1)
        return float(goal.cost(runs)[0]), float(np.max(_excess(runs, limits), initial=-1.0))

    setting, cost = _core.refine(
        judge,
        is_target=goal.target is not None,
        within=goal.within,
        start=(at, start.cost),
        low=max(low, at - width),
        high=min(high, at + width),
    )
    return Found(merged(start.settings, {path: setting}), cost)


def _excess(runs: PointRuns, limits: Mapping[str, float]) -> np.ndarray:
    """Return by what share the first run passes each limit; all of it where there is no telling."""
    found, most = np.array([runs[name][0] for name in limits]), np.array([*limits.values()])
    excess = found / most - 1.0
    return np.where(found <= most, np.minimum(excess, 0.0), np.where(excess > 0.0, excess, 1.0))


class _Walk:
    """One search: runs at shares of the ranges, each once, and the best allowed so far."""

    def __init__(
        self, car: Car, choices: Choices, goal: Goal, limits: Mapping[str, float], start: Found
    ) -> None:
        self.best = start
        self._car, self._goal, self._limits, self._start = car, goal, limits, start
        self._paths = list(choices.ranges)
        self._lows, self._highs = np.array(list(choices.ranges.values())).T
        self._seen: dict[bytes, tuple[float, np.ndarray]] = {}

    def shares_of_start(self) -> np.ndarray:
        at = np.array([self._start.settings[path] for path in self._paths])
        return (at - self._lows) / (self._highs - self._lows)

    def objective(self, shares: np.ndarray) -> float:
        """Return the cost in units of what counts as a loss, smooth where a target is met."""
        cost, scale = self._look(shares)[0], max(self._goal.within, 1e-9)
        if self._goal.target is not None:
            return min(cost / scale, _WORST) ** 2
        return min((cost - self._start.cost) / scale, _WORST)

    def excess(self, shares: np.ndarray) -> np.ndarray:
        """Return by what share each limit is passed."""
        return self._look(shares)[1]

    def _look(self, shares: np.ndarray) -> tuple[float, np.ndarray]:
        key = shares.tobytes()
        if key not in self._seen:
            settings = self._settings(shares)
            runs = self._goal.runs(self._car, [settings], threads=1)
            cost = float(self._goal.cost(runs)[0])
            if cost < self.best.cost and is_allowed(runs, self._limits)[0]:
                self.best = Found(settings, cost)
            self._seen[key] = cost, _excess(runs, self._limits)
        return self._seen[key]

    def _settings(self, shares: np.ndarray) -> dict[str, float]:
        values = self._lows + np.clip(shares, 0.0, 1.0) * (self._highs - self._lows)
        chosen = dict(zip(self._paths, map(float, values), strict=True))
        return merged(self._start.settings, chosen)
