"""Numbers on the command line: one with a dimension needs its unit, and is said back."""

import os
from pathlib import Path

import layshaft
import pytest
from layshaft.cli import asked
from layshaft.cli.main import app
from typer.testing import CliRunner

TRACK = ("--track", "club")


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("parts.toml").write_text("[first]\npinions = [16, 17]\nspurs = [50, 51]\n")
    Path("log.csv").write_text("time_s,car_speed_km_per_h\n0.5,18\n1.0,36\n")


#: A command with a bare number; what the message names, and an example that it gives.
BARE = [
    (("launch", "--distance", "30"), "--distance 30", "60 m"),
    (("launch", "--start-speed", "40"), "--start-speed 40", "40 km/h"),
    (("launch", "--set", "two_speed.gap=0.0046"), "--set two_speed.gap=0.0046", "4.5 mm"),
    (("launch", "--set", "body.mass=2.5"), "--set body.mass=2.5", "6 g"),
    (("car", "mine.toml", "--set", "body.mass=2.5"), "--set body.mass=2.5", "6 g"),
    (("fmu", "car.fmu", "--set", "body.mass=2.5"), "--set body.mass=2.5", "6 g"),
    (("sweep", "--over", "two_speed.gap=0.0044,0.0046"), "--over two_speed.gap=0.0044", "4.5 mm"),
    (("sweep", "--over", "two_speed.gap=0.004:0.005:0.0001"), "--over two_speed.gap", "4.5 mm"),
    (("sweep", "--within", "0.02"), "--within 0.02", "0.01 s"),
    (("recommend", "--goal", "shift-at=50"), "--goal shift-at 50", "40 km/h"),
    (("recommend", "--within", "0.02"), "--within 0.02", "0.15 s"),
    (("recommend", "--goal", "cool-shoes", "--within", "2"), "--within 2", "2 K"),
    (("recommend", "--goal", "cool-shoes", "--within", "2 degC"), "--within 2 degC", "2 K"),
    (("recommend", "--limit", "peak_engine_speed=42000"), "peak_engine_speed 42000", "8500 rpm"),
    (("recommend", "--limit", "peak_shoe_temperature=150"), "temperature 150", "25 degC"),
    (("recommend", "--over", "two_speed.gap=0.0044:0.0048"), "two_speed.gap=0.0044", "4.5 mm"),
    (("mesh", "parts.toml", "--at", "2000,3000"), "--at 2000", "8500 rpm"),
    (("learn", "--shift", "4.5mm=62"), "--shift 62", "40 km/h"),
    (("learn", "--shift", "0.0045=62km/h"), "--shift 0.0045", "4.5 mm"),
    (("learn", "--shift", "4.5mm=62km/h", "--error", "2"), "--error 2", "2 km/h"),
    (("learn", "--log", "log.csv", "--log-error", "300"), "not 300", "300rpm"),
    (
        ("learn", "--shift", "4.5mm=62km/h", "--unknown", "two_speed.spring_rate=9000"),
        "--unknown two_speed.spring_rate=9000",
        "45 N/mm",
    ),
    (("scatter", "--spread", "two_speed.spring_rate=900"), "two_speed.spring_rate=900", "N/mm"),
    (("lap", "club", "--set", "two_speed.gap=0.0055"), "--set two_speed.gap=0.0055", "4.5 mm"),
    (("gearing", "club", "--gaps", "0.004:0.005:0.0005"), "--gaps two_speed.gap", "4.5 mm"),
    (("stint", "club", "--duration", "8"), "--duration 8", "30 min"),
    (("sweep", *TRACK, "--within", "0.02"), "--within 0.02", "0.01 s"),
]


@pytest.mark.parametrize(("words", "named", "example"), BARE)
def test_a_bare_number_with_a_dimension_is_refused(
    words: tuple[str, ...], named: str, example: str
) -> None:
    there = sorted(os.listdir())
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 2, result.output
    (line,) = result.stderr.splitlines()
    assert named in line
    assert example in line
    assert result.stdout == ""
    assert sorted(os.listdir()) == there


