"""Moves that matter: what gains too little to notice is left as it is."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from layshaft.advice.choices import Choices
from layshaft.advice.goals import Goal, is_allowed
from layshaft.advice.setting_advice import present_setting
from layshaft.setup.car import Car


@dataclass(frozen=True, slots=True)
class Spared:
    """Settings that stay as they are, for what changing them too would gain is too little."""

    paths: tuple[str, ...]
    gain: float  #: what changing them as well would gain, in the unit of the goal


def spare_moves(
    car: Car,
    choices: Choices,
    goal: Goal,
    limits: Mapping[str, float],
    best: Mapping[str, float],
) -> tuple[dict[str, float], tuple[Spared, ...]]:
    """Take back, one after the other, each change without which no more is lost than counts as one.

    Together they lose no more than that, and all limits are still kept. Gears that only go together
    are one change. A present value that may not be chosen is not taken back.

    Returns
    -------
    tuple
        The settings left, and what was spared.
    """
    settings = dict(best)
    spared: list[Spared] = []
    own = _own_settings(car, choices)
    cost = float(goal.cost(goal.runs(car, [settings]))[0])
    most = cost + goal.within
    while True:
        groups = [
            group
            for group, present in own.items()
            if any(settings[path] != value for path, value in present.items())
        ]
        if not groups:
            return settings, tuple(spared)
        tries = [settings | own[group] for group in groups]
        runs = goal.runs(car, tries)
        costs = np.where(is_allowed(runs, limits), goal.cost(runs), np.inf)
        at = int(np.argmin(costs))
        if not costs[at] <= most:
            return settings, tuple(spared)
        spared.append(Spared(groups[at], max(float(costs[at]) - cost, 0.0)))
        settings, cost = tries[at], float(costs[at])


def _own_settings(car: Car, choices: Choices) -> dict[tuple[str, ...], dict[str, float]]:
    """Return the present values of all that may stay: what changes together is one."""
    own: dict[tuple[str, ...], dict[str, float]] = {}
    for path, (low, high) in choices.ranges.items():
        present = present_setting(car, path)
        if present is not None and low <= present <= high:
            own[path,] = {path: present}
    for path, values in choices.lists.items():
        present = present_setting(car, path)
        if present is not None and present in values:
            own[path,] = {path: present}
    for gears in choices.sets:
        if all(present_setting(car, path) == value for path, value in gears.items()):
            own[tuple(gears)] = dict(gears)
    return own
