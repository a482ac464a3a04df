"""What carries from day to day: a slow truth of the car, and on each day its own deviation from it.

Numbers of a car that are learned, a spring's zero reading or a friction, are a little different
every day: heat, dust, how the caliper was held. With t the car's truth and x what held on a day,

    t[1] ~ N(0, 1),   t[d] = t[d-1] + N(0, drift^2),   x[d] = t[d] + N(0, noise^2),

each unknown by itself, in shares of its doubt, before the day's observations tie them together.
These tell of x alone, as exp(-x'Jx/2 + h'x): J is their information, and may be singular. Runs of
one day share x; that is why ten runs of one day teach less of the truth than one of each of ten.
Everything is Gaussian, so what is known after a day holds all that the days before it taught.

Source: textbook Kalman filter on (t, x), in a form without the inverse of J (from memory).
"""

from typing import NamedTuple

import numpy as np


class Belief(NamedTuple):
    """What is known of the unknowns, in shares of their doubts from their guesses."""

    mean: np.ndarray
    covariance: np.ndarray


class Told(NamedTuple):
    """What the observations of a day tell of that day's numbers, on their own."""

    information: np.ndarray  #: J
    pull: np.ndarray  #: h


def at_first(count: int) -> Belief:
    """Return what is known of the truth before the first day."""
    return Belief(np.zeros(count), np.eye(count))


def a_day_later(truth: Belief, drift: float) -> Belief:
    """Return what is known of the truth on the next day, before anything is seen on it."""
    return Belief(truth.mean, truth.covariance + drift**2 * np.eye(len(truth.mean)))


def of_a_day(truth: Belief, noise: float) -> Belief:
    """Return what is known of a day's own numbers, before anything is seen on it."""
    return Belief(truth.mean, truth.covariance + noise**2 * np.eye(len(truth.mean)))


def taught(truth: Belief, noise: float, told: Told) -> tuple[Belief, Belief]:
    """Return what is known of the truth, and of the day's own numbers, once the day has told.

    Examples
    --------
    A doubt of 1, a noise of 1, and an observation as good as both: the day gives it half of the
    doubt about the day, a third of it all, and the truth gets half of what the day gets.

    >>> told = Told(np.array([[1.0]]), np.array([3.0]))  # seen: 3, give or take 1
    >>> for known in taught(at_first(1), 1.0, told):
    ...     print(known.mean.round(9), known.covariance.round(9))
    [1.] [[0.66666667]]
    [2.] [[0.66666667]]
    """
    day = of_a_day(truth, noise)
    count = len(truth.mean)
    way = np.linalg.inv(told.information @ day.covariance + np.eye(count))
    step = way @ (told.pull - told.information @ day.mean)
    less = way @ told.information
    return (
        _moved(truth, truth.covariance, step, less),
        _moved(day, day.covariance, step, less),
    )


def _moved(known: Belief, gain: np.ndarray, step: np.ndarray, less: np.ndarray) -> Belief:
    covariance = known.covariance - gain @ less @ gain.T
    return Belief(known.mean + gain @ step, 0.5 * (covariance + covariance.T))
