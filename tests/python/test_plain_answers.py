"""What is said where a question has no good answer: the true cause, no number without ground."""

import io
import warnings
from pathlib import Path

import layshaft
import numpy as np
import pytest
from layshaft.cli.main import app
from layshaft.reports import advice_report, lap_report, launch_report, scatter_report, sweep_report
from layshaft.tracks.track_closing import closing_fault
from rich.console import Console
from typer.testing import CliRunner

CAR = layshaft.demo_car()


def track_of(folder: Path, *segments: str, top: str = "") -> layshaft.Track:
    file = folder / "own.toml"
    file.write_text(top + "".join(f"[[segment]]\n{each}\n" for each in segments), encoding="utf-8")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return layshaft.read_track(file)


def turn(angle: str, radius: str) -> str:
    return f'corner = "{angle}"\nradius = "{radius}"'


# On paper a full circle closes, and so do six corners of 60 deg between equal straights.
CLOSED = {
    "circle": (turn("360 deg", "2 m"),),
    "hexagon": (turn("60 deg", "1 m"), 'straight = "0.01 m"') * 6,
}


@pytest.mark.parametrize("name", CLOSED)
def test_a_blend_that_opens_a_track_is_named_with_one_that_does_not(
    name: str, tmp_path: Path
) -> None:
    fault = closing_fault(track_of(tmp_path, *CLOSED[name]))
    if name == "hexagon":
        assert fault == ""  # its corners are moved alike all round
        return
    assert "is the blend of its corners" in fault
    shorter = fault.partition("shorter one, ")[2].rstrip(".")
    assert closing_fault(track_of(tmp_path, *CLOSED[name], top=f"{shorter}\n")) == ""


def test_a_track_that_is_open_by_itself_blames_no_blend(tmp_path: Path) -> None:
    opened = turn("180 deg", "3 m"), 'straight = "20 m"', turn("180 deg", "3 m")
    fault = closing_fault(track_of(tmp_path, *opened))
    assert "blend" not in fault
    assert "Check the lengths and angles" in fault
    assert "blend" not in closing_fault(track_of(tmp_path, turn("300 deg", "2 m")))


def test_more_gears_than_can_be_looked_through_are_counted() -> None:
    teeth = tuple(range(10, 80))
    box = layshaft.Parts(
        first_pinions=teeth, first_spurs=teeth, second_pinions=teeth, second_spurs=teeth
    )
    said = r"70 first\.pinions.* make 24010000 combinations, which must be at most 1000000"
    with pytest.raises(ValueError, match=said):
        layshaft.mesh(CAR, box)
    with pytest.raises(ValueError, match=said):
        layshaft.recommend(CAR, parts=box)


def study(shift_speeds: list[float], losses: list[float]) -> layshaft.Scatter:
    return layshaft.Scatter(
        car=CAR,
        distance=60.0,
        shift_speeds=np.array(shift_speeds),
        losses=np.array(losses),
        shift_speed=14.0,
        time=3.0,
        shift_shares=(),
        time_shares=(),
        failed=int(np.isnan(shift_speeds).sum()),
    )


def test_a_range_needs_cars_that_shift() -> None:
    speeds = [13.5] + [np.nan] * 15
    few = " ".join(scatter_report.scatter_sentences(study(speeds, [0.1] * 16)))
    assert "Only 1 of 16 such cars shift" in few
    assert "between" not in few
    some = " ".join(
        scatter_report.scatter_sentences(study([13.0, 14.0] * 10 + [np.nan], [0.1] * 21))
    )
    assert "95 % of the 20 of 21 such cars that shift" in some


@pytest.mark.parametrize(
    ("losses", "said"),
    [
        ([0.016] * 8 + [0.411] * 8, "0.016 s to 0.411 s slower"),
        ([-0.3] * 8 + [-0.1] * 8, "0.100 s to 0.300 s quicker"),
        ([-0.3] * 8 + [0.1] * 8, "0.300 s quicker to 0.100 s slower"),
        ([0.1] * 2 + [np.nan] * 14, "Only 2 of 16 such cars arrive"),
    ],
)
def test_a_loss_is_told_without_a_minus(losses: list[float], said: str) -> None:
    sentences = " ".join(scatter_report.scatter_sentences(study([14.0] * 16, losses)))
    assert said in sentences
    assert "-0." not in sentences


def test_a_usual_spread_at_a_bound_is_left_out() -> None:
    path = "rear_tyre.friction_peak"
    most = next(each.maximum for each in layshaft.fields() if each.path == path)
    car = CAR.replace({path: most})
    with pytest.warns(UserWarning, match=f"{path} stands at a bound and is left out"):
        found = layshaft.scatter(car, samples=2, distance="20 m")
    assert path not in {share.path for share in found.shift_shares}
    with pytest.raises(ValueError, match="stands at a bound"):
        layshaft.scatter(car, {path: "10 %"}, samples=2)


