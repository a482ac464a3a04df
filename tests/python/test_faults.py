"""Faults from outside: unreadable input, a full disk, an interrupt, a process killed at work.

None may lose or garble what was there, and each is told in plain words. Kept inputs of the fuzzers
are replayed here.
"""

import os
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import layshaft
import pytest
import xarray
from layshaft.cli.main import app
from typer.testing import CliRunner

FUZZ = Path(__file__).parents[1] / "fuzz"

Start = Callable[..., subprocess.Popen]

#: Far more than a helper process takes to start on a busy machine [s].
PATIENCE = 60.0


#: A shell that starts the tests in the background, or under nohup, has them ignore the interrupt,
#: and a process hands that on to its children: each child listens again.
LISTENING = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"


@pytest.fixture
def start() -> Iterator[Callable[..., subprocess.Popen]]:
    """Give a function that starts Python on a few lines of code; what runs on is ended."""
    started = []

    def begin(lines: str, *words: str, cwd: Path | None = None) -> subprocess.Popen:
        process = subprocess.Popen(
            [sys.executable, "-c", LISTENING + textwrap.dedent(lines), *words],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=cwd,
            env=os.environ | {"MPLBACKEND": "agg"},
        )
        started.append(process)
        return process

    yield begin
    for process in started:
        process.kill()
        process.stdout.close()
        process.stderr.close()
        process.wait()


# Set-up files that nobody can read.

UNREADABLE = {
    "two bytes a letter": (b"\xff\xfe[\x00b\x00o\x00d\x00y\x00]\x00", "must be text in UTF-8"),
    "another alphabet's code": ("# Rücklicht\n".encode("latin-1"), "must be text in UTF-8"),
    "a letter cut off": ("# café".encode()[:-1], "must be text in UTF-8"),
    "half of a pair of codes": (b"# \xed\xa0\x80", "must be text in UTF-8"),
    "zero bytes": (b"\x00" * 64, "must be TOML"),
    "an archive": (b"PK\x03\x04\x14\x00\x08\x08", "must be TOML"),
    "a picture": (b"\x89PNG\r\n\x1a\n", "must be text in UTF-8"),
    "a result": (b"\x89HDF\r\n\x1a\n", "must be text in UTF-8"),
    "another kind of set-up": (b'{"body": {"mass": 2.5}}', "must be TOML"),
    "a program": (b"import os\n", "must be TOML"),
    "old line ends": (b"[body]\rmass = 2.5\r", "must be TOML"),
    "a conflict not settled": (b"<<<<<<< mine\n[body]\n", "must be TOML"),
    "far too long": (b"# a long comment\n" * 100_000, "must not be longer"),
    "a number too great": (b"[body]\nmass = 1e400\n", "body.mass"),
    "a number too small": (b'[body]\nmass = "1e-400 kg"\n', "body.mass"),
    "a date": (b"[body]\nmass = 2024-02-30\n", "must be TOML"),
    "a date for a mass": (b"[body]\nmass = 2024-02-29\n", "body.mass"),
    "an unknown unit": (b'[body]\nmass = "2 stone"\n', "body.mass"),
    "a unit of another thing": (b'[brake]\ntorque = "2 W"\n', "brake.torque"),
    "no end of a string": (b'[body]\nmass = "2.5 kg\n', "must be TOML"),
}


