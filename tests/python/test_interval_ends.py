"""Ends of intervals: closed forms where the data are straight, bent, kinked, or stop."""

from collections.abc import Callable

import numpy as np
import pytest
from layshaft.fitting.interval_ends import WIDTH_95, interval_ends

#: An end is sought to 2 % of its distance; halves of kinks leave as much.
SOUGHT = 0.03
#: Of a straight problem, whose first step is its last.
ROUND_OFF = 1e-12
ANYWHERE = 1e6


def ends_of(
    residuals: Callable[[np.ndarray], np.ndarray],
    best: list[float],
    low: float = -ANYWHERE,
    high: float = ANYWHERE,
) -> np.ndarray:
    """Return the ends around a solution, slopes by difference quotients."""
    step = 1e-5

    def linearised(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        rows = np.array([residuals(point) for point in points])
        tangents = [
            [
                (residuals(point + way) - residuals(point - way)) / (2.0 * step)
                for way in step * np.eye(len(point))
            ]
            for point in points
        ]
        return rows, np.array(tangents).swapaxes(1, 2)

    at = np.array(best)
    rows, tangents = linearised(at[None])
    limit = float(rows[0] @ rows[0]) + WIDTH_95**2
    bounds = np.full(len(at), low), np.full(len(at), high)
    return interval_ends(linearised, at, tangents[0], limit, bounds)


def test_a_straight_problem_has_the_ends_of_its_covariance() -> None:
    matrix = np.array([[3.0, 1.0], [1.0, 2.0], [1.0, 0.0], [0.0, 1.0]])
    best = np.array([0.5, -1.0])
    ends = ends_of(lambda x: matrix @ (x - best), best.tolist())
    half = WIDTH_95 * np.sqrt(np.diag(np.linalg.inv(matrix.T @ matrix)))
    # Quotients of a straight line are right to round-off over their step.
    np.testing.assert_allclose(ends[:, 1], best + half, rtol=1e-9)
    np.testing.assert_allclose(ends[:, 0], best - half, rtol=1e-9)


def test_a_kink_is_followed_to_either_side() -> None:
    # Five times as steep above 0.2 as below: 1.96 = 0.2 + 5 (x - 0.2) above.
    ends = ends_of(lambda x: np.where(x < 0.2, x, 0.2 + 5.0 * (x - 0.2)), [0.0])
    above = 0.2 + (WIDTH_95 - 0.2) / 5.0
    assert ends[0] == pytest.approx([-WIDTH_95, above], rel=SOUGHT)


def test_a_solution_in_a_narrow_steep_part_is_no_narrow_interval() -> None:
    # Steep between -0.1 and 0.1 alone: the slope there says +/- 0.2, which is wrong.
    def residual(x: np.ndarray) -> np.ndarray:
        steep = 10.0 * np.clip(x, -0.1, 0.1)
        return steep + (x - np.clip(x, -0.1, 0.1))

    # Beyond the steep part 1 is used up and 0.96 is left.
    far = 0.1 + (WIDTH_95 - 1.0)
    assert ends_of(residual, [0.0])[0] == pytest.approx([-far, far], rel=SOUGHT)


def test_the_other_unknowns_are_fitted_anew_at_an_end() -> None:
    # Along y = x^2 the sum is that of x alone, so x reaches to 1.96, whatever the valley's bend.
    ends = ends_of(lambda x: np.array([x[0], 3.0 * (x[1] - x[0] ** 2)]), [0.0, 0.0])
    assert ends[0] == pytest.approx([-WIDTH_95, WIDTH_95], rel=SOUGHT)
    # y is furthest where x^2 + 9 (y - x^2)^2 = 1.96^2: with u = x^2, y = u + sqrt(1.96^2 - u)/3,
    # whose slope in u is 0 where sqrt(..) = 1/6.
    u = WIDTH_95**2 - 1.0 / 36.0
    assert ends[1, 1] == pytest.approx(u + np.sqrt(WIDTH_95**2 - u) / 3.0, rel=SOUGHT)


def test_an_end_is_found_from_where_the_data_are_silent() -> None:
    # Nothing but the guess above -0.5, and 20 a unit below: 400 d^2 + (0.5 + d)^2 = 1.96^2.
    below = (np.sqrt(1.0 + 4.0 * 401.0 * (WIDTH_95**2 - 0.25)) - 1.0) / (2.0 * 401.0)
    ends = ends_of(lambda x: np.array([20.0 * min(x[0] + 0.5, 0.0), x[0]]), [0.0])
    assert ends[0] == pytest.approx([-0.5 - below, WIDTH_95], rel=SOUGHT)


def test_an_interval_ends_at_a_bound() -> None:
    ends = ends_of(lambda x: x, [0.0], low=-0.5, high=9.0)
    assert ends[0] == pytest.approx([-0.5, WIDTH_95], rel=ROUND_OFF)


def test_what_the_data_say_nothing_of_keeps_its_doubt() -> None:
    ends = ends_of(lambda x: np.array([3.0 * x[0], x[0], x[1]]), [0.0, 0.0])
    assert ends[1] == pytest.approx([-WIDTH_95, WIDTH_95], rel=1e-9)
