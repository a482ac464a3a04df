"""The logbook on the command line, as someone in the pit uses it over two days."""

import sqlite3
import subprocess
import sys
from pathlib import Path

import layshaft
import pytest
from layshaft.cli.main import app
from layshaft.logbook import book_file
from typer.testing import CliRunner, Result

PHONE = "gap_mm,shift_speed_km_per_h\n4.4,66\n4.6,63\n"


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "40")


def call(*words: str) -> Result:
    return CliRunner().invoke(app, ["log", *words])


def said(*words: str) -> str:
    result = call(*words)
    assert result.exit_code == 0, result.output
    return result.stdout


def failing(*words: str) -> str:
    result = call(*words)
    assert result.exit_code == 2
    assert isinstance(result.exception, SystemExit)
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    return result.stderr


def begun() -> None:
    said("add", "setup", "dry")
    said("add", "track", "club")
    said("add", "day", "2026-05-02", "--track", "club", "--air", "24degC")


def in_a_line(text: str) -> str:
    return " ".join(text.split())


def test_the_log_of_a_run_is_kept_and_taught_from() -> None:
    begun()
    Path("run.csv").write_text("time_s,car_speed_km_per_h\n0.5,18\n1.0,40\n")
    assert "--log needs --log-error" in failing("add", "run", "dry", "--log", "run.csv")
    told = said("add", "run", "dry", "--log", "run.csv", "--log-error", "1km/h")
    assert "no things heard and timed, a log of 2 samples" in in_a_line(told)
    assert "log of car speed, 2 samples" in in_a_line(said("list"))
    assert "Learned: learned.json" in said("learn", "--unknown", "rear_tyre.friction_peak")


def test_two_days_in_the_pit() -> None:
    assert said("add", "setup", "dry").startswith("A new logbook: season.db\n")
    said("add", "setup", "wet", "--set", "two_speed.gap=4.1mm")
    said("add", "track", "club")
    said("add", "day", "2026-05-02", "--track", "club", "--air", "24degC", "--pressure", "985hPa")
    words = ("--shift", "4.4mm=67km/h", "--shift", "63km/h", "--time", "30m=2.3s")
    assert "Run 1 on 2026-05-02 with dry: 3 things" in said("add", "run", "dry", *words)
    said("add", "day", "2026-05-09", "--humidity", "60%")
    Path("phone.csv").write_text(PHONE)
    assert "2 new runs on 2026-05-09 with wet, 2 to 3" in said(
        "import", "phone.csv", "--setup", "wet"
    )
    assert "no new runs" in said("import", "phone.csv", "--setup", "wet")
    text = in_a_line(said("list"))
    assert "shift speed at gap" in text
    assert "67.0 km/h" in text
    assert "985" in said("list", "days")
    assert said("list", "setups") == "dry\nwet\n"
    assert said("list", "tracks") == "club\n"
    learned = said("learn", "--unknown", "two_speed.zero_preload_reading", "--next-day")
    assert "Learned from 2 days." in learned
    assert "on a day to come" in learned
    words = ("--learned", "learned.json", "--goal", "shift-at=60km/h", "--book", "season.db")
    result = CliRunner().invoke(app, ["recommend", *words])
    assert result.exit_code == 0, result.output
    assert "Advice 1 in season.db" in result.stdout
    said("judge", "1", "no", "--note", "no grip")
    text = in_a_line(said("list", "advice"))
    assert "1 2026-05-09 no Turn both screws" in text
    with layshaft.open_logbook("season.db") as book:
        (advised,) = book.advice()
        assert advised.settings.keys() == {"two_speed.gap"}
        assert (advised.setup, advised.note) == ("wet", "no grip")
    said("strike", "1")
    assert "2026-05-02" not in said("list")


def test_a_lap_is_timed_on_the_track_of_its_day() -> None:
    begun()
    said(
        "add",
        "run",
        "dry",
        "--lap",
        "18.2s",
        "--lap",
        "4.6mm=18.3s",
        "--changed",
        "first.pinion=16",
    )
    with layshaft.open_logbook("season.db") as book:
        first, second = book.runs()[0].seen
    assert first == layshaft.observe(
        "lap_time", "18.2 s", changes={"first.pinion": 16}, track="club", sample_spacing=0.0
    )
    assert dict(second.changes) == {"first.pinion": 16.0, "two_speed.gap": 0.0046}


