"""Learn numbers of a car from what it did: least squares with a guess, a doubt and bounds."""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from layshaft.fitting.interval_ends import WIDTH_95, interval_ends
from layshaft.fitting.learned import Learned
from layshaft.fitting.logs import Log
from layshaft.fitting.observations import Observation, predict
from layshaft.fitting.unknowns import USUAL_UNKNOWNS, Unknown, unknowns
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked
from layshaft.setup.settings import Point, as_written, merged

#: Of a difference quotient, in doubts: far above the noise of a run, far below a doubt.
_STEP = 0.02
#: Residual that stands for a run without the thing seen, such as no shift at all.
_MISSED = 30.0


def learn(
    car: Car,
    seen: Iterable[Observation | Log],
    unknown: Iterable[str | Unknown] = USUAL_UNKNOWNS,
) -> Learned:
    """Find the car that would have done what was seen.

    Each unknown starts at the car's own number, its guess, which counts as one more observation
    with its doubt. An interval ends where the car, all other unknowns fitted anew, no longer shows
    what was seen: the sum of squares has risen by 1.96^2 (`fitting/interval_ends`). So it is wider
    to the side on which the data say less.

    Parameters
    ----------
    car
        The car before learning.
    seen
        From `layshaft.observe`, `layshaft.read_observations`, `layshaft.read_log`; on a track from
        `layshaft.lap_times` and `layshaft.lap_log`.
    unknown
        Fields to learn, or `layshaft.unknown` with doubt and bounds; by default rate and
        zero-preload reading of the shoe spring, and friction of the shoes: what is heard of a
        shift comes once they have dragged for a while.

    Returns
    -------
    Learned
        The car; the value of each unknown in its SI unit, with 95 % interval; and the covariance,
        unknowns x unknowns.

    Raises
    ------
    ValueError
        If nothing was seen, or the believed car cannot do it at all.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.demo_car()
    >>> seen = [layshaft.observe("shift_speed", "70 km/h", changes={"two_speed.gap": "4.8 mm"})]
    >>> found = learn(car, seen, ["two_speed.zero_preload_reading"])
    >>> found.values[0] > car["two_speed.zero_preload_reading"]  # it shifts later than believed
    True
    """
    from scipy.optimize import least_squares

    evidence = Evidence(car, seen)
    wanted = unknowns(car, unknown)
    start = np.zeros(len(wanted))
    bounds = (
        np.array([(each.low - each.guess) / each.doubt for each in wanted]),
        np.array([(each.high - each.guess) / each.doubt for each in wanted]),
    )
    first = evidence.predict([point_at(wanted, start)])[0]
    if not np.isfinite(first).any():
        raise ValueError("the starting car reproduces none of what was seen")
    solution = least_squares(
        lambda shares: evidence.residuals(wanted, shares[None])[0],
        start,
        jac=lambda shares: evidence.slopes(wanted, shares[None])[0],
        bounds=bounds,
        method="trf",
        xtol=1e-6,
        ftol=1e-8,
        max_nfev=30,
    )
    slopes = evidence.slopes(wanted, solution.x[None])[0]
    ends = interval_ends(
        lambda points: (evidence.residuals(wanted, points), evidence.slopes(wanted, points)),
        solution.x,
        slopes,
        2.0 * float(solution.cost) + WIDTH_95**2,
        bounds,
    )
    return _result(car, evidence, wanted, solution.x, slopes[: len(evidence.values)], ends)


class Evidence:
    """All that was seen, as one vector, and the same of other cars."""

    def __init__(self, car: Car, seen: Iterable[Observation | Log]) -> None:
        either: Any = Observation | Log
        everything: list[Observation | Log] = [
            checked("seen", each, either, "layshaft.observe")
            for each in (
                seen if isinstance(seen, Iterable) and not isinstance(seen, str) else [seen]
            )
        ]
        self.car = checked_car(car)
        self.numbers = [each for each in everything if isinstance(each, Observation)]
        self.logs = [each for each in everything if isinstance(each, Log)]
        if not everything:
            raise ValueError("seen: nothing was seen; give at least one observation")
        values = [*([each.value] for each in self.numbers), *(log.values for log in self.logs)]
        errors = [[each.error] for each in self.numbers]
        errors += [[log.error] * len(log.values) for log in self.logs]
        self.values = np.concatenate(values)
        self.errors = np.concatenate(errors)

    def predict(self, points: Sequence[Point]) -> np.ndarray:
        """Return what each car would have shown, points x everything seen."""
        parts = [predict(self.car, self.numbers, points)] if self.numbers else []
        return np.hstack([*parts, *(log.predicted(self.car, points) for log in self.logs)])

    def residuals(self, wanted: Sequence[Unknown], points: np.ndarray) -> np.ndarray:
        """Return, points x residuals, differences over errors, then over doubts to the guesses."""
        shown = self.predict([point_at(wanted, shares) for shares in points])
        misfits = (shown - self.values) / self.errors
        return np.hstack([np.where(np.isfinite(misfits), misfits, _MISSED), points])

    def slopes(self, wanted: Sequence[Unknown], points: np.ndarray) -> np.ndarray:
        """Return the slopes of `residuals`, points x residuals x unknowns, all in one batch."""
        count = points.shape[1]
        steps = _STEP * np.vstack([np.eye(count), -np.eye(count)])
        near = (points[:, None] + steps).reshape(-1, count)
        shown = self.predict([point_at(wanted, shares) for shares in near])
        above, below = np.moveaxis(shown.reshape(len(points), 2, count, -1), 1, 0)
        changes = (above - below) / (2.0 * _STEP * self.errors)
        changes = np.where(np.isfinite(changes), changes, 0.0).swapaxes(1, 2)
        guesses = np.broadcast_to(np.eye(count), (len(points), count, count))
        return np.concatenate([changes, guesses], axis=1)


def point_at(wanted: Sequence[Unknown], shares: np.ndarray) -> dict[str, float]:
    """Return the changes of the car at shares of doubts away from the guesses."""
    values = [
        float(np.clip(each.guess + share * each.doubt, each.low, each.high))
        for each, share in zip(wanted, shares, strict=True)
    ]
    return merged(*(each.changes(value) for each, value in zip(wanted, values, strict=True)))


def _result(
    car: Car,
    evidence: Evidence,
    wanted: list[Unknown],
    shares: np.ndarray,
    slopes: np.ndarray,
    ends: np.ndarray,
) -> Learned:
    information = slopes.T @ slopes
    doubts = np.array([each.doubt for each in wanted])
    guesses = np.array([each.guess for each in wanted])
    correlated = np.linalg.inv(information + np.eye(len(wanted)))
    # As wide as the intervals are.
    spreads = (ends[:, 1] - ends[:, 0]) / (2.0 * WIDTH_95)
    scales = doubts * spreads / np.sqrt(np.diag(correlated))
    lowest, highest = (
        np.array([getattr(each, name) for each in wanted]) for name in ("low", "high")
    )
    best = point_at(wanted, shares)
    shown = evidence.predict([{}, best])
    return Learned(
        car=car.replace(as_written(best)),
        believed=car,
        unknowns=tuple(wanted),
        values=tuple(best[each.path] for each in wanted),
        ends=np.clip((guesses + ends.T * doubts), lowest, highest).T,
        covariance=correlated * np.outer(scales, scales),
        information=information,
        numbers=tuple(evidence.numbers),
        seen=evidence.values,
        errors=evidence.errors,
        shown_before=shown[0],
        shown=shown[1],
    )
