"""Scatter: what caliper, parts and friction make of the shift."""

from collections.abc import Callable, Mapping, Sequence

import layshaft
import numpy as np
import pytest
from layshaft.runs.point_runs import PointRuns

GAP_1, GAP_2 = "two_speed.shoe_1.gap", "two_speed.shoe_2.gap"


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.demo_car()


def test_both_screws_scatter_the_shift_as_their_slopes_say(car: layshaft.Car) -> None:
    spread = 2e-5
    both = {GAP_1: spread, GAP_2: spread, "two_speed.zero_preload_reading": spread}
    study = layshaft.scatter(car, both, samples=64, distance=30.0)
    # A change of the reading of zero preload is one of both gaps; each gap has a part of it.
    table = layshaft.sweep(
        car,
        {
            "two_speed.zero_preload_reading": car["two_speed.zero_preload_reading"]
            + np.array([-spread, spread])
        },
        distance=30.0,
    )
    slope = float(np.abs(np.diff(table.shift_speed)).item()) / 2.0
    # Standard deviation of 128 draws scatters by 6 %; the screws add at most as much again.
    assert slope * 0.8 < np.std(study.shift_speeds) < slope * 1.5
    assert study.shift_shares[0].path == "two_speed.zero_preload_reading"


def test_what_does_not_act_has_no_share(car: layshaft.Car) -> None:
    spreads = {"two_speed.spring_rate": "2 %", "fuel.tank_volume": "5 %"}
    study = layshaft.scatter(car, spreads, samples=16, distance=20.0)
    shares = {share.path: share.with_others for share in study.shift_shares}
    assert shares["fuel.tank_volume"] == 0.0
    assert study.shift_shares[0].path == "two_speed.spring_rate"


def test_the_same_seed_draws_the_same_cars(car: layshaft.Car) -> None:
    one, two, other = (
        layshaft.scatter(car, {GAP_1: "0.05 mm"}, samples=8, seed=seed, distance=20.0)
        for seed in (1, 1, 2)
    )
    np.testing.assert_array_equal(one.shift_speeds, two.shift_speeds)
    assert not np.array_equal(one.shift_speeds, other.shift_speeds)


def test_half_the_scatter_halves_the_range(car: layshaft.Car) -> None:
    wide, narrow = (
        layshaft.scatter(car, {"two_speed.spring_rate": spread}, samples=16, distance=20.0)
        for spread in ("2 %", "1 %")
    )
    ratio = np.ptp(wide.shift_range) / np.ptp(narrow.shift_range)
    # The same draws, scaled; the shift bends a little over them.
    assert ratio == pytest.approx(2.0, rel=0.02)


@pytest.mark.parametrize(
    ("spreads", "options", "part"),
    [
        ({}, {}, "at least one"),
        ({GAP_1: "0 mm"}, {}, "above 0"),
        ({GAP_1: "1 g"}, {}, "length"),
        ({"first.pinion": 1}, {}, "plain number"),
        ({GAP_1: "0.05 mm"}, {"samples": 12}, "power of 2"),
    ],
)
def test_bad_input_is_refused(car: layshaft.Car, spreads: dict, options: dict, part: str) -> None:
    with pytest.raises(ValueError, match=part):
        layshaft.scatter(car, spreads, **options)


#: Of Sobol indices and quantiles from some thousand draws.
DRAWN = 0.06
_SPREADS = {GAP_1: 2e-5, GAP_2: 1e-5}


def _in_spreads(point: Mapping[str, float]) -> tuple[float, ...]:
    """Return the two gaps as distances from 4.8 mm in standard deviations."""
    return tuple((point.get(path, 4.8e-3) - 4.8e-3) / spread for path, spread in _SPREADS.items())


