"""Lap-timer lists and logs of a lap teach the car."""

from pathlib import Path

import layshaft
import numpy as np
import pytest


def test_a_log_of_speed_over_distance_tells_grip_and_power() -> None:
    believed = layshaft.demo_car()
    changes = {"rear_tyre.friction_peak": 1.52, "front_tyre.friction_peak": 1.55 * 1.52 / 1.6}
    true = believed.replace(changes | {"engine.power_scale": 0.93})
    samples = layshaft.lap(true, "club").samples
    at = np.arange(2.0, 258.0, 4.0)
    speed = np.interp(at, samples.distance.values, samples.car_speed.values)
    noisy = speed + np.random.default_rng(5).normal(scale=0.4, size=len(at))
    log = layshaft.lap_log("car_speed", at, noisy, track="club", error="1.44 km/h")
    found = layshaft.learn(believed, [log], ["rear_tyre.friction_peak", "engine.power_scale"])
    assert found.agrees
    for interval, value in zip(found.intervals, (1.52, 0.93), strict=True):
        # Four standard deviations: the noise is one draw.
        assert abs(interval.value - value) < 2.0 * (interval.high - interval.low) / 2.0
        assert interval.doubt_left < 0.3


def test_the_middle_of_a_timers_list_counts() -> None:
    clean = layshaft.lap_times([21.6, 21.7, 21.8], track="club")
    spoilt = layshaft.lap_times([21.6, 21.7, 21.8, 29.0, 21.7], track="club")
    assert clean.value == spoilt.value == 21.7
    assert 0.05 < clean.error < 0.15
    many = layshaft.lap_times([21.6, 21.7, 21.8] * 30, track="club")
    assert 0.05 < many.error < clean.error


def test_a_list_comes_from_a_file(tmp_path: Path) -> None:
    file = tmp_path / "timer.csv"
    file.write_text("lap_time_s\n21.5\n21.7\n", encoding="utf-8")
    assert layshaft.read_lap_times(file, track="club").value == pytest.approx(21.6)
    file.write_text("lap_time_s\n21.5\nfast\n", encoding="utf-8")
    with pytest.raises(layshaft.SetupError, match=r":3.*must be a number"):
        layshaft.read_lap_times(file, track="club")
    file.write_text("time\n21.5\n", encoding="utf-8")
    with pytest.raises(layshaft.SetupError, match="lap_time_s"):
        layshaft.read_lap_times(file, track="club")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("torque", [1.0, 2.0], [1.0, 2.0]), "torque"),
        (("car_speed", [2.0, 1.0], [1.0, 2.0]), "rising"),
        (("car_speed", [1.0, 900.0], [1.0, 2.0]), "between 0 and 294.745"),
        (("car_speed", [1.0], [1.0]), "two samples"),
    ],
)
def test_what_is_no_log_is_refused(arguments: tuple, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        layshaft.lap_log(*arguments, track="club", error=1.0)


def test_an_empty_list_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        layshaft.lap_times([], track="club")


def test_the_error_of_a_list_is_that_of_its_middle_and_of_all_laps() -> None:
    # Quartiles 21.2 and 21.6 s, 1.349 deviations of a normal apart: .2965 s. The middle of five has
    # 1.2533/sqrt(5) of that, .1662 s; with .05 s for all laps the root of the squares is .1736 s.
    seen = layshaft.lap_times([21.0, 21.8, 21.4, 21.2, 21.6], track="club", error="0.05 s")
    assert seen.value == 21.4
    assert seen.error == pytest.approx(0.17356, abs=2e-5)


@pytest.mark.parametrize("quantity", ["engine_speed", "car_speed"])
def test_a_log_is_compared_with_its_own_quantity_of_the_car_of_that_time(quantity: str) -> None:
    car, changes = layshaft.demo_car(), {"engine.power_scale": 0.9}
    at = np.array([1.0, 90.0, 180.0])  # from rest the clutch slips at first
    log = layshaft.lap_log(
        quantity, at, at / 4.0, track="club", error=1.0, changes=changes, standing=True
    )
    (shown,) = log.predicted(car, [{}])
    samples = layshaft.lap(car.replace(changes), "club", sample_spacing=0.25, standing=True).samples
    expected = np.interp(at, samples.distance.values, samples[_SAMPLED[quantity]].values)
    # Both are read off samples of one lap.
    np.testing.assert_allclose(shown, expected, rtol=1e-9)


#: What a lap calls the quantities that may be logged.
_SAMPLED = {"engine_speed": "crank_speed", "car_speed": "car_speed"}


def test_a_log_of_a_lap_may_reach_the_line() -> None:
    track = layshaft.demo_track("club")
    log = layshaft.lap_log("car_speed", [0.0, track.length], [20.0, 20.0], track=track, error=1.0)
    (shown,) = log.predicted(layshaft.demo_car(), [{}])
    assert shown[0] == pytest.approx(shown[1], rel=1e-3)  # a lap repeats to its tolerance


def test_a_launch_that_ends_before_its_log_shows_nothing() -> None:
    log = layshaft.run_log("car_speed", [0.5, 3.0], [5.0, 20.0], error=1.0, distance=10.0)
    assert np.isnan(log.predicted(layshaft.demo_car(), [{}])).all()
