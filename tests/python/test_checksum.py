"""Results in netCDF files: no number that was changed since is read as one that was computed."""

import random
from pathlib import Path

import layshaft
import netCDF4
import pytest
import whole_files
from layshaft.runs.launch_options import read_launch_options
from layshaft.sweeps.in_file import RunsInFile


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return whole_files.write_each(tmp_path_factory.mktemp("whole"))


@pytest.mark.parametrize("name", ["run.nc", "sweep.nc", "runs.nc"])
def test_no_changed_bit_of_a_netcdf_file_goes_unnoticed(
    name: str, whole: Path, tmp_path: Path
) -> None:
    content = (whole / name).read_bytes()
    chance = random.Random(11)
    file = tmp_path / name
    for _ in range(40):
        spoilt = bytearray(content)
        spoilt[chance.randrange(len(spoilt))] ^= 1 << chance.randrange(8)
        file.write_bytes(spoilt)
        with pytest.raises(
            (ValueError, UserWarning)
        ):  # the latter if the checksum's mark is spoilt
            layshaft.load(file)


def test_a_file_that_another_program_wrote_again_is_read_and_told(
    whole: Path, tmp_path: Path
) -> None:
    file = tmp_path / "run.nc"
    file.write_bytes((whole / "run.nc").read_bytes())
    with netCDF4.Dataset(file, "r+") as data:
        data["car_speed"][3] += 1e-9
        data.setncattr("note", "wet")
    with pytest.warns(UserWarning, match=r"run\.nc has no checksum"):
        changed = layshaft.load(file)
    assert changed.note == "wet"
    assert changed.car_speed[3] - layshaft.load(whole / "run.nc").car_speed[3] > 0.9e-9


def test_a_sweep_that_is_not_finished_has_no_checksum(tmp_path: Path) -> None:
    car, file = layshaft.demo_car(), tmp_path / "runs.nc"
    axes = {"two_speed.gap": ["4.4 mm", "4.6 mm"]}
    options = read_launch_options(distance=2.0)
    columns = {path: [4.4e-3, 4.6e-3] for path in axes}
    RunsInFile(file, car, columns, options)
    with pytest.warns(UserWarning, match="has no checksum, as a sweep that is not finished"):
        assert (layshaft.load(file).status == "not_run").all()
    table = layshaft.sweep(car, axes, distance=2.0, file=file).load()
    assert layshaft.load(file).equals(table)
    written = file.read_bytes()
    layshaft.sweep(car, axes, distance=2.0, file=file)  # nothing is left to be run
    assert file.read_bytes() == written


def test_a_finished_sweep_that_was_changed_does_not_go_on(whole: Path, tmp_path: Path) -> None:
    content = bytearray((whole / "runs.nc").read_bytes())
    content[len(content) // 2] ^= 1
    file = tmp_path / "runs.nc"
    file.write_bytes(content)
    axes = {"two_speed.gap": ["4.4 mm", "4.6 mm"]}
    with pytest.raises(ValueError, match="its checksum is that of something else"):
        layshaft.sweep(layshaft.demo_car(), axes, distance=2.0, file=file)


def test_a_good_file_copied_over_a_damaged_one_is_read(whole: Path, tmp_path: Path) -> None:
    # The library keeps a file open that it could not read, and knows it again by its place on the
    # disk, which a copy into it does not change.
    content = (whole / "run.nc").read_bytes()
    good = layshaft.load(whole / "sweep.nc")
    chance = random.Random(5)
    for number in range(30):
        spoilt = bytearray(content)
        for _ in range(60):
            spoilt[chance.randrange(len(spoilt))] ^= 1 << chance.randrange(8)
        file = tmp_path / f"{number}.nc"
        file.write_bytes(spoilt)
        with pytest.raises(ValueError, match=file.name):
            layshaft.load(file)
        file.write_bytes((whole / "sweep.nc").read_bytes())
        assert layshaft.load(file).identical(good)
