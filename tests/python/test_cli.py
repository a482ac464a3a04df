"""The command line, as someone in the pit uses it."""

import os
import subprocess
import sys
from pathlib import Path

import layshaft
import pytest
import trial
import xarray
from layshaft.advice.setting_advice import SettingAdvice, best_setting, screw_turns
from layshaft.cli import typed_values
from layshaft.cli.main import app
from layshaft.mounting.gaps import usual_gaps
from layshaft.reports import sweep_report
from typer.testing import CliRunner, Result

PNG = b"\x89PNG\r\n\x1a\n"


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")


def call(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


def failing(*words: str) -> str:
    """Return what a call that must fail says: no traceback, nothing on standard output."""
    result = call(*words)
    assert result.exit_code == 2
    assert isinstance(result.exception, SystemExit)
    assert result.stdout == ""
    return result.stderr


def test_the_plain_sweep_prints_a_table_advice_and_cautions_once() -> None:
    result = call("sweep", "--out", ".")
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    assert sum("best" in line.split()[-1:] or "best, now" in line for line in lines) == 1
    assert sum("now" in line.split()[-1:] for line in lines) == 1
    assert any(" in " in line for line in lines)
    assert any(" out " in line for line in lines)
    assert result.stdout.count("Fast turning parts") == 1
    assert "…" not in result.stdout  # nothing cut off at 80 columns
    assert Path("layshaft-sweep.png").read_bytes().startswith(PNG)


def test_runs_are_kept_in_a_file_that_goes_on() -> None:
    words = ("sweep", "--over", "two_speed.gap=4.4:4.8:0.1mm", "--runs", "runs.nc")
    first = call(*words)
    assert first.exit_code == 0, first.output
    assert "Runs: runs.nc\n" in first.stdout
    there = Path("runs.nc").read_bytes()
    assert call(*words).stdout == first.stdout
    assert Path("runs.nc").read_bytes() == there
    other = call(*words, "--set", "first.pinion=16")
    assert other.exit_code == 2
    assert "another car: first.pinion is 17 there, 16 here" in other.stderr
    assert "must end in .nc" in call("sweep", "--runs", "runs.csv").stderr


def test_the_sweep_goes_over_what_is_asked_for() -> None:
    result = call(
        *("sweep", "--over", "first.pinion=16,17", "--over", "two_speed.gap=4.4:4.8:0.2mm"),
        *("--distance", "30m", "--csv", "t.csv", "--netcdf", "t.nc", "--out", "p.png", "--dark"),
    )
    assert result.exit_code == 0, result.output
    table = layshaft.load("t.nc")
    assert table.two_speed_gap.values.tolist() == [0.0044, 0.0046, 0.0048]
    assert table.first_pinion.values.tolist() == [16, 17]
    assert float(table.distance[-1]) == 30.0
    assert len(Path("t.csv").read_text().splitlines()) == 1 + 6
    assert Path("p.png").read_bytes().startswith(PNG)


def test_choices_make_a_table_without_a_picture() -> None:
    result = call("sweep", "--over", "two_speed.hold_in=spring,detent", "--out", ".")
    assert result.exit_code == 0, result.output
    assert "No picture" in result.stdout
    assert list(Path().iterdir()) == []


def test_unequal_shoes_are_pointed_out() -> None:
    result = call("sweep", "--set", "two_speed.shoe_1.gap=4.55 mm", "--over", "two_speed.gap=4.6mm")
    assert result.exit_code == 0, result.output
    assert "4.55 and" in result.stdout


def test_failed_points_are_told_in_one_line() -> None:
    result = call("sweep", "--over", "first.pinion=17,40", "--distance", "30 m")
    assert result.exit_code == 0, result.output
    (line,) = result.stderr.splitlines()
    assert line.startswith("layshaft: 1 of 2 runs failed; first at first.pinion = 40")


def test_a_picture_is_drawn_where_it_is_asked_for() -> None:
    assert "Picture" not in call("launch", "--distance", "5m").stdout
    assert list(Path.cwd().glob("*.png")) == []
    result = call("launch", "--dark")
    assert result.exit_code == 2
    assert "--dark: there is no picture" in result.stderr


def test_the_launch_tells_its_story() -> None:
    result = call("launch", "--csv", "run.csv", "--netcdf", "run.nc", "--out", ".")
    assert result.exit_code == 0, result.output
    story = [
        "engine clutch begins to press",
        "engine clutch locks",
        "both shoes touch the drum",
        "first gear lets go",
        "drum locks: second gear",
    ]
    places = [result.stdout.index(text) for text in story]
    assert places == sorted(places)
    assert "speed of the car" in result.stdout
    assert Path("layshaft-launch.png").read_bytes().startswith(PNG)
    assert Path("run.csv").exists()
    assert layshaft.rerun("run.nc").status == "finished"


def test_reasons_of_failed_points_are_counted() -> None:
    words = ("sweep", "--over", "first.pinion=17,40,50", "--distance", "30 m")
    (line,) = call(*words, "--over", "two_speed.gap=4.6,4.8mm").stderr.splitlines()
    assert line.startswith("layshaft: 4 of 6 runs failed; first at first.pinion = 40, two_speed.ga")
    assert "two_speed.gap = 4.6 mm: " in line
    assert line.endswith("and the like")


def test_a_run_that_ends_before_its_distance_says_so_and_how_to_let_it_go_on() -> None:
    far = ("launch", "--distance", "1000m")
    short = call(*far)
    assert short.exit_code == 0, short.output
    assert "1000 m not reached in 20 s; --longest-time 40s lets a run go on." in short.stdout
    assert "not reached" not in call(*far, "--longest-time", "40s").stdout
    assert "1000 m not reached" in repr(layshaft.launch(layshaft.demo_car(), distance=1000.0))
    sweep = call("sweep", "--distance", "900m", "--over", "two_speed.gap=4.4,4.6mm")
    assert sweep.exit_code == 2
    assert "2 runs do not reach 900 m in 20 s; --longest-time 40s" in sweep.stdout
    assert sweep.stderr == "layshaft: no run reached 900 m\n"


def test_a_sweep_warns_of_what_its_best_would_newly_do_wrong() -> None:
    result = call("sweep", "--over", "first.pinion=15,16", "--distance", "30m")
    assert result.stdout.count("Warning, with that setting: The two gear pairs do not mesh") == 1
    assert "Best of those tried: first.pinion 1" in result.stdout
    assert "with that setting" not in call("sweep", "--over", "two_speed.gap=4.6,4.8mm").stdout


def test_a_plateau_of_one_setting_is_no_range() -> None:
    sharp = ("sweep", "--over", "two_speed.gap=3.6,4.0,4.4mm", "--within", "0.1ms")
    assert "No other setting of this sweep is within 0.0001 s of the best." in call(*sharp).stdout
    single = call("sweep", "--over", "two_speed.gap=4.6mm").stdout
    assert "of the best" not in single
    assert "beyond" not in single


def test_a_file_with_many_faults_tells_the_first_and_how_many_more() -> None:
    Path("bad.toml").write_text("".join(f"wrong_{k} = {k}\n" for k in range(160)))
    lines = failing("launch", "--car", "bad.toml").splitlines()
    assert len(lines) == 11
    assert lines[9].startswith("bad.toml:10: wrong_9")
    assert lines[10] == "layshaft: 150 more of the kind in bad.toml"


def test_an_engine_past_its_limit_is_warned_of_by_the_run_that_did_it() -> None:
    # From rest the engine of the demo car keeps its limit; it is taken past it by the start.
    result = call("launch", "--start-speed", "130km/h", "--distance", "10m")
    assert result.exit_code == 0, result.output
    run = layshaft.launch(layshaft.demo_car(), start_speed="130 km/h", distance=10.0)
    limit = run.car["engine.speed_limit"]
    assert (run.scalars.peak_engine_speed.item() > limit) == (
        "over_limit" in {code for _, code, _ in run.warnings()}
    )
    assert "over_limit" in {code for _, code, _ in run.warnings()}
    assert "Warning: The engine reaches" in result.stdout
    once = call("launch", "--set", "engine.speed_limit=40krpm", "--distance", "30m").stdout
    assert once.count("its limit") == 1


@pytest.mark.parametrize("engine", ["piped", "broad"])
def test_each_demo_car_is_said_to_be_invented(engine: str) -> None:
    said = "This is the demo car; its numbers are invented."
    assert said in call("launch", "--car", engine, "--distance", "5m").stdout
    own = call("launch", "--car", engine, "--set", "body.mass=2.6kg", "--distance", "5m").stdout
    assert said not in own


def test_a_start_in_second_gear_that_is_lost_on_the_way_says_so() -> None:
    trial_car = ("--car", str(trial.CAR_FILE))
    text = call("launch", *trial_car, "--start-speed", "60km/h", "--distance", "20m").stdout
    assert "first gear takes hold" in text
    assert "in second gear from the start, though not all the way." in text
    high = call("launch", "--start-speed", "90km/h", "--distance", "20m").stdout
    assert "in second gear from the start.\n" in high


def test_a_set_up_file_is_written_and_read() -> None:
    assert call("car", "mine.toml", "--set", "two_speed.gap=4.7mm").exit_code == 0
    assert layshaft.read_car("mine.toml")["two_speed.gap"] == 0.0047
    assert "--replace" in failing("car", "mine.toml")
    assert call("car", "mine.toml", "--replace").exit_code == 0
    assert layshaft.read_car("mine.toml") == layshaft.demo_car()
    result = call("launch", "--car", "mine.toml", "--distance", "10m")
    assert result.exit_code == 0, result.output


def test_all_faults_of_a_set_up_file_are_listed() -> None:
    Path("bad.toml").write_text('[two_speed]\ngap = "4.6 g"\ngapp = 1\n[first]\npinion = 1000\n')
    lines = failing("sweep", "--car", "bad.toml").splitlines()
    assert len(lines) == 3
    assert [line.split(":")[1] for line in lines] == ["2", "3", "5"]


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["sweep", "--car", "none.toml"], "none.toml"),
        (["sweep", "--over", "two_sped.gap=4:5:0.1mm"], "two_speed.gap"),
        (["sweep", "--over", "two_speed.gap=4:5mm"], "FROM:TO:STEP"),
        (["sweep", "--over", "two_speed.gap=4:5:-0.1mm"], "step"),
        (["sweep", "--over", "two_speed.gap=4:5:0.1"], "mm"),
        (["sweep", "--over", "two_speed.gap=4cm:5:0.1mm"], "one unit"),
        (["sweep", "--over", "two_speed.gap=4:5:0.0000001mm"], "more than"),
        (["sweep", "--over", "two_speed.gap"], "PATH="),
        (["sweep", "--over", "first.pinion=16", "--over", "first.pinion=17"], "twice"),
        (["sweep", "--within", "-1 s"], "--within"),
        (["sweep", "--within", "5"], 'such as "0.01 s"'),
        (["sweep", "--over", "engine.torque=3"], "it is a list of points"),
        (["sweep", "--csv", "table.txt"], ".csv"),
        (["sweep", "--out", "picture.xyz"], ".png"),
        (["sweep", "--out", "none/picture.png"], "no folder"),
        (["launch", "--distance", "60 kg"], "length"),
        (["launch", "--set", "first.pinion"], "PATH=VALUE"),
        (["launch", "--set", "first.pinion=x"], "whole number"),
        (["launch", "--distance", "-5m"], "distance = '-5m' must be > 0 m"),
        (["launch", "--distance", "5"], 'must be a length such as "60 m" (it has no unit)'),
        (
            ["launch", "--set", "gap=4.6mm"],
            "gap: the nearest known name is two_speed.gap",
        ),
        (["launch", "--set", "pinion=16"], "names are first.pinion and second.pinion"),
        (
            ["launch", "--set", "first.pinion=16", "--set", "first.pinion=17"],
            "--set first.pinion: is given twice",
        ),
        (
            ["launch", "--set", "two_speed.gap=4g"],
            'such as "4.5 mm" ("g" is no unit of length)',
        ),
    ],
)
def test_bad_input_ends_with_one_line(words: list[str], part: str) -> None:
    (line,) = failing(*words).splitlines()
    assert part in line


