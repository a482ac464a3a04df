"""The file of a logbook outlives killed writers, two at once, old versions and damage."""

import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import layshaft
import pytest
from layshaft.logbook.schema import APPLICATION, VERSION

DAY = "2026-05-02"


def made(path: Path) -> Path:
    with layshaft.open_logbook(path, create=True) as book:
        book.add_setup("dry", layshaft.demo_car())
        book.add_day(DAY)
        seen = layshaft.observe("shift_speed", "65 km/h", changes={"two_speed.gap": "4.4 mm"})
        for number in range(40):
            book.add_run(DAY, "dry", [seen], note=f"run {number}")
    return path


def pragma(path: Path, name: str) -> object:
    connection = sqlite3.connect(path)
    try:
        return connection.execute(f"PRAGMA {name}").fetchone()[0]
    finally:
        connection.close()


def script(path: Path, statements: str) -> None:
    connection = sqlite3.connect(path)
    connection.executescript(statements)
    connection.close()


def test_the_file_has_a_version_and_a_write_ahead_log(tmp_path: Path) -> None:
    path = made(tmp_path / "season.db")
    assert pragma(path, "journal_mode") == "wal"
    assert pragma(path, "user_version") == VERSION
    assert pragma(path, "application_id") == APPLICATION
    assert pragma(path, "integrity_check") == "ok"
    assert [each.name for each in tmp_path.iterdir()] == ["season.db"]  # closed: all in one file


def test_a_reader_does_not_wait_for_a_writer(tmp_path: Path) -> None:
    path = made(tmp_path / "season.db")
    writer = sqlite3.connect(path, isolation_level=None)
    writer.execute("BEGIN IMMEDIATE")
    writer.execute("DELETE FROM run")
    begin = time.monotonic()
    with layshaft.open_logbook(path) as book:
        assert len(book.runs()) == 40
    assert time.monotonic() - begin < 5.0  # far below the patience with a writer, 10 s
    writer.execute("ROLLBACK")
    writer.close()


