"""What small errors do at a setting: a caliper a little out, a slug more or less."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from layshaft.advice.goals import Goal
from layshaft.runs.point_runs import PointRuns
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.setup.settings import merged

if TYPE_CHECKING:
    from layshaft.setup.parts_at_hand import Parts

#: What a caliper may be out [m].
CALIPER_ERROR = 0.05e-3
#: What one slug more or less weighs, if no parts are at hand to say so [kg].
USUAL_SLUG_STEP = 0.1e-3


@dataclass(frozen=True, slots=True)
class Effect:
    """What a small change does at the recommended setting."""

    what: Literal["caliper", "slug"]
    change: float  #: [m] or [kg]
    shift_speed: float  #: Greatest change of the shift speed, either way [m/s]
    loss: float  #: Greatest loss of the goal, either way


def slug_step(parts: "Parts | None") -> float:
    """Return what one slug more or less weighs [kg].

    Examples
    --------
    >>> slug_step(None)
    0.0001
    """
    return USUAL_SLUG_STEP if parts is None else parts.slug_step or USUAL_SLUG_STEP


def effect_points(
    car: Car, best: dict[str, float], parts: "Parts | None"
) -> dict[tuple[str, float], dict[str, float]]:
    """Return the points of small errors: name, change with its sign."""
    points = {}
    changes = (
        ("caliper", "two_speed.gap", CALIPER_ERROR),
        ("slug", "two_speed.slug_mass", slug_step(parts)),
    )
    for name, pair, change in changes:
        for sign in (-1.0, 1.0):
            moved = {
                path: _value(car, best, path, pair) + sign * change
                for path in field_table.pairs()[pair]
            }
            if min(moved.values()) >= 0.0:
                points[name, sign * change] = merged(best, moved)
    return points


def _value(car: Car, best: Mapping[str, float], path: str, pair: str) -> float:
    single = best.get(path, best.get(pair))
    return car[path] if single is None else single


def judged_effects(
    points: Mapping[tuple[str, float], object],
    costs: np.ndarray,
    shifts: np.ndarray,
    runs: PointRuns,
    goal: Goal,
) -> tuple[Effect, ...]:
    """Judge the runs at those points against the second of all, that of the setting itself."""
    cost, shift = goal.cost(runs)[1], runs["shift_speed"][1]
    effects = []
    for name in ("caliper", "slug"):
        rows = [row for row, (each, _) in enumerate(points) if each == name]
        changes = [abs(change) for each, change in points if each == name]
        if rows:
            moved = float(np.max(np.abs(shifts[rows] - shift)))
            loss = max(float(np.max(costs[rows] - cost)), 0.0)
            effects.append(Effect(name, changes[0], moved, loss))
    return tuple(effects)
