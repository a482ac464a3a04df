"""Scatter: what caliper, parts and friction make of the shift."""

import layshaft
import numpy as np
import pytest

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
