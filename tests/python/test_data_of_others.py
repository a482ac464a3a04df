"""Arrays, Series, DataFrames and quantities with units stand wherever numbers and curves do."""

from pathlib import Path

import layshaft
import numpy as np
import pandas
import pint
import pytest
import xarray
from layshaft import _core, goals
from scipy.interpolate import PchipInterpolator

UNIT = pint.UnitRegistry()
SPEEDS = [1000.0, 2500.0, 3800.0]  # [rad/s]
TORQUES = [0.2, 0.32, 0.25]  # [N*m]
POINTS = tuple(zip(SPEEDS, TORQUES, strict=True))
RPM = 60.0 / (2.0 * np.pi)


@pytest.mark.parametrize(
    "gap",
    [
        "4.3 mm",
        UNIT.Quantity(4.3, "mm"),
        UNIT.Quantity(0.43, "cm"),
        UNIT.Quantity(np.float64(4.3), "mm"),
        np.float64(0.0043),
        np.array(0.0043),
        xarray.DataArray(0.0043),
        pandas.Series([0.0043])[0],
    ],
    ids=lambda gap: type(gap).__name__,
)
def test_one_number_is_the_same_in_every_form(gap: object) -> None:
    assert layshaft.Car({"two_speed.gap": gap})["two_speed.gap"] == 0.0043


def test_a_count_may_be_one_of_an_array() -> None:
    assert layshaft.Car({"first.pinion": np.array([16, 17])[0]}).first.pinion == 16
    assert layshaft.Car({"first.pinion": np.int64(16)}).first.pinion == 16


@pytest.mark.parametrize(
    ("given", "message"),
    [
        (UNIT.Quantity(4.3, "g"), '"g" is no unit of length'),
        (UNIT.Quantity(4.3, "rpm"), "is no unit of length"),
        (UNIT.Quantity([4.3, 4.4], "mm"), "must be a length"),
        (np.array([0.0043, 0.0044]), "must be a length"),
        (UNIT.Quantity(43.0, "mm"), "must be from 1 mm to 10 mm"),
    ],
)
def test_a_number_of_another_kind_is_refused(given: object, message: str) -> None:
    with pytest.raises(ValueError, match=r"two_speed\.gap") as refused:
        layshaft.Car({"two_speed.gap": given})
    assert message in str(refused.value)


def test_hertz_are_not_taken_for_radians_per_second() -> None:
    assert UNIT.Quantity(60.0, "Hz").to("rad/s").magnitude == 60.0  # what pint itself makes of it
    with pytest.raises(ValueError, match='"Hz" is no unit of speed of turning'):
        layshaft.Car({"engine.idle_speed": UNIT.Quantity(60.0, "Hz")})


@pytest.mark.parametrize(
    "gaps",
    [
        ["4.4 mm", "4.6 mm"],
        np.array([0.0044, 0.0046]),
        pandas.Series([0.0044, 0.0046]),
        xarray.DataArray([0.0044, 0.0046]),
        UNIT.Quantity(np.array([4.4, 4.6]), "mm"),
        [UNIT.Quantity(4.4, "mm"), 0.0046],
    ],
    ids=lambda gaps: type(gaps).__name__,
)
def test_an_axis_takes_any_form(gaps: object) -> None:
    table = layshaft.sweep(layshaft.demo_car(), {"two_speed.gap": gaps}, distance=5.0)
    assert table.two_speed_gap.values.tolist() == [0.0044, 0.0046]


def test_options_goals_and_observations_take_quantities() -> None:
    way, speed = UNIT.Quantity(20.0, "m"), UNIT.Quantity(54.0, "km/hour")
    run = layshaft.launch(layshaft.demo_car(), distance=way, speeds=speed, start_speed=speed / 9)
    assert run.options.distance == 20.0
    assert run.options.speeds == (15.0,)
    assert run.options.start_speed == pytest.approx(15.0 / 9.0, rel=1e-15)
    assert goals.shift_at(speed).target == 15.0
    assert layshaft.observe("shift_speed", speed, error=UNIT.Quantity(1.0, "m/s")).value == 15.0


def test_a_quantity_out_of_bounds_is_told_with_its_unit() -> None:
    with pytest.raises(ValueError, match="distance = '0 km' must be > 0 m and < 100000 m"):
        layshaft.launch(layshaft.demo_car(), distance=UNIT.Quantity(0, "km"))


def test_logs_take_series_and_arrays_with_units() -> None:
    times, speeds = np.array([0.5, 1.0]), np.array([18.0, 36.0])
    for along, values in (
        (UNIT.Quantity(times, "s"), UNIT.Quantity(speeds, "km/hour")),
        (pandas.Series(times), pandas.Series(speeds / 3.6)),
    ):
        log = layshaft.run_log("car_speed", along, values, error="1 km/h")
        assert log.along == (0.5, 1.0)
        assert log.values == pytest.approx((5.0, 10.0), rel=1e-15)