def test_no_turn_of_both_screws_where_one_shoe_has_a_gap_of_its_own() -> None:
    axes = {"two_speed.gap": ["4.4 mm", "4.6 mm"], "two_speed.shoe_1.gap": ["4.5 mm"]}
    table = layshaft.sweep(CAR, axes, distance="5 m")
    console = Console(width=200, file=io.StringIO(), record=True)
    console.print(sweep_report.sweep_rows(table, CAR))
    assert "screws" not in console.export_text()


def test_a_finished_table_is_no_file_of_runs(tmp_path: Path) -> None:
    axes, file = {"two_speed.gap": ["4.4 mm", "4.6 mm"]}, tmp_path / "table.nc"
    layshaft.save(layshaft.sweep(CAR, axes, distance="5 m"), file)
    with pytest.raises(ValueError, match="is a finished table, not the file"):
        layshaft.sweep(CAR, axes, distance="5 m", file=file)


@pytest.mark.parametrize("path", ["two_speed", "two_speed.shoe_1", "engine"])
def test_a_part_of_the_car_is_no_field(path: str) -> None:
    with pytest.raises(ValueError, match=rf"part of the car; name a field of it, such as {path}\."):
        CAR.replace({path: "4.6 mm"})


def test_a_count_beyond_its_bound_names_it() -> None:
    for count in (1_000_000_000_000, 10**400):
        with pytest.raises(
            ValueError, match=r"samples = .* must be a whole number below 2147483648"
        ):
            layshaft.scatter(CAR, samples=count)
    with pytest.raises(ValueError, match="samples = 1048576 makes 9437184 runs, at most 1000000"):
        layshaft.scatter(CAR, samples=2**20)


def test_a_doubt_lies_within_the_range_of_its_field() -> None:
    with pytest.raises(ValueError, match=r"body.mass: .*'1e9 kg', must be at most 19500 g"):
        layshaft.unknown(CAR, "body.mass", doubt="1e9 kg")


def test_no_shift_is_heard_at_rest() -> None:
    with pytest.raises(ValueError, match="shift_speed = '0 km/h' must be above 0"):
        layshaft.observe("shift_speed", "0 km/h")


def test_a_log_begins_with_its_run() -> None:
    with pytest.raises(ValueError, match=r"must begin at the start of the run.*not at 100 s"):
        layshaft.run_log("car_speed", [100.0, 101.0], [5.0, 6.0], error="1 km/h")


def test_a_car_that_rolls_back_is_said_to() -> None:
    slippery = {"rear_tyre.friction_peak": 0.3, "front_tyre.friction_peak": 0.3}
    car = CAR.replace(slippery)
    run = layshaft.launch(car, grade=1.0, on_failure="return")
    assert run.scalars.end_distance < 0.0
    text = launch_report.run_summary(run)
    assert text.startswith("The car rolls back, ")
    assert "--longest-time" not in text
    table = layshaft.sweep(car, {"first.pinion": [16, 17]}, grade=1.0)
    assert sweep_report.missed_distance(table) == ["2 runs roll back."]


def test_the_reserve_of_a_tank_is_told_and_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    race = layshaft.stint(CAR, "club", duration="1 min")
    assert "with 5 % of it left" in " ".join(lap_report.stint_sentences(race))
    words = ["stint", "--duration", "1 min", "--reserve", "20 %"]
    monkeypatch.chdir(tmp_path)
    assert "with 20 % of it left" in CliRunner().invoke(app, words).stdout


def test_one_shift_is_told_as_one() -> None:
    run = layshaft.lap(CAR, "club")
    on_straight = next(event for event in run.shifts if event.place == "straight")
    object.__setattr__(run, "events", (on_straight,))
    told = " ".join(lap_report.lap_sentences(run))
    assert "The only shift lies on a straight." in told


# Where nothing shifts: the shoes of the demo car go out at no speed that it reaches below a gap of
# some 3.5 mm, and before it moves above one of some 6.5 mm.
NO_SHIFT = {
    "never": (["--over", "two_speed.gap=3:3.2:0.1mm"], "never go out; turn the screws out"),
    "at once": (["--over", "two_speed.gap=6.8:7:0.1mm"], "from the start; turn the screws in"),
    "too short": (["--distance", "4m"], "turn the screws out, or go further"),
}


def said(*words: str) -> list[str]:
    result = CliRunner().invoke(app, [*words, "--out", "drawn.png"])
    assert result.exit_code == 0, result.output
    return result.stdout.splitlines()


