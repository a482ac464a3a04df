"""The measuring sheet: every setting has one row, every row a setting, and its errors fit it."""

import tomllib
from fnmatch import fnmatchcase
from importlib import resources

import layshaft
import pytest
from layshaft.cli.main import app
from layshaft.fitting.measuring_sheet import rows_of, spread_of
from layshaft.setup import field_table
from layshaft.setup.field_table import CURVE
from typer.testing import CliRunner, Result

FILE = resources.files("layshaft").joinpath("data", "measuring-sheet.toml")
CONTENT = tomllib.loads(FILE.read_text(encoding="utf-8"))
SHEET = layshaft.measuring_sheet()
PATHS = [CURVE, *field_table.positions()]
NUMBERS = [field for field in field_table.fields() if field.kind == "number"]
COUNTS = [field for field in field_table.fields() if field.kind == "count"]
CHOICES = [field for field in field_table.fields() if field.kind == "choice"]
CAR = layshaft.demo_car()


@pytest.mark.parametrize("path", PATHS)
def test_every_setting_has_one_row(path: str) -> None:
    assert len(rows_of(CONTENT, path)) == 1


def test_every_name_in_a_row_is_that_of_a_setting() -> None:
    names = [name for row in CONTENT["setting"] for name in row.split()]
    idle = [name for name in names if not any(fnmatchcase(path, name) for path in PATHS)]
    assert idle == []
    assert list(SHEET) == PATHS


def test_a_setting_without_a_row_and_one_with_two_are_found() -> None:
    rows = {"setting": {"first.*": {}, "*.spur": {}}}
    assert rows_of(rows, "body.mass") == []
    assert rows_of(rows, "first.spur") == ["first.*", "*.spur"]


def test_every_way_is_described_and_used() -> None:
    used = {row["with"] for row in CONTENT["setting"].values()}
    assert used == set(CONTENT["way"])
    assert all(text.endswith(".") for text in CONTENT["way"].values())


def test_rows_hold_what_they_must_and_nothing_else() -> None:
    for name, row in CONTENT["setting"].items():
        assert {"with", "well", "how"} <= set(row) <= {"with", "well", "error", "guess", "how"}, (
            name
        )
        assert row["well"] in ("good", "poor", "guess"), name
        assert row["how"].endswith("."), name


@pytest.mark.parametrize("field", NUMBERS, ids=lambda field: field.path)
def test_errors_have_the_dimension_of_the_field_and_a_guess_is_no_better(
    field: layshaft.Field,
) -> None:
    way = SHEET[field.path]
    assert (way.instrument == "book") == (way.well == "guess")
    usual = 0.5 * (field.minimum + field.maximum)  # of another unit `spread_of` raises
    error, guess = (spread_of(field.path, usual, each) for each in (way.error, way.guess))
    assert 0.0 < error <= guess < field.maximum - field.minimum
    assert (error == guess) == (way.well == "guess") or field.path.endswith(
        ("static_friction", "addendum")
    )


@pytest.mark.parametrize("field", COUNTS, ids=lambda field: field.path)
def test_counting_leaves_no_error_and_a_guess_is_one_off(field: layshaft.Field) -> None:
    way = SHEET[field.path]
    assert (way.instrument, way.error, way.guess) == ("counting", "0", "1")


@pytest.mark.parametrize("field", CHOICES, ids=lambda field: field.path)
def test_a_choice_is_looked_at(field: layshaft.Field) -> None:
    way = SHEET[field.path]
    assert (way.instrument, way.error, way.guess) == ("looking", "", "")


def test_an_error_of_another_dimension_is_refused() -> None:
    with pytest.raises(ValueError, match=r"two_speed\.spring_rate = '1 mm' must be a spring rate"):
        spread_of("two_speed.spring_rate", 1e5, "1 mm")
    with pytest.raises(ValueError, match="must be a difference such as"):
        spread_of("air.temperature", 293.15, "5 degC")


def test_what_is_learned_is_in_doubt_as_a_guess_is() -> None:
    friction = layshaft.unknown(CAR, "two_speed.friction")
    assert friction.doubt == pytest.approx(0.2 * friction.guess)
    reading = layshaft.unknown(CAR, "two_speed.zero_preload_reading")
    assert reading.doubt == pytest.approx(0.3e-3)


def said(*words: str) -> Result:
    return CliRunner().invoke(app, ["sheet", *words])


def test_the_sheet_tells_of_all_settings_in_their_units() -> None:
    lines = said().stdout.splitlines()
    assert [line.split(" (")[0] for line in lines[: len(PATHS)]] == PATHS
    assert len(lines) == len(PATHS) + len(CONTENT["way"]) + 1
    assert "`layshaft doubts --car FILE --of NAME`" in lines[-1]


def test_the_sheet_tells_of_what_is_named() -> None:
    first, *rest, use, _ = said("spring_rate", "screw_pitch").stdout.splitlines()
    assert first.startswith("clutch.axial.spring_rate (Rate of the clutch spring). Hook scale, ")
    assert [line.split(" ")[0] for line in rest[:3]] == [
        "clutch.thrown_shoes.spring_rate",
        "two_speed.spring_rate",
        "two_speed.screw_pitch",
    ]
    assert "Hook scale, good: 5 % out; a guess: 20 %. Press the spring" in rest[1]
    assert use.startswith("Caliper: Wipe the jaws")


def test_a_name_that_no_setting_has_is_refused() -> None:
    result = said("two_sped")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "two_sped: the nearest known name is" in result.stderr
