"""Many runs: labels, the same bits in every way of running them, and failures as data."""

import os
import pickle
import signal
import threading
from collections.abc import Iterator

import layshaft
import numpy as np
import pytest
import xarray
from layshaft import _core
from layshaft.advice.setting_advice import best_setting
from layshaft.runs.batch import run_chunk
from layshaft.runs.run_options import read_options

GAPS = ["4.4 mm", "4.6 mm", "4.8 mm"]
DISTANCE = 40.0


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.demo_car()


def test_each_axis_is_a_dimension_with_its_unit(car: layshaft.Car) -> None:
    axes = {
        "two_speed.gap": GAPS,
        "first.pinion": [16, 17],
        "two_speed.hold_in": ["spring", "detent"],
    }
    table = layshaft.sweep(car, axes, distance=DISTANCE, speeds=["50 km/h"])
    assert table.status.dims == ("two_speed_gap", "first_pinion", "two_speed_hold_in")
    assert table.two_speed_gap.values.tolist() == [0.0044, 0.0046, 0.0048]
    assert table.two_speed_gap.attrs["units"] == "m"
    assert table.first_pinion.dtype.kind == "i"
    assert table.two_speed_hold_in.values.tolist() == ["spring", "detent"]
    assert table.time_to_distance.sizes["distance"] == 5
    assert table.time_to_speed.dims[-1] == "speed"
    for name, _, _ in _core.scalars:
        assert table[name].attrs["units"], name
        assert table[name].attrs["long_name"], name
    assert (table.status == "finished").all()
    assert (table.message == "").all()


def test_a_point_of_a_sweep_is_a_launch_of_that_car(car: layshaft.Car) -> None:
    table = layshaft.sweep(
        car, {"two_speed.gap": GAPS, "first.pinion": [16, 17]}, distance=DISTANCE
    )
    point = table.sel(two_speed_gap=0.0046, first_pinion=16)
    changed = car.replace({"two_speed.gap": "4.6 mm", "first.pinion": 16})
    run = layshaft.launch(changed, distance=DISTANCE)
    for name in run.scalars:
        assert float(point[name]) == float(run.scalars[name]), name
    assert (point.time_to_distance.values == run.times.values).all()
    assert (point.speed_at_distance.values == run.speeds.values).all()


def test_screw_in_means_a_later_shift(car: layshaft.Car) -> None:
    assert car["two_speed.reading_direction"] == "falls_as_screw_goes_in"
    table = layshaft.sweep(car, {"two_speed.gap": GAPS}, distance=DISTANCE)
    assert (table.shift_speed.diff("two_speed_gap") < 0.0).all()


def test_threads_do_not_change_a_bit(car: layshaft.Car) -> None:
    axes = {"two_speed.gap": GAPS, "rear_tyre.friction_peak": [1.4, 1.6]}
    one, two = (layshaft.sweep(car, axes, distance=DISTANCE, threads=count) for count in (1, 3))
    assert one.identical(two)


def test_chunks_make_the_whole(car: layshaft.Car) -> None:
    options = pickle.loads(pickle.dumps(read_options(distance=DISTANCE)))
    values = np.array([[0.0044, 16.0], [0.0046, 16.0], [0.0048, 17.0]])
    paths = ["two_speed.gap", "first.pinion"]
    whole = run_chunk(car, paths, values, options)
    parts = [run_chunk(car, paths, values[rows], options) for rows in (slice(0, 1), slice(1, 3))]
    parts = pickle.loads(pickle.dumps(parts))
    np.testing.assert_array_equal(whole.scalars, np.concatenate([part.scalars for part in parts]))
    times = np.concatenate([part.distance_times for part in parts])
    np.testing.assert_array_equal(whole.distance_times, times)
    assert whole.status == [status for part in parts for status in part.status]


@pytest.mark.parametrize("reverse", [False, True])
def test_a_shoe_named_beside_the_pair_keeps_its_own_value(car: layshaft.Car, reverse: bool) -> None:
    axes = {"two_speed.gap": [0.0046], "two_speed.shoe_1.gap": [0.0048]}
    ordered = dict(reversed(axes.items())) if reverse else axes
    table = layshaft.sweep(car, ordered, distance=DISTANCE)
    run = layshaft.launch(
        car.replace({"two_speed.shoe_1.gap": 0.0048, "two_speed.shoe_2.gap": 0.0046}),
        distance=DISTANCE,
    )
    assert table.end_time.item() == run.scalars.end_time.item()


def test_one_value_is_an_axis_of_one(car: layshaft.Car) -> None:
    table = layshaft.sweep(car, {"two_speed.gap": "4.6 mm", "first.pinion": 17}, distance=5.0)
    assert dict(table.status.sizes) == {"two_speed_gap": 1, "first_pinion": 1}


def test_a_point_that_fails_is_named_and_the_others_go_on(car: layshaft.Car) -> None:
    too_many = 40  # first gear longer than second
    with pytest.warns(
        UserWarning, match=r"1 of 2 runs failed; first at first.pinion = 40: "
    ) as told:
        table = layshaft.sweep(car, {"first.pinion": [17, too_many]}, distance=DISTANCE)
    assert told[0].filename == __file__
    assert table.status.values.tolist() == ["finished", "refused"]
    assert "must be" in table.message.item(1)
    assert np.isfinite(table.end_time[0])
    assert np.isnan(table.end_time[1])
    assert np.isnan(table.time_to_distance[1]).all()


