"""Learn numbers of a car from what it did: least squares with a guess, a doubt and bounds."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, cast

import numpy as np

from layshaft import _core
from layshaft.fitting.learned import FitEnd, Learned
from layshaft.fitting.logs import Log
from layshaft.fitting.observations import Observation, describe, measure_unit, predict
from layshaft.fitting.unknowns import USUAL_UNKNOWNS, Unknown, unknowns
from layshaft.quantities.pit_units import run_text
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked
from layshaft.setup.settings import Point, as_written


def learn(
    car: Car,
    seen: Iterable[Observation | Log],
    unknown: Iterable[str | Unknown] = USUAL_UNKNOWNS,
) -> Learned:
    """Find the car that would have done what was seen.

    Each unknown starts at the car's own number, its guess, which counts as one more observation
    with its doubt. An interval ends where the car, all other unknowns fitted anew, no longer shows
    what was seen: the sum of squares has risen by 1.96^2. So it is wider to the side on which the
    data say less.

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
        If nothing was seen, the believed car cannot do it at all, or its engine would have to turn
        faster than any torque curve reaches.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.demo_car()
    >>> seen = [layshaft.observe("shift_speed", "70 km/h", changes={"two_speed.gap": "4.8 mm"})]
    >>> found = learn(car, seen, ["two_speed.zero_preload_reading"])
    >>> found.values[0] > car["two_speed.zero_preload_reading"]  # it shifts later than believed
    True
    """
    evidence = Evidence(car, seen)
    wanted = unknowns(car, unknown)
    found = _core.learn([each.core() for each in wanted], *evidence.for_core())
    return Learned(
        car=car.replace(as_written(found.point)),
        believed=car,
        unknowns=tuple(wanted),
        values=tuple(found.values),
        ends=np.column_stack([found.low, found.high]),
        covariance=found.covariance,
        information=found.information,
        numbers=tuple(evidence.numbers),
        seen=evidence.values,
        errors=evidence.errors,
        shown_before=np.array(found.shown_before),
        shown=np.array(found.shown),
        end=cast("FitEnd", found.end),
    )


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
        for number in self.numbers:
            _check_engine(self.car, number)
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

    def slopes(self, wanted: Sequence[Unknown], shares: np.ndarray) -> np.ndarray:
        """Return errors by doubts, all that was seen x unknowns, at shares of doubts."""
        return _core.slopes_at([each.core() for each in wanted], *self.for_core(), list(shares))

    def for_core(self) -> tuple[list[float], list[float], Callable[[list[Point]], np.ndarray]]:
        """Return values, errors and the prediction, as the core's fit takes them."""
        return self.values.tolist(), self.errors.tolist(), self.predict


def _check_engine(car: Car, seen: Observation) -> None:
    """Refuse a speed seen at which the engine would turn as none does."""
    if measure_unit(seen.measure, seen.options) != "m/s":
        return
    changed = car.replace(as_written(dict(seen.changes)))
    turns = _core.rolling_engine_speed(changed._core, seen.value)
    most = _core.torque_curve_field().x_maximum
    if turns > most:
        parts = (seen.value, "m/s"), (turns, "rad/s"), (most, "rad/s")
        value, at, limit = (" ".join(run_text(each, unit)) for each, unit in parts)
        raise ValueError(
            f"{describe(seen)} = {value} must be lower: the engine would turn at {at}, where no"
            f" torque curve goes beyond {limit}"
        )