def test_two_set_ups_side_by_side() -> None:
    begun()
    said("add", "setup", "wet", "--set", "two_speed.gap=4.1mm", "--set", "body.mass=3kg")
    text = said("compare", "dry", "wet")
    table = text[: text.index("Estimates")].splitlines()
    assert max(map(len, table)) <= 40
    assert "4.10 mm" in text
    assert "3000 g" in text
    assert "all together" in in_a_line(text)
    assert "dry and dry are alike." in said("compare", "dry", "dry")
    assert "a lap of club" in in_a_line(said("compare", "dry", "wet", "--track", "club"))


def test_a_set_up_leaves_as_the_file_it_was() -> None:
    said("add", "setup", "wet", "--set", "two_speed.gap=4.1mm")
    said("write", "wet", "back.toml")
    assert layshaft.read_car("back.toml") == layshaft.Car({"two_speed.gap": "4.1 mm"})
    assert "--replace writes over it" in failing("write", "wet", "back.toml")


def test_the_season_leaves_as_a_table() -> None:
    begun()
    said("add", "run", "dry", "--shift", "63km/h")
    said("export", "season.csv")
    assert len(Path("season.csv").read_text().splitlines()) == 2
    assert "must end in .csv or .parquet" in failing("export", "season.xls")
    assert "is the file of --book too" in failing("export", "season.db")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("list", "--book", "none.db"), "--book none.db: there is no logbook; `layshaft log add`"),
        (("add", "day", "2.5.2026"), "day = '2.5.2026' must be a date such as 2026-05-02"),
        (("add", "day", "2026-05-02"), "day = 2026-05-02 is in the logbook already"),
        (("add", "day", "2026-05-03", "--air", "24"), "--air 24: must be a temperature"),
        (("add", "day", "2026-05-03", "--air", "24g"), "--air 24g: must be a temperature"),
        (("add", "day", "2026-05-03", "--track", "fast"), "track = 'fast' is not in the logbook"),
        (("add", "run", "dyr"), "setup = 'dyr' is not in the logbook; the nearest name there is"),
        (("add", "run", "dry", "--shift", "9000km/h"), "shift_speed = '9000km/h' must be from"),
        (("add", "run", "dry", "--shift", "4.4=67km/h"), "--shift 4.4: must be a length"),
        (("add", "run", "dry", "--time", "2.3s"), "--time 2.3s: must be a length"),
        (("add", "run", "dry", "--changed", "gap"), '"gap" must read PATH=VALUE'),
        (("list", "days", "--day", "2026-05-02"), "--day 2026-05-02: days are listed for"),
        (("list", "--day", "2026-05-03"), "day = '2026-05-03' is not in the logbook"),
        (("judge", "7", "yes"), "advice = 7 is not in the logbook"),
        (("judge", "7", "maybe"), "helped maybe: must be yes or no"),
        (("list", "cars"), "WHAT cars: must be runs, days, setups, tracks or advice"),
        (("learn", "--noise", "5mm"), "noise = '5mm' must be a ratio"),
        (("strike", "7"), "run = 7 is not in the logbook"),
        (("learn",), "has no run in which anything was heard, timed or logged"),
        (("learn", "--learned", "x.txt"), "--learned x.txt: the name must end in .json"),
        (("compare", "dry", "wte"), "setup = 'wte' is not in the logbook"),
        (("import", "none.csv", "--setup", "dry"), "none.csv: cannot be read"),
    ],
)
def test_what_is_wrong_is_told_in_a_line(words: tuple[str, ...], says: str) -> None:
    begun()
    before = Path("season.db").read_bytes()
    assert says in failing(*words)
    assert Path("season.db").read_bytes() == before


def test_a_damaged_file_is_a_line_not_a_traceback() -> None:
    begun()
    whole = Path("season.db").read_bytes()
    for content in (whole[:5000], b"gap_mm\n4.4\n", whole[:100] + bytes(len(whole) - 100)):
        Path("season.db").write_bytes(content)
        (line,) = failing("list").splitlines()
        assert line.startswith("layshaft: season.db is damaged, or no logbook: ")
    connection = sqlite3.connect("newer.db")
    connection.executescript("PRAGMA application_id = 1280922440; PRAGMA user_version = 99")
    connection.close()
    assert "newer.db is a logbook of version 99" in failing("list", "--book", "newer.db")


def test_a_logbook_that_may_not_be_written_is_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(book_file, "_PATIENCE", 0.1)
    begun()
    code = (
        "import sqlite3, sys, time; c = sqlite3.connect('season.db', isolation_level=None);"
        " c.execute('BEGIN IMMEDIATE'); print('held', flush=True); sys.stdin.read()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as other:
        assert other.stdout.readline() == "held\n"
        assert "No runs yet." in said("list")  # reading goes on
        assert "season.db: another program has been writing it" in failing("add", "setup", "dry")
        other.stdin.close()
    said("add", "setup", "dry")