def test_a_run_out_of_steps_is_early(car: layshaft.Car) -> None:
    with pytest.warns(UserWarning, match="step budget"):
        table = layshaft.sweep(car, {"first.pinion": [17]}, distance=DISTANCE, most_steps=100)
    assert table.status.item() == "early"


@pytest.mark.parametrize(
    ("axes", "message"),
    [
        ({"two_sped.gap": [0.0046]}, "two_speed.gap"),
        ({"engine.torque": [1.0]}, "cannot sweep"),
        ({"two_speed.gap": [4.6]}, "must be from 1 mm to 10 mm"),
        ({"two_speed.gap": ["4.6 g"]}, "must be a length"),
        ({"two_speed.gap": [0.0046, "4.6 mm"]}, "twice"),
        ({"two_speed.gap": []}, "at least one value"),
        ({"two_speed.hold_in": ["glue"]}, "spring"),
        ({}, "at least one axis"),
    ],
)
def test_bad_axes_are_refused_before_any_run(car: layshaft.Car, axes: dict, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        layshaft.sweep(car, axes)


def test_progress_counts_to_the_end(car: layshaft.Car) -> None:
    seen: list[tuple[int, int]] = []
    layshaft.sweep(
        car,
        {"two_speed.gap": GAPS},
        distance=5.0,
        progress=lambda done, total: seen.append((done, total)),
    )
    assert seen[-1] == (3, 3)


def test_an_error_of_the_progress_function_is_raised(car: layshaft.Car) -> None:
    def fail(done: int, total: int) -> None:
        raise ZeroDivisionError("mine")

    with pytest.raises(ZeroDivisionError, match="mine"):
        layshaft.sweep(car, {"two_speed.gap": GAPS}, distance=5.0, progress=fail)


def test_a_bar_can_be_shown(car: layshaft.Car, capsys: pytest.CaptureFixture[str]) -> None:
    layshaft.sweep(car, {"two_speed.gap": GAPS}, distance=5.0, progress=True)
    assert capsys.readouterr().out == ""  # tables can be piped


@pytest.fixture
def listening() -> Iterator[None]:
    """Take interrupts as Python does, also where the shell has the tests ignore them."""
    handling = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, handling)


@pytest.mark.usefixtures("listening")
def test_an_interrupt_keeps_what_is_done(car: layshaft.Car) -> None:
    runs = 3000  # far more than can be done before the signal
    started = threading.Event()

    def interrupt() -> None:
        started.wait()
        os.kill(os.getpid(), signal.SIGINT)

    thread = threading.Thread(target=interrupt)
    thread.start()
    gaps = np.linspace(0.0044, 0.0052, runs)
    with pytest.warns(UserWarning, match=f"interrupted: .* of {runs} runs done"):
        table = layshaft.sweep(
            car, {"two_speed.gap": gaps}, progress=lambda *_: started.set(), threads=2
        )
    thread.join()
    assert table.attrs["interrupted"] == 1
    done = table.status == "finished"
    assert 0 < done.sum() < runs
    assert set(np.unique(table.status.values.astype(str))) == {"finished", "not_run"}
    assert np.isfinite(table.end_time.where(done, 0.0)).all()
    assert np.isnan(table.end_time.where(~done)).all()


def test_threads_must_be_positive(car: layshaft.Car) -> None:
    with pytest.raises(ValueError, match="threads = 0"):
        layshaft.sweep(car, {"first.pinion": [17]}, threads=0)


def test_advice_is_read_off_the_table_as_it_stands() -> None:
    gaps = [4.4e-3, 4.5e-3, 4.6e-3, 4.7e-3, 4.8e-3]
    times = np.array([2.05, 2.0, 2.004, 2.008, 2.03])[:, None]
    table = xarray.Dataset(
        {
            "status": ("two_speed_gap", ["finished"] * 5),
            "shift_speed": ("two_speed_gap", [16.0, 15.0, 14.5, 14.0, 13.0]),
            "time_to_distance": (("two_speed_gap", "distance"), times),
        },
        {"two_speed_gap": gaps, "distance": [40.0]},
    )
    car = layshaft.Car({"two_speed.gap": "4.8 mm"})
    advice = best_setting(table, car, within=0.006)
    # Up to .006 s more than 2 s: 2.0 and 2.004, not 2.008.
    assert (advice.best, advice.low, advice.high) == (4.5e-3, 4.5e-3, 4.6e-3)
    assert advice.gain == pytest.approx(0.03)
    # From 16 to 14.5 m/s over the .2 mm beside the best.
    assert advice.shift_slope == pytest.approx(-1.5 / 0.2e-3)
    wide = best_setting(table, car, within=0.1)
    assert (wide.low_is_end, wide.high_is_end) == (True, True)
    narrow = best_setting(table, car)
    assert (narrow.low_is_end, narrow.high_is_end) == (False, False)
