"""How far each number learned may go while the car still shows what was seen.

The sum of squares S of a fit, its guesses among the residuals, is least at the solution. An end of
the 95 % interval of one unknown is the furthest point with

    S <= S_least + 1.96^2,

all other unknowns being fitted anew there. Where the data bend or kink within the interval (a drum
that locks before the engine has peaked, grip that no longer limits) this goes as far as they let it
go, and another way up than down; where they do not, it is `value +/- 1.96 standard deviations`.

Each end is sought by itself, from where the linearised problem has it: the furthest point in the
ellipsoid |r + J d|^2 <= limit, J being taken anew at each point. Steps that turn round are halved;
an end that another search has passed is sought on from there, as in a bent valley. What is not
settled so, and what is far beyond, as where the data are silent to one side of a place and loud to
the other, is halved between the furthest point within and the one beyond it.

Source: profile likelihood, found as by Venzon and Moolgavkar, Applied Statistics 37 (1988),
"A method for computing profile-likelihood-based confidence intervals" (from memory).
"""

from collections.abc import Callable

import numpy as np

#: Standard deviations to either side that hold 95 % of a normal distribution.
WIDTH_95 = 1.959964
#: An end is found to this share of its distance from the solution of the linearised problem.
_CLOSE = 0.02
#: What that is of the sum of squares.
_SLACK = 2.0 * _CLOSE * WIDTH_95**2
_MOST_ROUNDS = 20
#: From a sum of squares this far above the limit the slopes do not show the way back.
_FAR = 4.0 * WIDTH_95**2
#: Then what is left between a point within and one beyond is halved.
_STEP_ROUNDS = 8
#: Longest step, in standard deviations of the linearised problem.
_LONGEST = 2.0

#: A shorter one changes an end by its square alone.
_LEAST_STEP = 0.25
_TINY = 1e-300

#: Residuals of points (points x residuals), and their slopes (points x residuals x unknowns).
Linearised = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]


def interval_ends(
    linearised: Linearised,
    best: np.ndarray,
    slopes: np.ndarray,
    limit: float,
    bounds: tuple[np.ndarray, np.ndarray],
) -> np.ndarray:
    """Find the ends of the intervals of all unknowns, side by side.

    Parameters
    ----------
    linearised
        Residuals and their slopes at any points within the bounds.
    best
        The solution, one share of a doubt for each unknown.
    slopes
        Of the residuals there, residuals x unknowns.
    limit
        The largest sum of squares within.
    bounds
        Least and greatest of each unknown.

    Returns
    -------
    numpy.ndarray
        unknowns x 2: least and greatest of each, in shares of its doubt.

    Examples
    --------
    One residual x^2 - 1 with a guess of 0 that counts next to nothing: x = 1 within sqrt(1 + 1.96).

    >>> def linearised(points):
    ...     rows = np.hstack([points**2 - 1.0, 1e-6 * points])
    ...     slopes = np.stack([2.0 * points, np.full_like(points, 1e-6)], axis=1)
    ...     return rows, slopes
    >>> best, wide = np.array([1.0]), (np.array([0.0]), np.array([9.0]))
    >>> ends = interval_ends(linearised, best, linearised(best[None])[1][0], WIDTH_95**2, wide)
    >>> ends.round(2)
    array([[0.  , 1.72]])
    """
    sides = [_Side(best, slopes, i, sign, bounds) for i in range(len(best)) for sign in (-1, 1)]
    for _ in range(_MOST_ROUNDS):
        open_sides = [side for side in sides if not side.settled]
        if not open_sides:
            break
        rows, tangents = linearised(np.array([side.point for side in open_sides]))
        for side, residuals, tangent in zip(open_sides, rows, tangents, strict=True):
            point, is_within = side.point, bool(residuals @ residuals <= limit + _SLACK)
            if is_within:
                for other in sides:
                    other.hear(point)
            side.move(residuals, tangent, limit, is_within)
    return np.array([side.end for side in sides]).reshape(-1, 2)


class _Side:
    """The search for one end of the interval of one unknown."""

    def __init__(
        self,
        best: np.ndarray,
        slopes: np.ndarray,
        which: int,
        sign: int,
        bounds: tuple[np.ndarray, np.ndarray],
    ) -> None:
        self._which, self._sign, self._bounds = which, sign, bounds
        self._within, self._rounds = best, 0
        self._beyond: np.ndarray | None = None
        column = np.linalg.inv(slopes.T @ slopes)[:, which]
        spread = float(np.sqrt(column[which]))
        self.point = np.clip(best + sign * WIDTH_95 * column / spread, *bounds)
        self.settled = False
        self._close = _CLOSE * WIDTH_95 * spread
        self._longest = _LONGEST
        self._before = 0.0

    @property
    def end(self) -> float:
        """The furthest that is known to be within."""
        return float(self._within[self._which])

    def move(
        self, residuals: np.ndarray, slopes: np.ndarray, limit: float, is_within: bool
    ) -> None:
        """Go on from the point, at which residuals and slopes are these."""
        self._rounds += 1
        if not is_within and self._past(self.point) > 0.0:
            self._beyond = self.point
        is_far = residuals @ residuals > limit + _FAR
        if self._beyond is not None and (is_far or self._rounds > _STEP_ROUNDS):
            self._halve(self._beyond)
            return
        step = self._step(residuals, slopes, limit)
        along = float(step[self._which])
        if along * self._before < 0.0 and abs(along) > self._close:
            self._longest *= 0.5
        self._before = along
        step *= min(1.0, self._longest / max(float(np.linalg.norm(slopes @ step)), _TINY))
        after = np.clip(self.point + step, *self._bounds)
        moved = after - self.point
        self.point = after
        self.settled = (
            abs(moved[self._which]) <= self._close
            and float(np.linalg.norm(slopes @ moved)) <= _LEAST_STEP
        )
        if self.settled and self._past(after) > 0.0:
            self._within = after

    def _halve(self, beyond: np.ndarray) -> None:
        """Go on to the middle between a point within and one beyond it."""
        self.settled = self._past(beyond) <= self._close
        self.point = 0.5 * (self._within + beyond)

    def hear(self, within: np.ndarray) -> None:
        """Note a point within; seek on from there if it is beyond what was found."""
        past = self._past(within)
        if past > self._close and self.settled:
            self.point, self.settled, self._longest = within, False, _LONGEST
        if past > 0.0:
            self._within = within

    def _past(self, point: np.ndarray) -> float:
        """Return how far a point is beyond all that is known to be within."""
        return self._sign * (float(point[self._which]) - self.end)

    def _step(self, residuals: np.ndarray, slopes: np.ndarray, limit: float) -> np.ndarray:
        """Return the way to the furthest point within, or to the least if there is none within."""
        covariance = np.linalg.inv(slopes.T @ slopes)
        down = -covariance @ (slopes.T @ residuals)
        least = float(np.sum((residuals + slopes @ down) ** 2))
        room = limit - least
        if room <= 0.0:
            return down
        column = covariance[:, self._which]
        return down + self._sign * np.sqrt(room / column[self._which]) * column
