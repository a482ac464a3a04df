"""How sure a recommendation is, on invented cars whose best setting and limits are known."""

from collections.abc import Mapping, Sequence
from types import SimpleNamespace

import layshaft
import numpy as np
import pytest
from layshaft import goals
from layshaft.advice.choices import read_choices
from layshaft.advice.confidence import Confidence, judge_confidence
from layshaft.runs.point_runs import PointRuns

GAP = "two_speed.gap"
CARS = 128
#: The best is looked for at 401 settings over 1 mm; a step at most.
STEP = 2.5e-6


def _runs(_car: object, points: Sequence[Mapping[str, float]], _options: object) -> PointRuns:
    """Car k is best at 4 + k/128 mm, shifts at k m/s as recommended and grows hot with k."""
    rows = []
    for point in points:
        number, gap = point["body.mass"], 1e3 * point.get(GAP, 4.25e-3)
        shift = number if gap == 4.5 else -number
        heat = 380.0 + 0.25 * number + (200.0 if gap == 4.25 else 0.0)
        rows.append((shift, heat, 20.0 + (gap - 4.0 - number / CARS) ** 2))
    table = np.array(rows)
    ends = ("finished",) * len(rows), ("",) * len(rows)
    return PointRuns(("shift_speed", "peak_shoe_temperature"), table[:, :2], table[:, 2:], *ends)


def _judge(monkeypatch: pytest.MonkeyPatch, limits: dict, *others: float) -> Confidence:
    monkeypatch.setattr("layshaft.advice.confidence.run_points", _runs)
    learned = SimpleNamespace(
        car=None, draws=lambda count, seed: [{"body.mass": float(k)} for k in range(count)]
    )
    return judge_confidence(
        learned,
        goals.quickest(within=0.01, distance="30 m"),
        {GAP: 4.5e-3},
        read_choices({GAP: layshaft.Between("4 mm", "5 mm")}),
        limits,
        [SimpleNamespace(settings={GAP: gap}) for gap in others],
    )


def test_intervals_are_the_middle_95_per_cent_of_the_cars(monkeypatch: pytest.MonkeyPatch) -> None:
    sure = _judge(monkeypatch, {})
    # 2.5 and 97.5 % of 0 to 127: 3.175 and 123.825.
    assert (sure.shift_low, sure.shift_high) == pytest.approx((3.175, 123.825))
    assert sure.best_low == pytest.approx(4e-3 + 3.175e-3 / CARS, abs=STEP)
    assert sure.best_high == pytest.approx(4e-3 + 123.825e-3 / CARS, abs=STEP)


def test_shares_count_the_cars_for_which_it_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    sure = _judge(monkeypatch, {}, 4.7e-3)
    # 4.5 mm is nearer than the present 4.25 mm from a best of 4.375 mm up: cars 48 to 127.
    assert sure.better_than_present == 80 / CARS
    # (4.5 - b)^2 <= (4.7 - b)^2 + .01 up to b = 4.625 mm: cars 0 to 80.
    assert sure.best_of_all == 81 / CARS
    assert sure.keeps_limits == 1.0


def test_a_car_past_a_limit_is_not_better(monkeypatch: pytest.MonkeyPatch) -> None:
    # At most 400.1 K: cars 0 to 80 as recommended, no car as it is now, 200 K hotter.
    sure = _judge(monkeypatch, {"peak_shoe_temperature": 400.1})
    assert sure.keeps_limits == 81 / CARS
    # Where neither keeps the limit both cost the same, so that these count as no worse.
    assert sure.better_than_present == 1.0
