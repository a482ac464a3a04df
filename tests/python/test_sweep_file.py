"""A sweep in a file: what is in the table, kept as it goes, gone on with when it was cut short."""

import contextlib
import os
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import layshaft
import netCDF4
import numpy as np
import pytest
import xarray
from layshaft import _core
from layshaft.runs.batch import Chunk
from layshaft.storage.letters import to_letters
from layshaft.sweeps.shard import Shard

AXES = {
    "two_speed.gap": np.linspace(0.0044, 0.0050, 7),
    "first.pinion": [16, 17, 60],  # the last does not fit
    "two_speed.hold_in": ["detent", "spring"],
}
WAY = {"distance": 20.0, "speeds": [10.0]}
RUNS = 42
#: Far more than a process takes to start on a busy machine [s].
PATIENCE = 60.0

pytestmark = pytest.mark.filterwarnings("ignore:.* of 42 runs failed")


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.Car({"body.mass": 8.0 / 3.0})


@pytest.fixture(scope="module")
def whole(car: layshaft.Car) -> xarray.Dataset:
    with pytest.warns(UserWarning, match="14 of 42 runs failed"):
        return layshaft.sweep(car, AXES, **WAY)


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Sizes of the batches that the core is given."""
    sizes: list[int] = []
    sweep = _core.sweep

    def counting(car: object, paths: object, values: np.ndarray, *others: object) -> object:
        sizes.append(len(values))
        return sweep(car, paths, values, *others)

    monkeypatch.setattr(_core, "sweep", counting)
    return sizes


def cut_short(after: int) -> Callable:
    """Return a map that Ctrl-C stops after some blocks."""

    def stopped(function: Callable, items: Iterable) -> Iterator:
        for number, item in enumerate(items):
            if number == after:
                raise KeyboardInterrupt
            yield function(item)

    return stopped


def test_the_file_holds_the_table(car: layshaft.Car, whole: xarray.Dataset, tmp_path: Path) -> None:
    table = layshaft.sweep(car, AXES, file=tmp_path / "runs.nc", chunk=5, **WAY)
    xarray.testing.assert_identical(table, whole)
    xarray.testing.assert_identical(layshaft.rerun(tmp_path / "runs.nc"), whole)
    saved = tmp_path / "saved.nc"
    layshaft.save(whole, saved)
    with xarray.open_dataset(saved) as one, xarray.open_dataset(tmp_path / "runs.nc") as other:
        xarray.testing.assert_identical(one.drop_attrs(deep=False), other.drop_attrs(deep=False))


def test_numbers_are_read_when_they_are_asked_for(car: layshaft.Car, tmp_path: Path) -> None:
    table = layshaft.sweep(car, AXES, file=tmp_path / "runs.nc", **WAY)
    assert not table.shift_speed.variable._in_memory


def test_an_interrupt_keeps_what_is_done_and_the_file_goes_on(
    car: layshaft.Car, whole: xarray.Dataset, tmp_path: Path, counted: list[int]
) -> None:
    file = tmp_path / "runs.nc"
    with pytest.warns(UserWarning, match="interrupted: 18 of 42 runs done"):
        part = layshaft.sweep(car, AXES, file=file, map=cut_short(3), chunk=6, **WAY)
    assert part.attrs["interrupted"] == 1
    done = part.status.values != "not_run"
    assert done.sum() == sum(counted) == 18
    for name in ("end_time", "shift_speed"):
        there = np.where(done, whole[name].values, np.nan)
        np.testing.assert_array_equal(part[name].values, there)
    # The table above is still open on the file, as in a notebook whose cell is run again.
    with pytest.warns(UserWarning, match="interrupted: 24 of 42 runs done"):
        layshaft.sweep(car, AXES, file=file, map=cut_short(1), chunk=6, **WAY)
    assert (
        np.isfinite(part.peak_engine_speed).sum() == np.isfinite(whole.peak_engine_speed[:4]).sum()
    )
    table = layshaft.sweep(car, AXES, file=file, chunk=6, **WAY)
    assert sum(counted) == RUNS
    xarray.testing.assert_identical(table, whole)
    # What it had not read yet comes out of the file as it is now.
    xarray.testing.assert_equal(part.speed_at_distance, whole.speed_at_distance)


def test_a_whole_file_is_not_run_again(
    car: layshaft.Car, whole: xarray.Dataset, tmp_path: Path, counted: list[int]
) -> None:
    for _ in range(2):
        table = layshaft.sweep(car, AXES, file=tmp_path / "runs.nc", **WAY)
    assert sum(counted) == RUNS
    xarray.testing.assert_identical(table, whole)


@pytest.mark.parametrize(
    ("change", "axes", "way", "message"),
    [
        ({"body.mass": 2.7}, {}, {}, "a sweep of another car: body.mass is 2.66.* there, 2.7 here"),
        ({}, {"two_speed.gap": [0.0044]}, {}, "7 values of two_speed.gap, not 1"),
        ({}, {"first.pinion": [16, 17, 18]}, {}, "other values of first.pinion"),
        ({}, {"first.spur": [50]}, {}, "a sweep over .*, not over .*first.spur"),
        ({}, {}, {"distance": 21.0}, "other runs: distance is 20.0 there, 21.0 here"),
        ({}, {}, {"tolerance": 1e-7}, "other runs: tolerance is 1e-06 there, 1e-07 here"),
    ],
)
def test_another_sweep_is_refused_and_the_file_left_alone(
    car: layshaft.Car, tmp_path: Path, change: dict, axes: dict, way: dict, message: str
) -> None:
    file = tmp_path / "runs.nc"
    layshaft.sweep(car, AXES, file=file, **WAY).close()
    there = file.read_bytes()
    with pytest.raises(ValueError, match=f"runs.nc holds {message}; take another name"):
        layshaft.sweep(car.replace(change), AXES | axes, file=file, **(WAY | way))
    assert file.read_bytes() == there


def test_a_file_whose_axes_are_named_by_their_paths_goes_on(
    car: layshaft.Car, whole: xarray.Dataset, tmp_path: Path, counted: list[int]
) -> None:
    layshaft.sweep(car, AXES, file=tmp_path / "runs.nc", **WAY).close()
    with netCDF4.Dataset(tmp_path / "runs.nc", "a") as file:
        file["two_speed_gap"].layshaft_name = "two_speed.gap"
    table = layshaft.sweep(car, AXES, file=tmp_path / "runs.nc", **WAY)
    assert sum(counted) == RUNS
    xarray.testing.assert_identical(table, whole)


def test_another_version_is_refused(
    car: layshaft.Car, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    layshaft.sweep(car, AXES, file=tmp_path / "runs.nc", **WAY).close()
    monkeypatch.setattr(_core, "version", lambda: "9.9.9")
    with pytest.raises(ValueError, match=r"written by layshaft 0.* this is 9.9.9"):
        layshaft.sweep(car, AXES, file=tmp_path / "runs.nc", **WAY)


def test_a_foreign_file_is_refused(car: layshaft.Car, tmp_path: Path) -> None:
    file = tmp_path / "runs.nc"
    xarray.Dataset({"x": ("time", [1.0])}).to_netcdf(file)
    with pytest.raises(ValueError, match=r"runs.nc holds no sweep"):
        layshaft.sweep(car, AXES, file=file, **WAY)
    file.write_bytes(b"notes")
    with pytest.raises(OSError, match="no netCDF file, or open elsewhere"):
        layshaft.sweep(car, AXES, file=file, **WAY)
    assert file.read_bytes() == b"notes"


def test_bad_names_are_told_before_any_run(
    car: layshaft.Car, tmp_path: Path, counted: list[int]
) -> None:
    with pytest.raises(ValueError, match=r"file = .*runs\.csv' must end in \.nc"):
        layshaft.sweep(car, AXES, file=tmp_path / "runs.csv", **WAY)
    with pytest.raises(FileNotFoundError, match="there is no folder"):
        layshaft.sweep(car, AXES, file=tmp_path / "nowhere" / "runs.nc", **WAY)
    assert not counted


def test_a_long_message_is_cut_between_letters() -> None:
    texts = np.array(["ä" * 5, "a", ""], dtype=object)
    letters = to_letters(texts, 5)  # two and a half ä
    assert [b"".join(row).decode() for row in letters] == ["ää", "a", ""]


#: A sweep of many runs into `runs.nc`; says how many blocks are in the file.
LONG = """
    import sys, warnings
    import numpy as np
    import layshaft
    from layshaft.sweeps import in_file

    warnings.simplefilter("ignore")
    put = in_file.RunsInFile.put
    def told(runs, result):
        put(runs, result)
        print("put", flush=True)
    in_file.RunsInFile.put = told
    in_file._REST = 0.0  # each block is merged at once, as the first is anyway

    axes = {"two_speed.gap": np.linspace(0.0044, 0.0052, 2000)}
    def go(**options):
        return layshaft.sweep(layshaft.demo_car(), axes, file="runs.nc", distance=5.0, **options)
