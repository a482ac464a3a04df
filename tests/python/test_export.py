"""A logbook leaves as a table that pandas, spreadsheets and Arrow read."""

import importlib.util
import sys
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import layshaft
import pandas
import pytest


@pytest.fixture
def book(tmp_path: Path) -> Iterator[layshaft.Logbook]:
    with layshaft.open_logbook(tmp_path / "season.db", create=True) as book:
        book.add_setup("dry, hot", layshaft.demo_car())
        book.add_track("club", name='the "hall"')
        book.add_day("2026-05-02", track='the "hall"', air_temperature="24 degC", note="=1+1, sun")
        book.add_day("2026-05-09")
        heard = layshaft.observe(
            "shift_speed", "65 km/h", changes={"two_speed.gap": "4.4 mm", "first.pinion": 16}
        )
        timed = layshaft.observe("lap_time", "16.2 s", track="club")
        book.add_run("2026-05-02", "dry, hot", [heard, timed], note="it's; new")
        book.add_run("2026-05-09", "dry, hot")
        yield book


def check(table: pandas.DataFrame) -> None:
    """Compare with what was put in; nothing was lost on the way, no digit either."""
    assert table["measure"].fillna("").tolist() == ["shift_speed", "lap_time", ""]
    assert table["value"].tolist()[:2] == [float(Fraction(65000, 3600)), 16.2]
    assert table["unit"].fillna("").tolist() == ["m/s", "s", ""]
    assert table["error"].tolist()[:2] == [float(Fraction(2000, 3600)), 0.05]
    assert table["run"].tolist() == [1, 1, 2]
    assert table["setup"].tolist() == ["dry, hot"] * 3
    assert table["day"].tolist() == ["2026-05-02", "2026-05-02", "2026-05-09"]
    assert table["track"].fillna("").tolist() == ['the "hall"', 'the "hall"', ""]
    assert table["air_temperature_K"].tolist()[:2] == [297.15, 297.15]
    assert table["air_temperature_K"].isna().tolist() == [False, False, True]
    assert table["day_note"].fillna("").tolist() == ["=1+1, sun", "=1+1, sun", ""]
    assert table["run_note"].fillna("").tolist() == ["it's; new", "it's; new", ""]
    assert table["changes"].fillna("").tolist() == [
        "two_speed.gap = 0.0044; first.pinion = 16",
        "",
        "",
    ]
    assert table["driven_distance_m"].tolist()[0] == 60.0
    assert table["driven_track"].fillna("").tolist()[1] == layshaft.demo_track("club").name


_NUMBERS = [
    *("value", "error", "air_temperature_K", "driven_distance_m", "run"),
    *("log", "log_time_s", "log_distance_m", "start_speed_m_per_s"),
]


def read_csv(path: Path) -> pandas.DataFrame:
    """Read numbers as Python does, which loses no digit."""
    table = pandas.read_csv(path, dtype=str)
    for column in table.columns.intersection(_NUMBERS):
        table[column] = table[column].map(float)
    return table


def test_the_table_in_memory(book: layshaft.Logbook) -> None:
    check(layshaft.season_table(book))


def test_csv(book: layshaft.Logbook, tmp_path: Path) -> None:
    layshaft.export_season(book, tmp_path / "season.csv")
    check(read_csv(tmp_path / "season.csv"))


def test_parquet(book: layshaft.Logbook, tmp_path: Path) -> None:
    pytest.importorskip("pyarrow")
    layshaft.export_season(book, tmp_path / "season.parquet")
    back = pandas.read_parquet(tmp_path / "season.parquet")
    check(back)
    assert back["value"].dtype == "float64"
    assert back["run"].dtype == "int64"


@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_logs_leave_sample_by_sample(book: layshaft.Logbook, tmp_path: Path, form: str) -> None:
    third = 1.0 / 3.0
    launched = layshaft.run_log(
        "engine_speed", [0.5, 0.7, 1.1], [1900.1, 2100.0 + third, 2300.0], error="300 rpm"
    )
    lapped = layshaft.lap_log(
        *("car_speed", [10.0, 30.0 + third], [8.0, 9.1]), track="club", error="1 km/h"
    )
    timed = layshaft.observe("time", "3.2 s")
    run = book.add_run("2026-05-09", "dry, hot", [timed, launched, lapped])
    file = tmp_path / f"season.{form}"
    if form == "parquet":
        pytest.importorskip("pyarrow")
    layshaft.export_season(book, file)
    table = read_csv(file) if form == "csv" else pandas.read_parquet(file)
    own = table[table["run"] == run]
    assert own["log"].fillna(0).tolist() == [0, 1, 1, 1, 2, 2]
    for number, log, along in ((1, launched, "log_time_s"), (2, lapped, "log_distance_m")):
        lines = own[own["log"] == number]
        assert tuple(lines[along]) == log.along
        assert tuple(lines["value"]) == log.values
        assert set(lines["error"]) == {log.error}
        assert set(lines["measure"]) == {log.quantity}
        assert set(lines["unit"]) == {log.unit}
    club = layshaft.demo_track("club").name
    assert own["driven_track"].fillna("").tolist() == [*[""] * 4, club, club]
    assert own["start_speed_m_per_s"].isna().tolist() == [*[False] * 4, True, True]
    assert set(own["day"]) == {"2026-05-09"}


def test_parquet_without_pyarrow_says_what_is_missing(
    book: layshaft.Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "pyarrow" else found(name)
    )
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(ValueError, match=r"season.parquet: Parquet needs pyarrow, which is not"):
        layshaft.export_season(book, tmp_path / "season.parquet")
    assert not (tmp_path / "season.parquet").exists()
    layshaft.export_season(book, tmp_path / "season.csv")
    check(read_csv(tmp_path / "season.csv"))


def test_a_season_without_a_run_is_a_table_without_a_line(tmp_path: Path) -> None:
    with layshaft.open_logbook(tmp_path / "empty.db", create=True) as book:
        layshaft.export_season(book, tmp_path / "empty.csv")
    table = pandas.read_csv(tmp_path / "empty.csv")
    assert len(table) == 0
    assert {"day", "run", "measure", "value", "unit"} <= set(table.columns)


def test_an_export_that_fails_leaves_the_old_file(
    book: layshaft.Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "season.csv"
    file.write_text("old")

    def full(self: object, path: Path, **_: object) -> None:
        Path(path).write_text("half")
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr(pandas.DataFrame, "to_csv", full)
    with pytest.raises(OSError, match="No space left"):
        layshaft.export_season(book, file)
    assert file.read_text() == "old"
    assert sorted(each.name for each in tmp_path.glob("*.csv")) == ["season.csv"]


@pytest.mark.parametrize("name", ["season.xlsx", "season", ".csv"])
def test_another_ending_is_refused(book: layshaft.Logbook, tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match=r"must end in \.csv or \.parquet"):
        layshaft.export_season(book, tmp_path / name)
