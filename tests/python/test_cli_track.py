"""The verbs of the track on the command line."""

import functools
import math
from pathlib import Path

import layshaft
import pytest
import trial
from layshaft.cli.main import app
from typer.testing import CliRunner


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


TRIAL = (str(trial.CLUB_FILE), "--car", str(trial.CAR_FILE))


def run(*words: str) -> str:
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_a_lap_is_told_and_drawn() -> None:
    told = run("lap", *TRIAL, "--csv", "lap.csv", "--out", ".")
    assert "club (invented)" in told
    assert "shifts lie on straights" in told
    assert (
        "Out of corners 4, 5, 6, 7, 9 the engine has under 50% of its power, but the tyres" in told
    )
    assert Path("layshaft-lap.png").read_bytes().startswith(b"\x89PNG")
    assert Path("lap.csv").read_text(encoding="utf-8").startswith("lap_distance_m,time_s")


def test_a_shift_in_a_corner_is_named() -> None:
    told = run("lap", *TRIAL, "--set", "two_speed.gap=5.8mm", "--dark", "--out", ".")
    assert "shifts upset the car" in told
    assert "in corner" in told


def test_a_lap_from_rest_says_so() -> None:
    assert "from a standing start" in run("lap", "fast", "--standing")


def test_a_doubtful_lap_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "knife's edge" not in run("lap", "fast")
    coarse = functools.partial(layshaft.lap, tolerance=0.02)
    monkeypatch.setattr(layshaft, "lap", coarse)
    assert "On a knife's edge: " in run("lap", "fast")


def test_gap_and_gearing_that_win_are_told() -> None:
    Path("parts.toml").write_text("[first]\npinions = [17]\nspurs = [50]\n", encoding="utf-8")
    told = run("gearing", *TRIAL, "--parts", "parts.toml", "--gaps", "4.4:5.2:0.4mm", "--out", ".")
    assert "Best: 17/50 22/45 with a gap of" in told
    assert "As quick" not in told  # there are no others
    assert "mm lose under 0.05 s with these gears; it may go on beyond 4.40 and 5.20 mm." in told
    assert Path("layshaft-gearing.png").exists()


def test_gears_as_quick_as_the_best_are_others_and_a_single_gap_is_no_range() -> None:
    told = run("gearing", "club", "--gaps", "4.6mm")
    best = next(line for line in told.splitlines() if line.startswith("Best: ")).split()[1:3]
    alike = next(line for line in told.splitlines() if line.startswith("As quick"))
    assert " ".join(best) not in alike
    assert "Gaps from" not in told


def test_gears_that_newly_take_the_engine_past_its_limit_are_warned_of() -> None:
    Path("parts.toml").write_text(
        "[first]\npinions = [14]\nspurs = [53]\n[second]\npinions = [19]\nspurs = [48]\n"
    )
    told = run(
        *("gearing", "club", "--parts", "parts.toml", "--gaps", "4.6mm"),
        *("--set", "engine.speed_limit=43.7krpm"),
    )
    assert "Warning, with that setting: The engine passes its limit" in told


def test_a_stint_is_told_and_drawn() -> None:
    told = run("stint", "club", "--duration", "2 min", "--csv", "stint.csv", "--out", ".")
    assert "A tank lasts" in told
    assert "no stops for fuel" in told
    assert "The clutch: hardly warmer than the air" in told
    assert "this race is over by then" in told
    assert "an assumption" in told
    assert "lap_time_s" in Path("stint.csv").read_text(encoding="utf-8").splitlines()[0]
    assert Path("layshaft-stint.png").exists()


def test_the_length_of_a_lap_has_no_more_digits_than_it_is_known_to() -> None:
    # 60 m of straights, 2 pi 4 m of corners, and 1 m of blend for each corner.
    half = '[[segment]]\nstraight = "30 m"\n[[segment]]\ncorner = "180 deg"\nradius = "4 m"\n'
    Path("hall.toml").write_text(2 * half)
    told = run("sweep", "--track", "hall.toml", "--over", "two_speed.gap=4.6:5.0:0.2mm")
    assert "over 87.13 m" in told
    assert "87.1327" not in told


def test_a_lap_in_which_nothing_happens_is_told_without_a_word_of_its_picture() -> None:
    turn = [2.0 * math.pi * k / 60 for k in range(60)]
    rows = "\n".join(f"{9.0 * math.cos(t):.4f},{9.0 * math.sin(t):.4f}" for t in turn)
    Path("ring.csv").write_text(f"x_m,y_m\n{rows}\n")
    result = CliRunner().invoke(app, ["lap", "ring.csv"])
    assert result.exit_code == 0
    assert "No shift in this lap." in result.stdout
    assert result.stderr == ""


def test_sweep_recommend_and_scatter_take_a_track() -> None:
    assert "294.7 m" in run("sweep", "--track", "club", "--over", "two_speed.gap=4.6:5.0:0.2mm")
    wide = ("--set", "two_speed.gap=5.8mm", "--over", "two_speed.gap=4.8,5.8mm")
    told = run("recommend", "--track", "club", *wide)
    assert "lap of club" in told
    assert "shift" in run("scatter", "--track", "club", "--samples", "2")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("lap", "clubb.toml"), "cannot be read"),
        (("lap", "club.txt"), ".toml or .csv"),
        (("gearing", "club", "--gaps", "4,2:5:0,2mm"), "write 4.2 for 4,2"),
        (
            ("stint", "club", "--set", "fuel.tank_volume=5cm3"),
            "does not last a lap, which takes 5.8 cm3: of 5.0 cm3, 4.8 cm3 are used",
        ),
        (("stint", "club", "--duration", "1ms"), "duration = '1ms' must be"),
        (
            ("lap", "club", "--longest-time", "0s"),
            "longest_time = '0s' must be > 0 s and < 10000 s",
        ),
        (("lap", "clubb"), "did you mean club?"),
        (("stint", "club", "--duration", "5 kg"), "duration"),
        (("lap", "club", "--csv", "lap.txt"), "must end in .csv"),
    ],
)
def test_what_cannot_be_is_told_in_a_line(words: tuple[str, ...], told: str) -> None:
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 2
    assert told in result.stderr
    assert "Traceback" not in result.output


def test_a_map_tells_what_gaps_and_gears_buy() -> None:
    told = run("gearing", "fast", "--gaps", "4.2:4.6:0.4mm")
    assert "upset: the most that the drive force changes" in told
    assert "19/48 24/43" in told