@pytest.mark.parametrize("name", UNREADABLE)
@pytest.mark.parametrize("verb", ["sweep", "launch"])
def test_an_unreadable_set_up_ends_with_a_plain_message(
    name: str, verb: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    content, said = UNREADABLE[name]
    Path("mine.toml").write_bytes(content)
    result = CliRunner().invoke(app, [verb, "--car", "mine.toml"])
    assert result.exit_code == 2
    assert isinstance(result.exception, SystemExit)
    assert result.stdout == ""
    assert said in result.stderr
    assert all(line.startswith("mine.toml:") for line in result.stderr.splitlines())
    assert [path.name for path in tmp_path.iterdir()] == ["mine.toml"]


def test_a_real_process_ends_with_the_code_and_no_traceback(start: Start, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('[body]\nmass = "2 m"\n')
    process = start(
        "from layshaft.cli.main import main; main()", "launch", "--car", "mine.toml", cwd=tmp_path
    )
    told, cried = process.communicate(timeout=PATIENCE)
    assert (process.returncode, told) == (2, "")
    assert cried.startswith("mine.toml:2: body.mass")
    assert "Traceback" not in cried


@pytest.mark.parametrize(
    "path", sorted((FUZZ / "corpus" / "setup").iterdir()), ids=lambda p: p.name
)
def test_kept_inputs_of_the_fuzzer_are_read_or_refused_in_order(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(FUZZ)
    import setup_check

    setup_check.check_setup(path.read_bytes(), tmp_path / "car.toml")


# Writing that is cut short.

#: Saves of each kind, over an old file of the same name.
SAVES = """
    import resource, signal, sys, time
    from pathlib import Path
    import layshaft

    folder = Path(sys.argv[1])
    car = layshaft.demo_car()
    run = layshaft.launch(car, distance=5.0)
    table = layshaft.sweep(car, {"two_speed.gap": ["4.4 mm", "4.6 mm"]}, distance=5.0)

    saves = {
        "run.nc": lambda: run.save(folder / "run.nc"),
        "run.csv": lambda: run.save(folder / "run.csv"),
        "table.nc": lambda: layshaft.save(table, folder / "table.nc"),
        "table.csv": lambda: layshaft.save(table, folder / "table.csv"),
        "car.toml": lambda: layshaft.write_car(car, folder / "car.toml"),
    }
"""
OLD = b"old and whole"
NAMES = ["run.nc", "run.csv", "table.nc", "table.csv", "car.toml"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in NAMES:
        (tmp_path / name).write_bytes(OLD)
    return tmp_path


def left_alone(folder: Path) -> bool:
    """Whether all old files are whole and nothing stands beside them."""
    return {path.name: path.read_bytes() for path in folder.iterdir()} == dict.fromkeys(NAMES, OLD)


def test_a_full_disk_leaves_the_old_files(start: Start, folder: Path) -> None:
    # A limit on the size of a file is to the writer what a full disk is: a write that fails.
    process = start(
        SAVES
        + """
    resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300))
    for name, save in saves.items():
        try:
            save()
            print(name, "done")
        except OSError as error:
            print(name, type(error).__name__, error)
    """,
        str(folder),
    )
    told, cried = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0, cried
    assert [line.split()[0] for line in told.splitlines()] == NAMES, told + cried
    assert "done" not in told
    assert left_alone(folder)


def test_a_full_disk_is_told_on_the_command_line(start: Start, folder: Path) -> None:
    process = start(
        """
    import resource
    resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300))
    from layshaft.cli.main import main; main()
    """,
        *("launch", "--distance", "5m", "--netcdf", "run.nc"),
        cwd=folder,
    )
    _, cried = process.communicate(timeout=PATIENCE)
    assert process.returncode == 2
    assert "Traceback" not in cried
    assert "run.nc" in cried.splitlines()[-1]
    assert left_alone(folder)


#: Stops each save where its file is written, but not yet moved into place.
HELD = """
    import os
    from layshaft.storage import atomic

    def hold(descriptor):
        print("written", flush=True)
        time.sleep(60.0)

    atomic.os.fsync = hold
"""


@pytest.mark.parametrize("name", NAMES)
def test_a_killed_process_leaves_the_old_file(start: Start, folder: Path, name: str) -> None:
    process = start(SAVES + HELD + f"    saves[{name!r}]()\n", str(folder))
    assert process.stdout.readline() == "written\n"
    process.send_signal(signal.SIGKILL)
    assert process.wait(PATIENCE) == -signal.SIGKILL
    (left,) = (path for path in folder.iterdir() if path.name not in NAMES)
    assert left.name.startswith(".")  # hidden, and never taken for the file
    left.unlink()
    assert left_alone(folder)


def test_a_process_killed_at_any_moment_leaves_a_whole_file(start: Start, folder: Path) -> None:
    process = start(
        SAVES
        + """
    for saved in range(1_000_000):
        saves["table.nc"]()
        saves["car.toml"]()
        if saved == 0:
            print("saved once", flush=True)
    """,
        str(folder),
    )
    assert process.stdout.readline() == "saved once\n"
    time.sleep(0.4)  # some saves more
    process.kill()
    process.wait(PATIENCE)
    assert layshaft.read_car(folder / "car.toml") == layshaft.demo_car()
    with xarray.open_dataset(folder / "table.nc") as table:
        assert (table.status == "finished").all()


def test_a_child_listens_where_the_shell_has_the_tests_ignore_the_interrupt(start: Start) -> None:
    handling = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        process = start("print('ready', flush=True); import time; time.sleep(60.0)")
    finally:
        signal.signal(signal.SIGINT, handling)
    assert process.stdout.readline() == "ready\n"
    process.send_signal(signal.SIGINT)
    assert process.wait(PATIENCE / 2) == -signal.SIGINT  # and not at the end of its sleep


def test_an_interrupt_leaves_the_old_files_and_nothing_beside_them(
    start: Start, folder: Path
) -> None:
    process = start(
        SAVES
        + HELD
        + """
    for save in saves.values():
        try:
            save()
        except KeyboardInterrupt:
            print("interrupted", flush=True)
    """,
        str(folder),
    )
    for _ in NAMES:
        assert process.stdout.readline() == "written\n"
        process.send_signal(signal.SIGINT)
        assert process.stdout.readline() == "interrupted\n"
    assert process.wait(PATIENCE) == 0
    assert left_alone(folder)


# Sweeps that fail in part or are cut short.


def test_failed_points_are_named_and_the_others_are_as_without_them() -> None:
    car = layshaft.demo_car()
    axes = {"first.pinion": [16, 17, 60], "two_speed.static_friction": [0.3, 0.9]}
    with pytest.warns(UserWarning, match="4 of 6 runs failed; first at first.pinion = 16, "):
        table = layshaft.sweep(car, axes, distance=20.0)
    failed = table.status != "finished"
    assert failed.values.tolist() == [[False, True], [False, True], [True, True]]
    assert table.where(failed, drop=True).status.size == 4 + 2  # the corner is cut square
    assert "static_friction" in table.message.item(1)
    assert "first.spur / pinion" in table.message.item(4)
    alone = layshaft.sweep(
        car, {"first.pinion": [16, 17], "two_speed.static_friction": 0.3}, distance=20.0
    )
    kept = table.isel(first_pinion=slice(0, 2), two_speed_static_friction=slice(0, 1))
    assert kept.drop_attrs().equals(alone.drop_attrs())


#: Ways to run a sweep: lines before it, and its options.
WAYS = {
    "threads of its own": ("", ""),
    "a file": ("", "file='runs.nc'"),
    "a pool of threads": (
        "from concurrent.futures import ThreadPoolExecutor; pool = ThreadPoolExecutor(2)",
        "map=pool.map, chunk=50",
    ),
    "a pool of processes": (
        "from concurrent.futures import ProcessPoolExecutor; pool = ProcessPoolExecutor(2)",
        "map=pool.map, chunk=50, file='runs.nc'",
    ),
}


@pytest.mark.parametrize("way", WAYS)
def test_ctrl_c_in_a_process_returns_what_was_computed(
    start: Start, tmp_path: Path, way: str
) -> None:
    before, options = WAYS[way]
    process = start(
        f"""
    import warnings
    import numpy as np
    import layshaft

    warnings.simplefilter("ignore")
    {before}
    seen = []
    def report(done, total):
        if done and not seen:
            seen.append(done)
            print("under way", flush=True)
    gaps = np.linspace(0.0044, 0.0052, 20_000)
    car = layshaft.demo_car()
    table = layshaft.sweep(car, {{"two_speed.gap": gaps}}, progress=report, {options})
    print(int((table.status == "finished").sum()), table.attrs["interrupted"])
    print(int((table.status == "not_run").sum()), bool(np.isfinite(table.end_time[0])))
    """,
        cwd=tmp_path,
    )
    assert process.stdout.readline() == "under way\n"
    process.send_signal(signal.SIGINT)
    told, cried = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0, cried
    finished, interrupted, not_run, first_is_whole = told.split()
    assert int(finished) > 0
    assert int(not_run) > 10_000  # it did not go on to the end
    assert int(finished) + int(not_run) == 20_000
    assert (interrupted, first_is_whole) == ("1", "True")


def test_ctrl_c_on_the_command_line_shows_what_was_computed(start: Start, tmp_path: Path) -> None:
    process = start(
        """
    import os, signal, threading
    from layshaft import _core
    from layshaft.cli import main

    sweep = _core.sweep
    def interrupted(*arguments):
        threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT)).start()
        return sweep(*arguments)

    _core.sweep = interrupted
    main.main()
    """,
        *("sweep", "--over", "two_speed.gap=4.4:5.2:0.0001mm", "--csv", "table.csv"),
        cwd=tmp_path,
    )
    told, cried = process.communicate(timeout=PATIENCE)
    assert process.returncode == 130, cried
    assert "interrupted: " in cried
    assert "Traceback" not in cried
    assert "settings" in told
    rows = (tmp_path / "table.csv").read_text().splitlines()
    assert len(rows) == 1 + 8001
    assert sum("finished" in row for row in rows) > 0
    assert sum("not_run" in row for row in rows) > 0