def test_the_version_is_printed() -> None:
    assert call("--version").stdout == f"layshaft {layshaft.__version__}\n"


@pytest.mark.parametrize("verb", [[], ["sweep"], ["launch"], ["car"]])
def test_help_is_there(verb: list[str]) -> None:
    result = call(*verb, "--help")
    assert result.exit_code == 0
    assert "Usage" in result.stdout


def test_steps_are_counted_in_decimals() -> None:
    _, gaps = typed_values.read_axis("two_speed.gap=4.1:4.7:0.1mm")
    assert gaps == [0.0041, 0.0042, 0.0043, 0.0044, 0.0045, 0.0046, 0.0047]


def test_usual_gaps_hold_the_present_one_off_the_tenths() -> None:
    gaps = usual_gaps(layshaft.Car({"two_speed.gap": "4.63 mm"}))
    assert 0.00463 in gaps
    assert 0.0046 in gaps
    assert gaps == sorted(gaps)


@pytest.mark.parametrize(("direction", "sign"), [("falls", 1.0), ("rises", -1.0)])
def test_turns_follow_the_reading(direction: str, sign: float) -> None:
    car = layshaft.Car({"two_speed.reading_direction": f"{direction}_as_screw_goes_in"})
    gap, pitch = car["two_speed.gap"], car["two_speed.screw_pitch"]
    assert screw_turns(car, gap - pitch / 2) == pytest.approx(sign * 0.5)