def test_a_writer_does_not_wait_for_a_reader(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from layshaft.logbook import book_file

    monkeypatch.setattr(book_file, "_PATIENCE", 0.1)
    path = made(tmp_path / "season.db")
    reader = sqlite3.connect(path, isolation_level=None)
    reader.execute("BEGIN")
    assert reader.execute("SELECT count(*) FROM run").fetchone() == (40,)
    with layshaft.open_logbook(path) as book:
        book.add_run(DAY, "dry")
        assert len(book.runs()) == 41
    assert reader.execute("SELECT count(*) FROM run").fetchone() == (40,)  # what it began with
    reader.close()


WRITER = """
import sys
import layshaft
path, name, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
seen = layshaft.observe("shift_speed", "65 km/h")
with layshaft.open_logbook(path, create=True) as book:
    book.add_setup("dry", layshaft.demo_car())
    book.add_day("2026-05-02", replace=True)
    for number in range(count):
        book.add_run("2026-05-02", "dry", [seen, seen], note=f"{name} {number}")
        print(number, flush=True)
"""


def writer(path: Path, name: str, count: int) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", WRITER, str(path), name, str(count)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def test_two_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    """Both even begin the file: neither finds one there."""
    path, count = tmp_path / "season.db", 25
    both = [writer(path, name, count) for name in ("one", "other")]
    for each in both:
        _, told = each.communicate(timeout=120)
        assert each.returncode == 0, told
    with layshaft.open_logbook(path) as book:
        runs = book.runs()
    assert sorted(run.note for run in runs) == sorted(
        f"{name} {number}" for name in ("one", "other") for number in range(count)
    )
    assert {len(run.seen) for run in runs} == {2}


def test_a_writer_that_is_killed_leaves_whole_runs(tmp_path: Path) -> None:
    path = tmp_path / "season.db"
    for kill in range(3):
        with writer(path, f"life {kill}", 100_000) as killed:
            reported = [killed.stdout.readline() for _ in range(4 + 3 * kill)]
            assert all(reported), killed.stderr.read()
            killed.send_signal(signal.SIGKILL)
            # Not by `communicate`: what was read ahead of a line would be lost.
            rest = killed.stdout.read()
        assert killed.returncode == -signal.SIGKILL
        told = len(reported) + rest.count("\n")
        with layshaft.open_logbook(path) as book:
            runs = [run for run in book.runs() if run.note.startswith(f"life {kill} ")]
        # What was told of is there; at most the one run after it is there untold.
        assert told <= len(runs) <= told + 1
        assert {len(run.seen) for run in runs} == {2}
    assert pragma(path, "integrity_check") == "ok"


HALF = """
import os, signal, sys
import layshaft
from layshaft.logbook import run_store
whole, calls = run_store.plain_observation, []
def half(observation):
    calls.append(observation)
    if len(calls) == 2:
        os.kill(os.getpid(), signal.SIGKILL)
    return whole(observation)
run_store.plain_observation = half
seen = layshaft.observe("shift_speed", "65 km/h")
with layshaft.open_logbook(sys.argv[1]) as book:
    book.add_run("2026-05-02", "dry", [seen, seen], note="half")
"""


def test_a_writer_killed_between_two_rows_leaves_neither(tmp_path: Path) -> None:
    path = made(tmp_path / "season.db")
    done = subprocess.run([sys.executable, "-c", HALF, str(path)], capture_output=True)
    assert done.returncode == -signal.SIGKILL
    with layshaft.open_logbook(path) as book:
        assert len(book.runs()) == 40
        assert {len(run.seen) for run in book.runs()} == {1}


def old(path: Path, version: int = 1) -> Path:
    """Make a file as an older version wrote it: two runs of one day; an advice from 2 on."""
    for number in range(1, version + 1):
        file = Path(__file__).with_name(f"logbook-version-{number}.sql")
        script(path, file.read_text(encoding="utf-8"))
    assert pragma(path, "user_version") == version
    return path


@pytest.mark.parametrize("version", [1, 2])
def test_a_file_of_before_is_brought_up_with_all_that_it_holds(
    tmp_path: Path, version: int
) -> None:
    path = old(tmp_path / "old.db", version)
    with layshaft.open_logbook(path) as book:
        assert book.setup("dry") == layshaft.Car({"two_speed.gap": "4.5 mm"})
        assert book.track("hall").length == 51.2
        (day,) = book.days()
        assert (day.track, day.note, day.air_pressure) == ("hall", "it's dry", 98500.0)
        first, second = book.runs()
        assert [seen.measure for seen in first.seen] == ["shift_speed", "time"]
        assert first.seen[0].changes == (("two_speed.gap", 0.0044),)
        assert second.seen[0].options.track.name == "ring"
        assert first.logs == second.logs == ()
        told = [(each.said, each.helped) for each in book.advice()]
        assert told == [("Turn both screws 0.25 in.", True)][: version - 1]
        number = book.add_advice(DAY, "dry", "Leave it.")
        book.judge(number, True)
        assert book.add_run(DAY, "dry") == 3
    assert pragma(path, "user_version") == VERSION == 3
    assert pragma(path, "integrity_check") == "ok"


@pytest.mark.parametrize("version", [1, 2])
def test_a_file_brought_up_has_the_tables_of_a_new_one(tmp_path: Path, version: int) -> None:
    layshaft.open_logbook(old(tmp_path / "old.db", version)).close()
    made(tmp_path / "new.db")
    tables = []
    for name in ("old.db", "new.db"):
        connection = sqlite3.connect(tmp_path / name)
        query = "SELECT type, name, tbl_name, sql FROM sqlite_schema ORDER BY name"
        tables.append(connection.execute(query).fetchall())
        connection.close()
    assert tables[0] == tables[1]
    assert len(tables[0]) > 8


def test_a_file_is_brought_up_at_once_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from layshaft.logbook import schema

    path = old(tmp_path / "old.db")
    steps = (*schema._STEPS[:1], schema._STEPS[1] + "CREATE TABLE run (id INTEGER)")
    monkeypatch.setattr(schema, "_STEPS", steps)
    with pytest.raises(ValueError, match=r"old.db is damaged.*table run already exists"):
        layshaft.open_logbook(path)
    assert pragma(path, "user_version") == 1
    monkeypatch.undo()
    with layshaft.open_logbook(path) as book:
        assert len(book.runs()) == 2


KILLED = """
import os, signal, sqlite3, sys
import layshaft
from layshaft.logbook import book_file
whole = book_file.migrate
def half(connection, version):
    whole(connection, version)
    os.kill(os.getpid(), signal.SIGKILL)
book_file.migrate = half
layshaft.open_logbook(sys.argv[1], create=True)
"""


@pytest.mark.parametrize("is_old", [True, False])
def test_a_kill_while_a_file_is_brought_up_or_begun_costs_nothing(
    tmp_path: Path, is_old: bool
) -> None:
    path = tmp_path / "season.db"
    if is_old:
        old(path)
    done = subprocess.run([sys.executable, "-c", KILLED, str(path)], capture_output=True)
    assert done.returncode == -signal.SIGKILL
    assert pragma(path, "user_version") == int(is_old)
    with layshaft.open_logbook(path) as book:
        assert len(book.runs()) == 2 * is_old
    assert pragma(path, "user_version") == VERSION


def test_two_bring_one_file_up_at_once(tmp_path: Path) -> None:
    path = old(tmp_path / "old.db")
    both = [writer(path, name, 3) for name in ("one", "other")]
    for each in both:
        _, told = each.communicate(timeout=120)
        # Version 1 has another car of that name.
        assert "setup = 'dry' is another's name here" in told
    assert pragma(path, "user_version") == VERSION


def test_a_later_version_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = made(tmp_path / "season.db")
    script(path, f"PRAGMA user_version = {VERSION + 1}")
    before = path.read_bytes()
    says = f"a logbook of version {VERSION + 1}; this layshaft knows up to {VERSION}: install"
    with pytest.raises(ValueError, match=says):
        layshaft.open_logbook(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "statements",
    ["CREATE TABLE cat (name TEXT)", "PRAGMA user_version = 1", "PRAGMA application_id = 7"],
)
def test_another_programs_file_is_refused_and_left_alone(tmp_path: Path, statements: str) -> None:
    path = tmp_path / "other.db"
    script(path, statements)
    before = path.read_bytes()
    with pytest.raises(ValueError, match=r"other.db is no logbook, but another program's file"):
        layshaft.open_logbook(path, create=True)
    assert path.read_bytes() == before


def damaged(whole: bytes, how: str) -> bytes:
    page = 4096
    return {
        "text": b"gap_mm,shift_speed_km_per_h\n4.4,65\n",
        "a few bytes": b"SQLite",
        "half": whole[: len(whole) // 2],
        "cut in a page": whole[: -page // 2],
        "first page": whole[:200] + b"\xa5" * (page - 200) + whole[page:],
        "inner pages": whole[:page] + b"\xa5" * (len(whole) - page),
        "zeros": bytes(len(whole)),
    }[how]


@pytest.mark.parametrize(
    "how", ["text", "a few bytes", "half", "cut in a page", "first page", "inner pages", "zeros"]
)
def test_a_damaged_file_is_refused_by_name_and_left_alone(tmp_path: Path, how: str) -> None:
    path = made(tmp_path / "season.db")
    path.write_bytes(damaged(path.read_bytes(), how))
    before = path.read_bytes()
    with pytest.raises(ValueError, match=r"season.db is (damaged, or )?no logbook"):
        layshaft.open_logbook(path)
    assert path.read_bytes() == before


def test_damage_inside_an_entry_is_told_by_the_files_name(tmp_path: Path) -> None:
    path = made(tmp_path / "season.db")
    script(path, "UPDATE seen SET changes = '[[\"two_speed.gap\", 9.9]]' WHERE id = 7")
    with layshaft.open_logbook(path) as book:
        with pytest.raises(ValueError, match=r"season.db is damaged, or no logbook: .*gap"):
            book.runs()
        script(path, "UPDATE setup SET content = '[two_speed'")
        with pytest.raises(ValueError, match=r"season.db is damaged, or no logbook"):
            book.setup("dry")


def test_damage_inside_a_log_is_told_by_the_files_name(tmp_path: Path) -> None:
    path = made(tmp_path / "season.db")
    log = layshaft.run_log("car_speed", [0.5, 1.0], [5.0, 11.0], error="1 km/h")
    with layshaft.open_logbook(path) as book:
        book.add_run(DAY, "dry", [log])
        for samples in ("[5.0]", "[5.0, 1e300]", "[5.0", '["x", 1]'):
            script(path, f"UPDATE log SET samples = '{samples}'")
            with pytest.raises(ValueError, match=r"season.db is damaged, or no logbook"):
                book.runs()
        script(path, "UPDATE log SET samples = '[5.0, 11.0]'")
        assert book.runs()[-1].logs == (log,)


def test_what_is_not_there_or_no_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError, match="there is no such logbook"):
        layshaft.open_logbook(tmp_path / "none.db")
    assert not (tmp_path / "none.db").exists()
    with pytest.raises(FileNotFoundError, match="there is no such folder"):
        layshaft.open_logbook(tmp_path / "no" / "none.db", create=True)
    with pytest.raises(IsADirectoryError, match="is a folder"):
        layshaft.open_logbook(tmp_path)
    with pytest.raises(TypeError, match="path = 3 must be the name of a file"):
        layshaft.open_logbook(3)


def test_a_writer_that_does_not_end_is_told_of(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from layshaft.logbook import book_file

    monkeypatch.setattr(book_file, "_PATIENCE", 0.1)
    path = made(tmp_path / "season.db")
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with layshaft.open_logbook(path) as book, pytest.raises(OSError, match="for too long"):
        book.add_day("2026-05-03")
    other.execute("COMMIT")
    other.close()
    with layshaft.open_logbook(path) as book:
        assert book.add_day("2026-05-03").date == "2026-05-03"


def test_a_closed_logbook_says_so(tmp_path: Path) -> None:
    with layshaft.open_logbook(tmp_path / "season.db", create=True) as book:
        pass
    with pytest.raises(ValueError, match=r"season.db: the logbook is closed"):
        book.setups()


def test_names_of_files_that_look_like_addresses_are_names(tmp_path: Path) -> None:
    for name in ("a?mode=memory.db", "50%41.db", "spring #2.db"):
        made(tmp_path / name)
        assert (tmp_path / name).stat().st_size > 0
