"""Result files in several threads: the netCDF library itself would take the process down."""

import subprocess
import sys
import textwrap
import threading
from pathlib import Path

import layshaft
import netCDF4
import pytest

AXES = {"two_speed.gap": ["4.4 mm", "4.6 mm", "4.8 mm"]}
ROUNDS = 3

_WORK = """
    import sys, threading
    import layshaft

    car, axes = layshaft.demo_car(), {"two_speed.gap": [0.0044, 0.0046, 0.0048]}
    table = layshaft.sweep(car, axes, distance=5.0)
    layshaft.save(table, "table.nc")
    done = []

    def sweep_into_a_file(own):
        swept = layshaft.sweep(car, axes, distance=5.0, file=f"{own}.nc", chunk=1)
        return swept.identical(table)

    works = {
        "load": lambda _: layshaft.load("table.nc").identical(table),
        "save": lambda own: layshaft.save(table, f"saved-{own}.nc") is None,
        "sweep": sweep_into_a_file,
        "look": lambda _: shared.copy().identical(table),
    }
    shared = layshaft.sweep(car, axes, distance=5.0, file="shared.nc")

    def work(thread):
        for number in range(ROUNDS):
            for name in sys.argv[1:]:
                assert works[name](f"{thread}-{number}"), name
        done.append(thread)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for each in threads: each.start()
    for each in threads: each.join()
    assert len(done) == 4
""".replace("ROUNDS", str(ROUNDS))


@pytest.mark.parametrize("works", ["load", "save", "sweep", "load save sweep look"])
def test_result_files_in_threads(works: str, tmp_path: Path) -> None:
    # In a process of its own, since what it guards against is that the process dies.
    command = [sys.executable, "-c", textwrap.dedent(_WORK), *works.split()]
    ended = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stderr


def test_two_threads_do_not_write_to_one_file(tmp_path: Path) -> None:
    file, car = tmp_path / "runs.nc", layshaft.demo_car()
    said: list[str] = []

    def second() -> None:
        with pytest.raises(OSError, match="open elsewhere") as caught:
            layshaft.sweep(car, AXES, file=file, distance=5.0)
        said.append(str(caught.value))

    def report(_done: int, _count: int) -> None:
        if not said:
            other = threading.Thread(target=second)
            other.start()
            other.join()

    table = layshaft.sweep(car, AXES, file=file, distance=5.0, chunk=1, progress=report)
    assert said
    assert table.identical(layshaft.sweep(car, AXES, distance=5.0))


def test_a_damaged_file_is_let_go(tmp_path: Path) -> None:
    file = tmp_path / "table.nc"
    table = layshaft.sweep(layshaft.demo_car(), AXES, distance=5.0)
    layshaft.save(table, file)
    whole = file.read_bytes()
    with netCDF4.Dataset(file, "r+") as data:
        data["shift_speed"].scale_factor = "much"  # opens, and cannot be read
    damaged = file.read_bytes()
    for _ in range(3):
        file.write_bytes(damaged)  # into the same inode, by which the library knows a file
        with pytest.raises(ValueError, match="damaged"):
            layshaft.load(file)
        file.write_bytes(whole)
        assert layshaft.load(file).identical(table)