def advice(**changes: object) -> SettingAdvice:
    values = {
        "path": "two_speed.gap",
        "distance": 60.0,
        "within": 0.01,
        "best": 0.0045,
        "best_time": 3.0,
        "low": 0.0044,
        "high": 0.0046,
        "low_is_end": False,
        "high_is_end": False,
        "present": 0.0048,
        "present_time": 3.02,
        "is_lap": False,
        "shifts": True,
        "shift_slope": -5000.0,
    }
    return SettingAdvice(**(values | changes))


def test_a_gain_is_worth_turning_the_screws() -> None:
    car = layshaft.Car({"two_speed.gap": "4.8 mm", "two_speed.screw_pitch": "0.6 mm"})
    what, plateau, caliper = sweep_report.sweep_sentences(advice(), car)
    assert what == "Turn both screws 0.50 in, to 4.50 mm: 0.020 s quicker over 60 m."
    assert plateau.startswith("4.40 mm to 4.60 mm is within 0.01 s of the best")
    assert "beyond" not in plateau
    # 5 km/s per m is 5 m/s per mm: 0.25 m/s for 0.05 mm.
    assert caliper == "A caliper 0.05 mm out moves the shift by 0.9 km/h."


def test_a_small_gain_is_not() -> None:
    car = layshaft.Car({"two_speed.gap": "4.8 mm"})
    what, *_ = sweep_report.sweep_sentences(advice(present_time=3.004), car)
    assert what.startswith("Leave gap at 4.80 mm")
    assert "0.004 s" in what


