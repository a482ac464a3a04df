"""Which observation next: what each would leave of the doubt, before anybody drives."""

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from layshaft.fitting.learned import Learned, checked_learned
from layshaft.fitting.learning import Evidence
from layshaft.fitting.observations import Observation, describe, observe
from layshaft.setup import field_table
from layshaft.setup.handed_over import checked, checked_list, whole

#: Away from the present gap [m] and slug [kg], at which a shift speed would be listened to.
_GAP_STEPS = (-4e-4, -2e-4, 0.0, 2e-4, 4e-4)
_SLUG_STEPS = (-3e-4, 3e-4)
#: Stands for a speed not yet seen, which nothing rests on [m/s].
_ANY_SPEED = 15.0
#: Distances [m] over which a time would be taken, and any time that is possible there [s].
_USUAL_TIMES = {20.0: 2.0, 60.0: 4.0}


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Observations to make, and the doubt that they would leave."""

    observations: tuple[Observation, ...]
    text: str  #: them in words
    loosest: str  #: field that is known least now
    now: float  #: its standard deviation over its value [-]
    then: float  #: the same with the observations
    volume: float  #: of all doubts together, then over now [-]


def suggest(
    learned: Learned, among: Iterable[Observation] | None = None, *, count: int = 2
) -> list[Suggestion]:
    """Rank observations, one or `count` together, by how much doubt they would take away.

    Parameters
    ----------
    learned
        What is known now.
    among
        Observations that could be made; their values do not matter. By default shift speeds at
        other gaps and slugs, times and top speed at the present setting.
    count
        1 or 2: how many at most together.

    Returns
    -------
    list
        The best first.
    """
    checked_learned(learned)
    most = whole("count", count)
    if among is None:
        candidates = _usual(learned)
    else:
        given = checked_list("among", among, "observations")
        candidates = [checked("among", each, Observation, "layshaft.observe") for each in given]
    slopes = _slopes(learned, candidates)
    doubts = np.array([each.doubt for each in learned.unknowns])
    known = np.linalg.inv(learned.covariance / np.outer(doubts, doubts))
    loosest = int(np.argmax([each.doubt_left for each in learned.intervals]))
    suggestions = []
    for size in range(1, min(most, 2) + 1):
        for rows in itertools.combinations(range(len(candidates)), size):
            more = known + slopes[list(rows)].T @ slopes[list(rows)]
            spreads = np.sqrt(np.diag(np.linalg.inv(more))) * doubts
            value = abs(learned.values[loosest])
            suggestions.append(
                Suggestion(
                    observations=tuple(candidates[row] for row in rows),
                    text=" and ".join(describe(candidates[row]) for row in rows),
                    loosest=learned.unknowns[loosest].path,
                    now=float(np.sqrt(learned.covariance[loosest, loosest]) / value),
                    then=float(spreads[loosest] / value),
                    volume=float(np.sqrt(np.linalg.det(known) / np.linalg.det(more))),
                )
            )
    return sorted(suggestions, key=lambda each: each.volume)


def _usual(learned: Learned) -> list[Observation]:
    car = learned.car
    gap, slug = (
        np.mean([car[single] for single in field_table.pairs()[path]])
        for path in ("two_speed.gap", "two_speed.slug_mass")
    )
    settings = [{"two_speed.gap": round(float(gap + step), 5)} for step in _GAP_STEPS]
    settings += [
        {"two_speed.slug_mass": round(float(slug + step), 5)}
        for step in _SLUG_STEPS
        if slug + step >= 0.0
    ]
    seen = [observe("shift_speed", _ANY_SPEED, changes=setting) for setting in settings]
    times = [observe("time", time, distance=way) for way, time in _USUAL_TIMES.items()]
    return [*seen, *times, observe("top_speed", _ANY_SPEED)]


def _slopes(learned: Learned, candidates: Sequence[Observation]) -> np.ndarray:
    """Return what each doubt does to each observation, in its errors."""
    at = [
        (value - each.guess) / each.doubt
        for each, value in zip(learned.unknowns, learned.values, strict=True)
    ]
    return Evidence(learned.car, candidates).slopes(learned.unknowns, np.array(at))
