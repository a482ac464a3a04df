"""A result carries all that made it: run again from its file, in another process, it is the same.

"The same" is meant bit for bit, not-a-numbers included, on the same build of the library.
"""

import subprocess
import sys
from pathlib import Path

import layshaft
import numpy as np
import pytest
import xarray
from layshaft.runs import files

AGAIN = """
import sys
import layshaft

again = layshaft.rerun(sys.argv[1])
again.save(sys.argv[2]) if hasattr(again, "save") else layshaft.save(again, sys.argv[2])
"""

#: A car none of whose numbers is short, with a curve, a choice and unequal shoes.
CAR = layshaft.Car(
    {
        "engine.torque": [
            (0.0, 0.1 / 3),
            (1e3 / 3, 0.11),
            (2500.0 / 7, 0.2),
            (4e3, 0.43),
            (5e3, 0.0),
        ],
        "body.mass": 8.0 / 3.0,
        "clutch.design": "thrown_shoes",
        "front_axle": "one_way",
        "two_speed.shoe_1.gap": 0.014 / 3.0,
        "two_speed.hold_in": "spring",
        "air.temperature": "77 degF",
        "first.pinion": 16,
    }
)
#: Every option another than the usual one.
OPTIONS = {
    "distance": 100.0 / 3.0,
    "longest_time": "19 s",
    "start_speed": "11.1 km/h",
    "grade": -0.01 / 3.0,
    "distances": [1.0 / 3.0, 7.0, 25.0],
    "speeds": ["20 mph", 12.0],
    "pedals": [(0.0, 0.2, 0.0), (1.0 / 3.0, 1.0, 0.0), ("1.7 s", 0.9, 0.05), (2.1, 1.0, 0.0)],
    "tolerance": 1e-7 / 3.0,
    "most_steps": 77_777,
}


def run_again(saved: Path) -> Path:
    again = saved.with_name("again.nc")
    subprocess.run([sys.executable, "-c", AGAIN, str(saved), str(again)], check=True)
    return again


def assert_same_bits(one: Path, other: Path) -> None:
    with xarray.open_dataset(one) as a, xarray.open_dataset(other) as b:
        assert a.identical(b)  # names, labels and attributes; and the values, as numbers
        for name in a.variables:
            if a[name].dtype != object:
                assert a[name].values.tobytes() == b[name].values.tobytes(), name


def test_a_launch_is_the_same_in_another_process(tmp_path: Path) -> None:
    run = layshaft.launch(CAR, sample_interval="3 ms", **OPTIONS)
    run.save(tmp_path / "run.nc")
    assert_same_bits(tmp_path / "run.nc", run_again(tmp_path / "run.nc"))


def test_a_run_that_stopped_early_stops_early_again(tmp_path: Path) -> None:
    run = layshaft.launch(CAR, on_failure="return", **(OPTIONS | {"most_steps": 150}))
    assert run.end == "early"
    run.save(tmp_path / "run.nc")
    assert_same_bits(tmp_path / "run.nc", run_again(tmp_path / "run.nc"))


def test_a_sweep_is_the_same_in_another_process(tmp_path: Path) -> None:
    axes = {
        "two_speed.gap": np.linspace(0.0044, 0.0049, 3),
        "two_speed.shoe_2.slug_mass": [0.8e-3, 1e-3],
        "first.pinion": [15, 60],  # the second does not fit: refused
        "two_speed.orientation": ["leading", "trailing"],
    }
    with pytest.warns(UserWarning, match="runs failed"):
        table = layshaft.sweep(CAR, axes, **OPTIONS)
    assert set(np.unique(table.status.values.astype(str))) == {"finished", "refused"}
    layshaft.save(table, tmp_path / "table.nc")
    assert_same_bits(tmp_path / "table.nc", run_again(tmp_path / "table.nc"))


@pytest.mark.parametrize("kind", ["launch", "sweep"])
def test_a_result_says_what_made_it(kind: str, tmp_path: Path) -> None:
    if kind == "launch":
        layshaft.launch(CAR, **OPTIONS).save(tmp_path / "result.nc")
    else:
        table = layshaft.sweep(CAR, {"first.pinion": [16]}, **OPTIONS)
        layshaft.save(table, tmp_path / "result.nc")
    with xarray.open_dataset(tmp_path / "result.nc") as data:
        assert data.attrs["layshaft_version"] == layshaft.__version__
        assert data.attrs["tolerance"] == OPTIONS["tolerance"]
        car, options = files.read_attributes(data)
        (tmp_path / "car.toml").write_text(data.attrs["setup"], encoding="utf-8")
    assert car == CAR
    assert layshaft.read_car(tmp_path / "car.toml") == CAR
    assert options.pedals[1] == (1.0 / 3.0, 1.0, 0.0)
    assert (options.most_steps, options.distances) == (77_777, (1.0 / 3.0, 7.0, 25.0))