def test_the_end_of_the_sweep_is_no_end_of_the_plateau() -> None:
    car = layshaft.Car({"two_speed.gap": "4.8 mm"})
    _, plateau, _ = sweep_report.sweep_sentences(advice(low_is_end=True), car)
    assert plateau.endswith("try beyond 4.40 mm.")


def test_the_plateau_is_what_lies_within_the_loss_around_the_best() -> None:
    times = [3.03, 3.005, 3.0, 3.02, 3.001]  # the last is alike, but beyond a hill
    gaps = [0.0044, 0.0045, 0.0046, 0.0047, 0.0048]
    table = xarray.Dataset(
        {
            "time_to_distance": (("two_speed_gap", "distance"), [[time] for time in times]),
            "shift_speed": ("two_speed_gap", [15.0, 14.5, 14.0, 13.5, 13.0]),
            "status": ("two_speed_gap", ["finished"] * 5),
        },
        {"two_speed_gap": gaps, "distance": [60.0]},
    )
    found = best_setting(table, layshaft.Car({"two_speed.gap": "4.7 mm"}), within=0.01)
    assert (found.best, found.low, found.high) == (0.0046, 0.0045, 0.0046)
    assert (found.low_is_end, found.high_is_end) == (False, False)
    assert found.present == 0.0047
    assert found.gain == pytest.approx(0.02)
    assert found.shift_slope == pytest.approx(-5000.0)


def test_schemas_for_an_editor_are_written_where_asked(tmp_path: Path) -> None:
    (tmp_path / "cars").mkdir()
    result = call("schema", "cars")
    assert result.exit_code == 0, result.output
    assert "#:schema car.schema.json" in result.stdout
    assert sorted(file.name for file in Path("cars").iterdir()) == [
        "car.schema.json",
        "parts.schema.json",
    ]
    assert call("schema", "no-such-folder").exit_code == 2


def test_a_home_that_cannot_be_written_to_is_nobody_s_business(tmp_path: Path) -> None:
    surroundings = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("XDG_", "MPLCONFIGDIR"))
    }
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "from layshaft.cli.main import main; main()",
            "launch",
            "--distance",
            "5m",
            "--out",
            ".",
        ],
        env=surroundings | {"HOME": os.devnull, "MPLBACKEND": "agg"},
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0
    assert done.stderr == ""
    assert "Picture: layshaft-launch.png" in done.stdout.splitlines()


@pytest.mark.parametrize("words", [["{}"], ["--{}"], ["sweep", "--{}"], ["log", "{}"]])
def test_what_was_pasted_in_is_not_printed_back(words: list[str]) -> None:
    told = failing(*(word.format("x" * 5000) for word in words))
    assert "x" * 50 in told
    assert len(told) < 500
