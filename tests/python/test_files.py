"""Results in files: whole or not there, complete, and enough to compute them again."""

import csv
from pathlib import Path

import layshaft
import netCDF4
import numpy as np
import pytest
import xarray
from layshaft.storage.atomic import atomic_write


@pytest.fixture(scope="module")
def run() -> layshaft.LaunchRun:
    car = layshaft.Car({"two_speed.gap": "4.65 mm"})
    return layshaft.launch(car, distance=1e2 / 3, speeds=[10.0])


@pytest.fixture(scope="module")
def table() -> xarray.Dataset:
    axes = {"two_speed.gap": ["4.4 mm", "4.6 mm"], "two_speed.hold_in": ["detent", "spring"]}
    return layshaft.sweep(layshaft.demo_car(), axes, distance=25.0)


def test_a_run_comes_back_whole(run: layshaft.LaunchRun, tmp_path: Path) -> None:
    run.save(tmp_path / "run.nc")
    with xarray.open_dataset(tmp_path / "run.nc", decode_timedelta=False) as data:
        for name, values in run.samples.items():
            np.testing.assert_array_equal(data[name], values)
            assert data[name].attrs["units"] == values.attrs["units"]
        np.testing.assert_array_equal(data.time_to_distance, run.times)
        np.testing.assert_array_equal(data.time_to_speed, run.speed_times)
        assert data.shift_speed == run.scalars.shift_speed
        assert data.change_text.values.tolist() == [change.text for change in run.changes]
        assert data.attrs["layshaft_version"] == layshaft.__version__
        assert data.attrs["tolerance"] == run.options.tolerance


def test_a_run_is_computed_again_bit_for_bit(run: layshaft.LaunchRun, tmp_path: Path) -> None:
    run.save(tmp_path / "run.nc")
    again = layshaft.rerun(tmp_path / "run.nc")
    assert again.car == run.car
    assert again.options == run.options
    assert again.samples.identical(run.samples)
    assert again.changes == run.changes


def test_a_sweep_is_computed_again_bit_for_bit(table: xarray.Dataset, tmp_path: Path) -> None:
    layshaft.save(table, tmp_path / "table.nc")
    assert layshaft.rerun(tmp_path / "table.nc").identical(table)


def test_another_version_warns(run: layshaft.LaunchRun, tmp_path: Path) -> None:
    old = run.to_dataset().assign_attrs(layshaft_version="0.0.1")
    layshaft.save(old, tmp_path / "old.nc")
    with pytest.warns(UserWarning, match="written by layshaft 0.0.1"):
        layshaft.rerun(tmp_path / "old.nc")


@pytest.mark.filterwarnings("ignore:.*has no checksum")
def test_a_foreign_file_is_refused(tmp_path: Path) -> None:
    xarray.Dataset({"a": 1.0}).to_netcdf(tmp_path / "other.nc")
    with pytest.raises(ValueError, match="no result of layshaft"):
        layshaft.rerun(tmp_path / "other.nc")


def test_samples_as_a_table_lose_no_digit(run: layshaft.LaunchRun, tmp_path: Path) -> None:
    run.save(tmp_path / "run.csv")
    with (tmp_path / "run.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0])[:2] == ["time_s", "crank_speed_rad_per_s"]
    assert len(rows) == run.samples.sizes["time"]
    speeds = np.array([float(row["car_speed_m_per_s"]) for row in rows])
    np.testing.assert_array_equal(speeds, run.samples.car_speed)


def test_a_sweep_as_a_table_has_one_row_a_run(table: xarray.Dataset, tmp_path: Path) -> None:
    layshaft.save(table, tmp_path / "table.csv")
    with (tmp_path / "table.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(float(row["two_speed_gap_m"]), row["two_speed_hold_in"]) for row in rows] == [
        (0.0044, "detent"),
        (0.0044, "spring"),
        (0.0046, "detent"),
        (0.0046, "spring"),
    ]
    point = table.sel(two_speed_gap=0.0046, two_speed_hold_in="detent")
    assert float(rows[2]["time_to_distance_25_m_s"]) == point.time_to_distance.sel(distance=25.0)
    assert rows[2]["status"] == "finished"


def test_settings_are_plain_words_in_every_tool(table: xarray.Dataset) -> None:
    assert table.two_speed_gap.values.tolist() == [0.0044, 0.0046]
    near = table.query(two_speed_gap="two_speed_gap < 0.0045")
    assert near.two_speed_gap.values.tolist() == [0.0044]
    frame = table.shift_speed.to_dataframe().reset_index().query("two_speed_hold_in == 'detent'")
    assert frame.eval("two_speed_gap * 1e3").round(9).tolist() == [4.4, 4.6]


@pytest.mark.filterwarnings("ignore:.*has no checksum")
def test_a_file_whose_settings_are_named_by_their_paths_still_loads(
    table: xarray.Dataset, tmp_path: Path
) -> None:
    file = tmp_path / "table.nc"
    layshaft.save(table, file)
    with netCDF4.Dataset(file, "a") as written:
        written["two_speed_gap"].layshaft_name = "two_speed.gap"
        written["two_speed_hold_in_values"].layshaft_name = "two_speed.hold_in"
    assert layshaft.load(file).identical(table)
    assert layshaft.rerun(file).identical(table)
    cases = layshaft.run_cases(layshaft.demo_car(), [{"first.pinion": 16}], distance=5.0)
    layshaft.save(cases, file)
    with netCDF4.Dataset(file, "a") as written:
        written.renameVariable("first_pinion", "first.pinion")
    assert layshaft.load(file).identical(cases)
    file = tmp_path / "table.csv"
    layshaft.save(table, file)
    own = layshaft.load(file)
    text = file.read_text().replace("two_speed_gap", "two_speed.gap", 1)
    file.write_text(text.replace("two_speed_hold_in", "two_speed.hold_in", 1))
    assert layshaft.load(file).identical(own)


class Unwritable:
    """A value on which a writer fails when it is halfway."""

    def __str__(self) -> str:
        raise ZeroDivisionError("cannot be written")


@pytest.mark.parametrize("name", ["result.nc", "result.csv"])
def test_a_failing_write_leaves_the_old_file(
    table: xarray.Dataset, tmp_path: Path, name: str
) -> None:
    target = tmp_path / name
    target.write_text("old")
    messages = table.message.copy(deep=True)
    messages.values[-1, -1] = Unwritable()
    with pytest.raises((ZeroDivisionError, TypeError, ValueError)):
        layshaft.save(table.assign(message=messages), target)
    assert target.read_text() == "old"
    assert [file.name for file in tmp_path.iterdir()] == [name]


def test_a_failure_midway_leaves_nothing(tmp_path: Path) -> None:
    def write_half() -> None:
        with atomic_write(tmp_path / "new.txt") as aside:
            aside.write_text("half")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_half()
    assert list(tmp_path.iterdir()) == []


def test_a_link_stays_a_link(table: xarray.Dataset, tmp_path: Path) -> None:
    (tmp_path / "real.csv").write_text("old")
    (tmp_path / "link.csv").symlink_to(tmp_path / "real.csv")
    layshaft.save(table, tmp_path / "link.csv")
    assert (tmp_path / "link.csv").is_symlink()
    assert (tmp_path / "real.csv").read_text() != "old"


def test_endings_and_folders_are_checked(table: xarray.Dataset, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="must end in"):
        layshaft.save(table, tmp_path / "table.txt")
    with pytest.raises(FileNotFoundError, match="no folder"):
        layshaft.save(table, tmp_path / "none" / "table.csv")
