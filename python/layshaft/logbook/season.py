"""Learn a car from all days of a logbook, each with a deviation of its own; see `carry`."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import get_args

import numpy as np

from layshaft.fitting.learned import WIDTH_95, FitEnd, Interval, Learned
from layshaft.fitting.learning import Evidence, learn
from layshaft.fitting.logs import Log
from layshaft.fitting.observations import Observation
from layshaft.fitting.unknowns import USUAL_UNKNOWNS, Unknown, point_at, unknowns
from layshaft.logbook.book import Logbook
from layshaft.logbook.carry import Belief, Told, a_day_later, at_first, of_a_day, taught
from layshaft.logbook.entries import Day
from layshaft.logbook.setup_changes import setup_changes
from layshaft.quantities import units
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.runs.point_runs import single_fields
from layshaft.setup.car import Car
from layshaft.setup.handed_over import checked
from layshaft.setup.settings import as_written, merged

#: Standard deviations, in shares of an unknown's doubt: common practice, no source.
USUAL_NOISE, USUAL_DRIFT = 0.25, 0.1
_MOST_NOISE = 10.0


@dataclass(frozen=True, slots=True, eq=False)
class SeasonDay:
    """What was known when a day was over, by all days up to it; SI units."""

    date: str
    seen: int  #: observations of that day
    truth: tuple[Interval, ...]  #: of the car, one for each unknown
    day: tuple[Interval, ...]  #: of that day alone: the truth and its deviation


@dataclass(frozen=True, slots=True, eq=False)
class Season:
    """What the days of a logbook teach. `learned` is the car of the last day, by all of them."""

    days: tuple[SeasonDay, ...]
    learned: Learned  #: of the last day: for advice on that day
    next_day: Learned  #: of a day to come, with the noise of a day once more
    noise: float  #: of a day, standard deviation in shares of the doubts
    drift: float  #: of the truth from one day to the next, in the same shares


def learn_season(
    book: Logbook,
    unknown: Iterable[str | Unknown] = USUAL_UNKNOWNS,
    *,
    noise: Given = USUAL_NOISE,
    drift: Given = USUAL_DRIFT,
) -> Season:
    """Learn numbers of a car from everything that was seen in a season.

    The model is a simple hierarchical one. Each unknown has a truth that belongs to the car and
    changes slowly: it begins at the guess with its doubt and wanders by the `drift` from one day
    with observations to the next. On each day the number is that truth and a deviation of the day,
    the `noise`, which all runs of the day share. So what is learned carries from day to day, older
    days count for less, and many runs of one day cannot teach more of the truth than the day's
    noise leaves. Within a day the fit is that of `layshaft.learn`, taken as normal around its
    solution and as wide as its intervals.

    Parameters
    ----------
    book
        The logbook. Each run is taken with its own set-up and with the air of its day.
    unknown
        As for `layshaft.learn`; guess and doubt are those of the last run's set-up.
    noise, drift
        Standard deviations, as shares of each unknown's doubt.

    Returns
    -------
    Season
        For each day the unknowns in SI units with their 95 % intervals, and the learned cars of the
        last day and of a day to come, both with set-up and air of the last run.

    Raises
    ------
    ValueError
        If nothing was seen, or set-ups differ in what is to be learned or in the torque curve.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with layshaft.open_logbook(pathlib.Path(folder, "s.db"), create=True) as book:
    ...         book.add_setup("dry", layshaft.demo_car())
    ...         for date, speed in (("2026-05-02", "68 km/h"), ("2026-05-09", "72 km/h")):
    ...             _ = book.add_day(date)
    ...             _ = book.add_run(date, "dry", [layshaft.observe("shift_speed", speed)])
    ...         season = learn_season(book, ["two_speed.zero_preload_reading"])
    >>> first, second = (day.truth[0] for day in season.days)
    >>> second.high - second.low < first.high - first.low  # the second day adds to the first
    True
    """
    shares = _share("noise", noise), _share("drift", drift)
    days = _days(checked("book", book, Logbook, "layshaft.open_logbook"))
    car = days[-1].car
    wanted = unknowns(car, unknown)
    known, summaries, evidence = at_first(len(wanted)), [], []
    ends: list[FitEnd] = []
    for count, each in enumerate(days):
        seen = each.seen_with(car, wanted)
        if count:
            known = a_day_later(known, shares[1])
        told, end = _told(car, wanted, seen, known, each.day.date)
        ends.append(end)
        known, of_day = taught(known, shares[0], told)
        evidence.append((Evidence(car, seen), of_day))
        intervals = (_intervals(wanted, belief) for belief in (known, of_day))
        summaries.append(SeasonDay(each.day.date, len(seen), *intervals))
    ahead = of_a_day(a_day_later(known, shares[1]), shares[0])
    worst = max(ends, key=get_args(FitEnd).index)
    last, coming = (_learned(car, wanted, evidence, belief, worst) for belief in (of_day, ahead))
    return Season(tuple(summaries), last, coming, *shares)


@dataclass(frozen=True, slots=True)
class _Runs:
    """What was seen on a day: with which car, and what."""

    day: Day
    seen: tuple[tuple[str, Car, Observation | Log], ...]

    @property
    def car(self) -> Car:
        """The last run's, in the day's air."""
        return self.seen[-1][1].replace(as_written(self.day.changes))

    def seen_with(self, car: Car, wanted: Sequence[Unknown]) -> list[Observation | Log]:
        """Return what was seen, with all that differed from one car as its changes."""
        return [
            replace(each, changes=tuple(self._changes(car, name, other, wanted, each).items()))
            for name, other, each in self.seen
        ]

    def _changes(
        self, car: Car, name: str, other: Car, wanted: Sequence[Unknown], seen: Observation | Log
    ) -> dict[str, float]:
        in_its_air = other.replace(as_written(self.day.changes))
        changes = setup_changes(car, in_its_air, name)
        for path in (path for each in wanted for path in each.changes(each.guess)):
            if path in changes:
                raise ValueError(
                    f"setup = {shown(name)} has another {path} than the last run's: what is to be"
                    " learned must be the same in all set-ups"
                )
        return merged(changes, dict(single_fields(dict(seen.changes))))


def _days(book: Logbook) -> list[_Runs]:
    cars: dict[str, Car] = {}
    by_day: dict[str, list[tuple[str, Car, Observation | Log]]] = {}
    for run in book.runs():
        if run.seen or run.logs:
            cars[run.setup] = cars.get(run.setup) or book.setup(run.setup)
            both: tuple[Observation | Log, ...] = (*run.seen, *run.logs)
            seen = ((run.setup, cars[run.setup], each) for each in both)
            by_day.setdefault(run.date, []).extend(seen)
    if not by_day:
        raise ValueError("the logbook has no run in which anything was heard, timed or logged")
    return [_Runs(book.day(date), tuple(seen)) for date, seen in by_day.items()]


def _told(
    car: Car, wanted: Sequence[Unknown], seen: list[Observation | Log], known: Belief, date: str
) -> tuple[Told, FitEnd]:
    """Fit a day alone, from what is known: what it tells by itself, and how the fit ended."""
    begin = point_at(wanted, known.mean)
    moved = [replace(each, guess=begin[each.path]) for each in wanted]
    try:
        found = learn(car.replace(as_written(begin)), seen, moved)
    except ValueError as error:
        raise ValueError(f"day = {date}: {error}") from None
    doubts = np.array([each.doubt for each in wanted])
    steps = (np.array(found.values) - [each.guess for each in moved]) / doubts
    places = (np.array(found.values) - [each.guess for each in wanted]) / doubts
    # As wide as the intervals are, also where the data bend within them.
    information = _information(found.covariance / np.outer(doubts, doubts))
    # At the solution the data pull as hard as the fit's own guess, the other way.
    return Told(information, information @ places + steps), found.end


def _intervals(wanted: Sequence[Unknown], known: Belief) -> tuple[Interval, ...]:
    spreads = np.sqrt(np.diag(known.covariance))
    point = point_at(wanted, known.mean)
    found = []
    for each, spread in zip(wanted, spreads, strict=True):
        value, half = point[each.path], WIDTH_95 * spread * each.doubt
        low, high = float(max(value - half, each.low)), float(min(value + half, each.high))
        at_bound = value in (each.low, each.high)
        found.append(Interval(each.path, value, low, high, float(spread), at_bound))
    return tuple(found)


def _learned(
    car: Car,
    wanted: list[Unknown],
    evidence: list[tuple[Evidence, Belief]],
    known: Belief,
    end: FitEnd,
) -> Learned:
    """Return a belief as a learned car; what it shows of each day is that day's own car's."""
    doubts = np.array([each.doubt for each in wanted])
    best = point_at(wanted, known.mean)
    both = [day.predict([{}, point_at(wanted, own.mean)]) for day, own in evidence]
    days = [day for day, _ in evidence]
    shown_before, shown_then = (_numbers_first(days, [rows[k] for rows in both]) for k in (0, 1))
    return Learned(
        car=car.replace(as_written(best)),
        believed=car,
        unknowns=tuple(wanted),
        values=tuple(best[each.path] for each in wanted),
        ends=np.array([(each.low, each.high) for each in _intervals(wanted, known)]),
        covariance=known.covariance * np.outer(doubts, doubts),
        information=_information(known.covariance),
        numbers=tuple(each for day in days for each in day.numbers),
        seen=_numbers_first(days, [day.values for day in days]),
        errors=_numbers_first(days, [day.errors for day in days]),
        shown_before=shown_before,
        shown=shown_then,
        end=end,
    )


def _numbers_first(days: Sequence[Evidence], rows: Sequence[np.ndarray]) -> np.ndarray:
    """Put what belongs to single numbers of all days before what belongs to their logs."""
    counts = [len(day.numbers) for day in days]
    numbers = [row[:count] for row, count in zip(rows, counts, strict=True)]
    logs = [row[count:] for row, count in zip(rows, counts, strict=True)]
    return np.concatenate([*numbers, *logs])


def _information(covariance: np.ndarray) -> np.ndarray:
    """Return what the data are worth beside the guess: never less than none."""
    strengths, directions = np.linalg.eigh(np.linalg.inv(covariance))
    return (directions * np.maximum(strengths - 1.0, 0.0)) @ directions.T


def _share(name: str, given: Given) -> float:
    share = units.read(name, given, "1")
    if not 0.0 <= share <= _MOST_NOISE:
        raise ValueError(f"{name} = {shown(given)} must be from 0 to {_MOST_NOISE:g} doubts")
    return share