@pytest.mark.parametrize("name", NO_SHIFT)
def test_a_sweep_without_a_shift_says_so_first_and_leaves_nothing(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    words, cure = NO_SHIFT[name]
    lines = said("sweep", *words)
    advised = [each for each in lines if "sweep shifts" in each or "Leave" in each]
    assert len(advised) == 1
    assert advised[0].startswith("No setting of this sweep shifts over ")
    assert cure in advised[0]
    assert not any("hardly matters" in each or "choose by feel" in each for each in lines)


@pytest.mark.parametrize("name", NO_SHIFT)
def test_a_recommendation_without_a_shift_says_so_first(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    words, cure = NO_SHIFT[name]
    text = [each.replace(":0.1mm", "mm") for each in words]
    first, *rest = said("recommend", *text)[1:]
    assert first.startswith("Nothing that was tried shifts over ")
    assert cure in first
    # The car as it is shifts at 66 km/h, some 12 m from the start.
    assert ("The car as it is shifts at 66 km/h" in first) == (name != "too short")
    assert not any(each.startswith(("Leave", "Gap:")) for each in rest)


def test_where_nothing_shifts_the_quickest_gears_are_told_all_the_same() -> None:
    car = CAR.replace({"two_speed.gap": "3 mm"})
    pinions = layshaft.sweep(car, {"first.pinion": [16, 17]}, distance=20.0)
    first, second = sweep_report.sweep_sentences(layshaft.best_setting(pinions, car), car)
    assert first.startswith("No setting of this sweep shifts over 20 m: the shoes never go out")
    assert second.startswith("The quickest without one is first.pinion 1")


def test_what_gears_do_without_a_shift_is_told_all_the_same() -> None:
    over = {"first.pinion": [16, 17]}
    goal = layshaft.goals.quickest(distance=4.0)
    first, second, *_ = advice_report.advice_sentences(layshaft.recommend(CAR, over, goal=goal))
    assert first.startswith("Nothing that was tried shifts over 4 m, first pinion 16 to 17: ")
    assert second.startswith(("Leave", "Fit"))


def test_a_map_without_a_shift_says_so_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("own.toml").write_text(
        "[first]\npinions = [17]\nspurs = [50]\n[second]\npinions = [22]\nspurs = [45]\n",
        encoding="utf-8",
    )
    _, first, second, *_ = said("gearing", "club", "--gaps", "2:2.1:0.1mm", "--parts", "own.toml")
    assert first == (
        "No gap and gears of those tried shift: the shoes never go out; turn the screws out."
    )
    assert second.startswith("Best: 17/50 22/45")
    _, best, *_ = said("gearing", "club", "--gaps", "4.6:4.8:0.2mm", "--parts", "own.toml")
    assert best.startswith("Best: ")


def test_a_track_too_slow_for_the_shoes_is_said_to_be(tmp_path: Path) -> None:
    half = turn("180 deg", "2 m"), 'straight = "6 m"'
    table = layshaft.sweep(
        CAR, {"two_speed.gap": ["4.2 mm", "4.4 mm"]}, track=track_of(tmp_path, *half, *half)
    )
    (line,) = sweep_report.sweep_sentences(layshaft.best_setting(table, CAR), CAR)
    assert line.startswith("No setting of this sweep shifts on this track: the car never gets")


LONG = "y" * 5000


@pytest.mark.parametrize(
    "words",
    [
        ["sweep", "--over", LONG],
        ["sweep", "--over", f"two_speed.gap={LONG}"],
        ["sweep", "--set", f"body.mass={LONG}"],
        ["sweep", "--distance", LONG],
        ["sweep", "--car", LONG],
        ["sweep", "--out", LONG],
        ["lap", LONG],
        ["recommend", "--goal", LONG],
        ["learn", "--shift", LONG],
        ["scatter", "--spread", LONG],
        ["mesh", LONG],
        ["fmu", LONG],
        ["car", LONG],
        ["gearing", "club", "--gaps", LONG],
        ["stint", "club", "--duration", LONG],
    ],
)
def test_no_more_than_a_line_is_shown_of_a_word_that_is_long(words: list[str]) -> None:
    result = CliRunner().invoke(app, words)
    assert result.exit_code not in (0, None)
    assert "Traceback" not in result.output
    assert len(result.output) < 400
    assert "yyy" in result.output


def test_a_nut_that_moves_no_shift_is_not_said_to_move_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # On a flying lap the clutch stays locked.
    monkeypatch.chdir(tmp_path)
    nuts = "clutch.axial.nut_turns=1.5:2.7:0.6turn"
    lines = said("sweep", "--track", "club", "--over", nuts)
    (why,) = (each for each in lines if "hardly matters" in each)
    assert "it moves no shift" in why