@pytest.mark.parametrize(
    "curve",
    [
        POINTS,
        np.array(POINTS),
        (np.array(SPEEDS), np.array(TORQUES)),
        pandas.DataFrame({"speed": SPEEDS, "torque": TORQUES}),
        pandas.DataFrame(POINTS),
        pandas.DataFrame({"speed_rad_per_s": SPEEDS, "torque_N_m": TORQUES}),
        pandas.Series(TORQUES, index=SPEEDS),
        (UNIT.Quantity(SPEEDS, "rad/s"), UNIT.Quantity(TORQUES, "N*m")),
        [(UNIT.Quantity(x, "rad/s"), UNIT.Quantity(y, "N*m")) for x, y in POINTS],
    ],
    ids=lambda curve: type(curve).__name__,
)
def test_a_torque_curve_takes_any_form(curve: object) -> None:
    assert layshaft.Car({"engine.torque": curve}).engine.torque == POINTS


def test_columns_may_have_their_units_in_their_heads() -> None:
    frame = pandas.DataFrame(
        {"engine_speed_rpm": np.array(SPEEDS) * RPM, "torque_mN_m": np.array(TORQUES) * 1e3}
    )
    got = np.array(layshaft.Car({"engine.torque": frame}).engine.torque)
    np.testing.assert_allclose(got, POINTS, rtol=1e-14)


def test_a_frame_is_read_as_the_file_that_it_would_be(tmp_path: Path) -> None:
    seen = pandas.DataFrame({"gap_mm": [4.6, None], "first.pinion": [None, 16], "time_s": [2.1, 2]})
    log = pandas.DataFrame({"time_s": [0.5, 1 / 3 + 1], "car_speed_km_per_h": [18.0, 36.1]})
    laps = pandas.DataFrame({"lap_time_s": [21.7, 21.9, 21.8]})
    ways = {
        "seen": (seen, layshaft.read_observations),
        "log": (log, lambda given: layshaft.read_log(given, error="1 km/h")),
        "laps": (laps, lambda given: layshaft.read_lap_times(given, track="club")),
    }
    for name, (frame, read) in ways.items():
        frame.to_csv(tmp_path / name, index=False)
        assert read(frame) == read(tmp_path / name)
    with pytest.raises(layshaft.SetupError, match=r"<DataFrame>:3: .*first.pinion"):
        layshaft.read_observations(seen.replace(16, 16.5))


@pytest.mark.parametrize(
    "curve", [np.zeros((3, 3)), pandas.DataFrame({"x": [1.0, 2.0]}), (np.ones(3), np.ones(4)), 3.0]
)
def test_what_is_no_curve_is_refused(curve: object) -> None:
    with pytest.raises(ValueError, match=r"engine\.torque(\[0\])? must be a"):
        layshaft.Car({"engine.torque": curve})


def test_of_many_points_those_are_kept_that_describe_the_curve() -> None:
    speeds = np.linspace(800.0, 4000.0, 241)
    # With a narrow peak, as of a tuned pipe, and a dip before it: invented.
    peak, dip = (np.exp(-(((speeds - at) / wide) ** 2)) for at, wide in ((3000, 400), (2200, 200)))
    torques = 0.2 + 0.12 * peak - 0.02 * dip
    with pytest.warns(UserWarning, match="241 points: 16 are kept") as told:
        car = layshaft.Car({"engine.torque": np.column_stack([speeds, torques])})
    assert told[0].filename == __file__
    kept = np.array(car.engine.torque)
    assert len(kept) == 16
    assert {tuple(point) for point in kept} <= set(zip(speeds, torques, strict=True))
    off = farthest(kept, speeds, torques)
    said = float(str(told[0].message).split("at most ")[1].split(" mN*m")[0])
    assert said == pytest.approx(off * 1e3, rel=0.06)  # it is said to two digits
    even = np.linspace(0, 240, 16).round().astype(int)
    assert off < 0.5 * farthest(np.column_stack([speeds, torques])[even], speeds, torques)


def farthest(kept: np.ndarray, speeds: np.ndarray, torques: np.ndarray) -> float:
    """Return how far the monotone cubic through some points is off the others [N*m]."""
    return float(np.abs(PchipInterpolator(*kept.T)(speeds) - torques).max())


def test_points_that_say_nothing_new_cost_nothing() -> None:
    speeds = np.linspace(1000.0, 3000.0, 33)
    straight = np.column_stack([speeds, 0.1 + 5e-5 * speeds])
    with pytest.warns(UserWarning, match="33 points"):
        kept = layshaft.Car({"engine.torque": straight}).engine.torque
    line = PchipInterpolator(*np.array(kept).T)(speeds)
    np.testing.assert_allclose(line, straight[:, 1], atol=1e-16)


def test_many_points_with_a_fault_are_refused_by_the_point() -> None:
    points = [(1000.0 + n, 0.2) for n in range(40)]
    points[20] = (1000.0, 0.2)
    with pytest.raises(ValueError, match=r"engine\.torque"):
        layshaft.Car({"engine.torque": points})


def test_a_file_holds_as_many_points_as_a_dyno_gave(tmp_path: Path) -> None:
    speeds = np.linspace(400.0, 4400.0, 40)
    points = np.column_stack([speeds, 0.1 + 0.2 * np.sin(speeds / 1500.0)])
    file = tmp_path / "car.toml"
    file.write_text(f"[engine]\ntorque = {points.tolist()}\n")
    with pytest.warns(UserWarning, match="40 points: 16 are kept"):
        car = layshaft.read_car(file)
    with pytest.warns(UserWarning, match="40 points: 16 are kept"):
        assert car == layshaft.Car({"engine.torque": points})
    lines = f"engine.torque = {points.tolist()}"
    assert _core.car_from_text(lines).torque_speeds == [speed for speed, _ in car.engine.torque]
