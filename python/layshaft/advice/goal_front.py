"""Several goals at once: the settings of which none is worse in every goal."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.goals import Goal, goal_reasons, is_allowed, read_limits
from layshaft.advice.new_warnings import new_warnings
from layshaft.advice.parts_choices import read_all_choices
from layshaft.advice.setting_search import nearest_to_limits
from layshaft.quantities.units import Given
from layshaft.runs.failed_runs import Reasons
from layshaft.runs.point_runs import run_points
from layshaft.runs.run_warnings import Warned
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked, checked_list
from layshaft.setup.settings import merged

if TYPE_CHECKING:
    from layshaft.setup.parts_at_hand import Parts

_GRID = {0: 1, 1: 33, 2: 13, 3: 7}
_FINEST_GRID = 5


@dataclass(frozen=True, slots=True, eq=False)
class TradeOff:
    """All settings tried, and the front among them; SI units."""

    car: Car
    goals: tuple[Goal, ...]
    settings: tuple[dict[str, float], ...]
    costs: np.ndarray  #: settings x goals, infinite where a limit is broken
    front: tuple[int, ...]  #: positions, in rising order of the first goal's cost
    middle: int  #: the front's nearest to the best of all goals at once, each in its own range
    present: np.ndarray  #: costs of the car as it is
    shifts: bool  #: whether anything that was tried shifts
    warnings: tuple[Warned, ...]  #: of the middle one, and not of the car as it is


def trade_off(
    car: Car,
    goals: Sequence[Goal],
    over: Mapping[str, object],
    *,
    limits: Mapping[str, Given] | None = None,
    parts: "Parts | None" = None,
) -> TradeOff:
    """Find the settings of which none is worse than another in every goal.

    Ranges are tried on a grid; all runs of goals that are driven alike are one.

    Parameters
    ----------
    car
        The car as it is now.
    goals
        At least two of `layshaft.goals`.
    over, limits, parts
        As for `layshaft.recommend`.

    Returns
    -------
    TradeOff
        The settings tried, their costs (settings x goals, in the units of the goals), and the
        positions of those on the front.

    Examples
    --------
    >>> import layshaft
    >>> both = [layshaft.goals.quickest(distance=30.0), layshaft.goals.coolest_shoes(distance=30.0)]
    >>> found = trade_off(layshaft.demo_car(), both, {"two_speed.gap": ["4.4 mm", "4.8 mm"]})
    >>> len(found.front) >= 1
    True
    """
    for goal in checked_list("goals", goals, "goals"):
        checked("goals", goal, Goal, "layshaft.goals.quickest")
    if len(goals) < 2:
        raise ValueError("goals: a trade-off needs at least two")
    choices = read_all_choices(checked_car(car), over, parts)
    count = len(choices.ranges)
    grid = choices.grid([_GRID.get(count, _FINEST_GRID)] * count)
    settings = [merged(one, each) for one in choices.combinations() for each in grid]
    ways = list(dict.fromkeys(goal.options for goal in goals))
    read = read_limits({} if limits is None else limits, *ways)
    costs = np.empty((len(settings) + 1, len(goals)))
    allowed = np.ones(len(settings) + 1, dtype=bool)
    reasons, near, shifts = Reasons(), [], False
    for options in ways:
        runs = run_points(car, [{}, *settings], options)
        allowed &= is_allowed(runs, read)
        shifts |= bool(np.isfinite(runs["shift_speed"][1:]).any())
        if read and not is_allowed(runs, read).any():
            near.append(nearest_to_limits(runs, read))
        for column, goal in enumerate(goals):
            if goal.options == options:
                costs[:, column] = goal.cost(runs)
                reasons.add(goal_reasons(runs, goal))
    tried = np.where(allowed[1:, None], costs[1:], np.inf)
    front = front_of(tried)
    if not front:
        why = "; ".join(filter(None, [reasons.describe(), *near]))
        raise ValueError(f"no setting reaches every goal within the limits: {why}")
    middle = _middle(tried, front)
    return TradeOff(
        car=car,
        goals=tuple(goals),
        settings=tuple(settings),
        costs=tried,
        front=tuple(front),
        middle=middle,
        present=costs[0],
        shifts=shifts,
        warnings=new_warnings(car, settings[middle]),
    )


def front_of(costs: np.ndarray) -> list[int]:
    """Return the rows that no other row beats in one column without losing in another.

    Examples
    --------
    >>> front_of(np.array([[1.0, 3.0], [2.0, 2.0], [3.0, 1.0], [3.0, 3.0]]))
    [0, 1, 2]
    """
    finite = np.isfinite(costs).all(axis=1)
    rows = [
        row
        for row in np.flatnonzero(finite)
        if not (np.all(costs <= costs[row], axis=1) & np.any(costs < costs[row], axis=1)).any()
    ]
    return sorted(map(int, rows), key=lambda row: tuple(costs[row]))


def _middle(costs: np.ndarray, front: list[int]) -> int:
    part = costs[front]
    width = np.ptp(part, axis=0)
    shares = (part - part.min(axis=0)) / np.where(width > 0.0, width, 1.0)
    return front[int(np.argmin(np.linalg.norm(shares, axis=1)))]