#: A command, and how it says back what was asked for.
SAID = [
    (
        ("launch", "--distance", "10 m", "--start-speed", "10 m/s", "--set", "first.pinion=16"),
        "Understood: --set first.pinion 16; --distance 10 m; --start-speed 36 km/h.",
    ),
    (
        ("sweep", "--over", "two_speed.gap=4.4:5:0.1mm", "--distance", "500cm", "--within", "5ms"),
        "Understood: --within 0.005 s; --over two_speed.gap 4.4 mm to 5 mm in 7 values;"
        " --distance 5 m.",
    ),
    (
        (
            *("recommend", "--goal", "shift-at=15 m/s", "--limit", "peak_engine_speed=44krpm"),
            *("--over", "two_speed.gap=4.6:4.8mm", "--distance", "30m"),
        ),
        "Understood: --over two_speed.gap 4.6 mm to 4.8 mm; --distance 30 m;"
        " --limit peak_engine_speed at most 44,000 rpm; --goal shift at 54 km/h.",
    ),
    (
        ("learn", "--shift", "4.8mm=15 m/s", "--error", "1 m/s"),
        "Understood: --error 3.6 km/h; --shift 54 km/h at 4.8 mm.",
    ),
    (("stint", "club", "--duration", "1 min"), "Understood: --duration 60 s."),
]


@pytest.mark.parametrize(("words", "said"), SAID)
def test_what_was_understood_is_the_first_line(words: tuple[str, ...], said: str) -> None:
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 0, result.output
    assert result.stdout.splitlines()[0] == said


def test_what_is_usual_is_not_said_back() -> None:
    result = CliRunner().invoke(app, ["launch"])
    assert "Understood" not in result.stdout
    assert asked.Asked().describe() == ""


def test_counts_ratios_and_nothing_need_no_unit() -> None:
    words = ("--set", "first.pinion=16", "--set", "engine.power_scale=1.1", "--start-speed", "0")
    result = CliRunner().invoke(app, ["launch", "--distance", "5m", *words])
    assert result.exit_code == 0, result.output


def test_what_a_lap_does_not_have_is_refused() -> None:
    for words in (("--distance", "30m"), ("--start-speed", "20km/h")):
        result = CliRunner().invoke(app, ["sweep", *TRACK, *words])
        assert result.exit_code == 2
        assert f"{words[0]} {words[1]}: a lap of --track club has none" in result.stderr


def test_a_setting_is_not_chosen_twice() -> None:
    over = ("--over", "two_speed.gap=4.4:4.6mm", "--over", "two_speed.gap=4.6:4.8mm")
    result = CliRunner().invoke(app, ["recommend", *over])
    assert result.exit_code == 2
    assert "two_speed.gap is to vary twice" in result.stderr


def test_a_speed_that_no_car_has_is_not_learned_from() -> None:
    Path("seen.csv").write_text("gap_mm,shift_speed_km_per_h\n4.6,9000\n")
    result = CliRunner().invoke(app, ["learn", "--seen", "seen.csv"])
    assert result.exit_code == 2
    assert "seen.csv:2: 4.6,9000: shift_speed = '9000.0 km/h' must be from 0 km/h to 360 km/h" in (
        result.stderr
    )
    assert not Path("learned.json").exists()
    result = CliRunner().invoke(app, ["learn", "--shift", "4.6mm=9000km/h"])
    assert result.exit_code == 2
    result = CliRunner().invoke(app, ["recommend", "--goal", "shift-at=9000km/h"])
    assert result.exit_code == 2


def test_the_doubt_of_a_temperature_is_a_difference() -> None:
    car = layshaft.demo_car()
    assert layshaft.unknown(car, "air.temperature", doubt="5 K").doubt == 5.0
    with pytest.raises(ValueError, match="must be a difference such as"):
        layshaft.unknown(car, "air.temperature", doubt="5 degC")