"""


def start(lines: str, folder: Path) -> subprocess.Popen:
    return subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(LONG) + textwrap.dedent(lines)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=folder,
    )


@pytest.mark.parametrize("delay", [0.003, 0.017])
def test_a_process_killed_at_any_moment_leaves_whole_runs(tmp_path: Path, delay: float) -> None:
    with start("go(chunk=20)", tmp_path) as process:
        assert process.stdout.readline() == "put\n"
        time.sleep(delay)
        process.kill()
    with xarray.open_dataset(tmp_path / "runs.nc") as part:
        done = part.status.values == "finished"
        gaps = part.two_speed_gap.values
        assert 20 <= done.sum() < 2000
        assert set(np.unique(part.status.values[~done])) == {"not_run"}
        assert np.isfinite(part.end_time.values[done]).all()
        assert np.isfinite(part.time_to_distance.values[done]).all()
    again = layshaft.sweep(
        layshaft.demo_car(), {"two_speed.gap": gaps}, file=tmp_path / "runs.nc", distance=5.0
    )
    alone = layshaft.sweep(layshaft.demo_car(), {"two_speed.gap": gaps}, distance=5.0)
    xarray.testing.assert_identical(again, alone)


@pytest.mark.parametrize(("flush", "done"), [(1, 0), (2, 100), (3, 100), (4, 200)])
def test_a_block_is_done_once_its_status_is_on_the_disk(
    tmp_path: Path, flush: int, done: int
) -> None:
    # Of each two flushes the first follows the numbers, the second the status.
    lines = f"""
    import os
    flush, count = in_file.RunsInFile._flush, []
    def dying(runs, file):
        flush(runs, file)
        count.append(1)
        if len(count) == {flush}:
            os._exit(0)
    in_file.RunsInFile._flush = dying
    go(chunk=100)
    """
    with start(lines, tmp_path) as process:
        _, cried = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0, cried
    with xarray.open_dataset(tmp_path / "runs.nc") as part:
        finished = part.status.values == "finished"
        assert finished.sum() == done
        assert np.isfinite(part.end_time.values[finished]).all()


def test_what_a_killed_process_had_not_merged_is_not_run_again(
    tmp_path: Path, counted: list[int]
) -> None:
    lines = """
    import os
    in_file._REST = 1e9
    count = []
    def dying(runs, result):
        told(runs, result)
        count.append(1)
        if len(count) == 7:
            os._exit(0)
    in_file.RunsInFile.put = dying
    go(chunk=100)
    """
    with start(lines, tmp_path) as process:
        _, cried = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0, cried
    file = tmp_path / "runs.nc"
    with xarray.open_dataset(file) as part:
        gaps = part.two_speed_gap.values
        assert (part.status == "finished").sum() == 100
    shard = tmp_path / "runs.nc.part"
    shard.write_bytes(shard.read_bytes()[:-1])  # as if the machine had gone down in the last write
    axes = {"two_speed.gap": gaps}
    with pytest.raises(ValueError, match=r"runs\.nc\.part holds runs of another sweep: remove it"):
        layshaft.sweep(layshaft.demo_car(), axes, file=file, distance=6.0)
    table = layshaft.sweep(layshaft.demo_car(), axes, file=file, chunk=100, distance=5.0)
    assert sum(counted) == 1400
    assert not shard.exists()
    alone = layshaft.sweep(layshaft.demo_car(), axes, distance=5.0)
    xarray.testing.assert_identical(table, alone)


def test_of_a_shard_only_whole_records_count(tmp_path: Path) -> None:
    def block(number: float) -> Chunk:
        tables = [np.full((3, width), number) for width in (2, 1, 1, 0)]
        return Chunk(*tables, ["finished", "early", "finished"], ["", "ä", ""], interrupted=False)

    def opened() -> contextlib.closing[Shard]:
        return contextlib.closing(Shard(tmp_path / "part", b"this sweep", [1, 1, 1, 1]))

    with opened() as shard:
        shard.append(6, block(1.5))
        shard.append(0, block(2.5))
    whole = (tmp_path / "part").read_bytes()
    with opened() as shard:
        (first, second) = shard.records
        assert (first.start, second.start, second.points) == (6, 0, 3)
        assert shard.numbers(3, second).tolist() == [[2.5]] * 3
        assert b"".join(shard.status(first)[1]) == b"early"
        assert shard.messages(first) == {1: "ä"}
    for place, left in ((-1, 1), (-30, 1), (20, 0)):
        torn = bytearray(whole)
        torn[place] ^= 1
        (tmp_path / "part").write_bytes(torn)
        with opened() as shard:
            assert len(shard.records) == left, place
    with opened() as shard:
        shard.clear()
    assert not (tmp_path / "part").exists()


def test_a_full_disk_keeps_what_is_done(tmp_path: Path) -> None:
    # A limit on the size of a file is to the writer what a full disk is: a write that fails.
    lines = """
    import resource, os, signal
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    def limited(function, parts):
        for number, part in enumerate(parts):
            if number == 2:
                resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300))
            yield function(part)
    try:
        go(map=limited, chunk=100)
    except OSError as error:
        print(type(error).__name__, error)
    """
    with start(lines, tmp_path) as process:
        told, cried = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0, cried
    first, second, last = told.splitlines()
    assert (first, second) == ("put", "put")
    assert last.startswith("OSError")
    assert "runs.nc" in last
    with xarray.open_dataset(tmp_path / "runs.nc") as part:
        assert (part.status == "finished").sum() == 200


def test_two_cannot_write_at_once(tmp_path: Path) -> None:
    with start("go(chunk=20)", tmp_path) as process:
        assert process.stdout.readline() == "put\n"
        os.kill(process.pid, signal.SIGSTOP)
        with pytest.raises(OSError, match=r"open elsewhere.*runs.nc"):
            layshaft.sweep(
                layshaft.demo_car(), {"first.pinion": [16]}, file=tmp_path / "runs.nc", distance=5.0
            )
        process.kill()


#: Resident memory at its highest over a sweep of so many short runs into a file [kB].
PEAK = """
    import resource, sys
    import numpy as np
    import layshaft
    axes = {"body.mass": np.linspace(2.4, 2.8, int(sys.argv[1]))}
    layshaft.sweep(layshaft.demo_car(), axes, file="runs.nc", distance=0.05, chunk=500, threads=1)
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def test_memory_stays_bounded(tmp_path: Path) -> None:
    peaks = []
    for number, runs in enumerate(("1000", "5000")):
        folder = tmp_path / str(number)
        folder.mkdir()
        command = [sys.executable, "-c", textwrap.dedent(PEAK), runs]
        run = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=True)
        peaks.append(int(run.stdout) * 1024)
    # All results of a run are some 400 bytes; its point and whether it is done are some 50.
    assert (peaks[1] - peaks[0]) / 4_000 < 150