def _study(
    monkeypatch: pytest.MonkeyPatch, one: Callable[[float, float], tuple[float, float]]
) -> object:
    """Scatter the two gaps of a car whose shift speed and time are `one` of the distances."""

    def run(_car: object, points: Sequence[Mapping[str, float]], _options: object) -> object:
        rows = np.array([one(*_in_spreads(point)) for point in points])
        rows[[not point for point in points]] = (14.0, 3.0)
        ends = ("finished",) * len(points), ("",) * len(points)
        return PointRuns(("shift_speed",), rows[:, :1], rows[:, 1:], *ends)

    monkeypatch.setattr("layshaft.advice.scatter_study.run_points", run)
    car = layshaft.Car({"two_speed.gap": "4.8 mm"})
    return layshaft.scatter(car, _SPREADS, samples=2048, distance=20.0)


def test_shares_of_an_invented_car_are_those_of_its_variance(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Shift: 3 and 4 times independent normals: 9/25 and 16/25 of the variance, each by itself.
    # Time: their product, to which neither does anything alone and both do all together.
    study = _study(monkeypatch, lambda x, y: (14.0 + 3.0 * x + 4.0 * y, 3.02 + 0.01 * x * y))
    second, first = study.shift_shares
    assert (first.path, second.path) == (GAP_1, GAP_2)
    assert (first.alone, first.with_others) == pytest.approx((0.36, 0.36), abs=DRAWN)
    assert (second.alone, second.with_others) == pytest.approx((0.64, 0.64), abs=DRAWN)
    assert (first.spread, second.spread) == (2e-5, 1e-5)
    for share in study.time_shares:
        assert (share.alone, share.with_others) == pytest.approx((0.0, 1.0), abs=DRAWN)
    # A standard deviation of 5 m/s: 95 % within 1.96 of them either way.
    assert study.shift_range == pytest.approx((14.0 - 9.8, 14.0 + 9.8), rel=DRAWN)
    assert len(study.shift_speeds) == 2 * 2048
    # Drawn cars lose .02 s on the car as set, which takes 3 s.
    assert np.mean(study.losses) == pytest.approx(0.02, abs=0.001)
    assert study.failed == 0


def test_a_car_that_fails_counts_as_the_car_as_set(monkeypatch: pytest.MonkeyPatch) -> None:
    # Beyond 1.5 standard deviations of the second gap no car arrives, 6.68 % of them. With P = .933
    # of others, of the shift's variance 9 P + 16 (E y^2 - (E y)^2), y below 1.5, that is 8.40 and
    # 11.55, the first gap does 9 P^2 = 7.84 alone.
    study = _study(
        monkeypatch,
        lambda x, y: (14.0 + 3.0 * x + 4.0 * y, 3.0) if y < 1.5 else (np.nan, np.nan),
    )
    assert study.failed == pytest.approx(0.0668 * 4096, rel=0.1)
    alone = {share.path: share.alone for share in study.shift_shares}
    assert alone[GAP_1] == pytest.approx(7.84 / 19.95, abs=DRAWN)


def test_a_run_that_shifts_but_does_not_arrive_has_failed(monkeypatch: pytest.MonkeyPatch) -> None:
    study = _study(monkeypatch, lambda x, y: (14.0 + x + y, np.nan if x < 0.0 else 3.0))
    assert study.failed == pytest.approx(0.5 * 4096, rel=0.1)


def test_numbers_drawn_stay_within_their_fields(
    car: layshaft.Car, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[float] = []

    def run(_car: object, points: Sequence[Mapping[str, float]], _options: object) -> object:
        drawn.extend(point["two_speed.friction"] for point in points if point)
        ones = np.linspace(1.0, 2.0, len(points))[:, None]
        ends = ("finished",) * len(points), ("",) * len(points)
        return PointRuns(("shift_speed",), ones, ones, *ends)

    monkeypatch.setattr("layshaft.advice.scatter_study.run_points", run)
    layshaft.scatter(car, {"two_speed.friction": "200 %"}, samples=64, distance=20.0)
    field = layshaft.setup.field_table.find_field("two_speed.friction")
    assert min(drawn) == field.minimum
    assert max(drawn) <= field.maximum
