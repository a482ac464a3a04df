"""The verbs of the track on the command line."""

import functools
from pathlib import Path

import layshaft
import pytest
from layshaft.cli import app
from typer.testing import CliRunner


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def run(*words: str) -> str:
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_a_lap_is_told_and_drawn() -> None:
    told = run("lap", "club", "--csv", "lap.csv")
    assert "club (invented)" in told
    assert "shifts lie on straights" in told
    assert "Bogs out of corners 4, 5, " in told
    assert Path("layshaft-lap.png").read_bytes().startswith(b"\x89PNG")
    assert Path("lap.csv").read_text(encoding="utf-8").startswith("lap_distance_m,time_s")


def test_a_shift_in_a_corner_is_named() -> None:
    told = run("lap", "club", "--set", "two_speed.gap=5.8mm", "--dark")
    assert "shifts upset the car" in told
    assert "in corner" in told


def test_a_lap_from_rest_says_so() -> None:
    assert "from a standing start" in run("lap", "fast", "--standing")


def test_a_doubtful_lap_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "knife's edge" not in run("lap", "fast")
    coarse = functools.partial(layshaft.lap, tolerance=0.03)
    monkeypatch.setattr(layshaft, "lap", coarse)
    assert "On a knife's edge: " in run("lap", "fast")


def test_gap_and_gearing_that_win_are_told() -> None:
    Path("parts.toml").write_text("[first]\npinions = [17]\nspurs = [50]\n", encoding="utf-8")
    told = run("gearing", "club", "--parts", "parts.toml", "--gaps", "4.4:5.2:0.4mm")
    assert "Best: 17/50 22/45 with a gap of" in told
    assert Path("layshaft-gearing.png").exists()


def test_a_stint_is_told_and_drawn() -> None:
    told = run("stint", "club", "--duration", "2 min", "--csv", "stint.csv")
    assert "A tank lasts" in told
    assert "no stops for fuel" in told
    assert "an assumption" in told
    assert "lap_time_s" in Path("stint.csv").read_text(encoding="utf-8").splitlines()[0]
    assert Path("layshaft-stint.png").exists()


def test_sweep_recommend_and_scatter_take_a_track() -> None:
    assert "260 m" in run("sweep", "--track", "club", "--over", "two_speed.gap=4.6:5.0:0.2mm")
    wide = ("--set", "two_speed.gap=5.8mm", "--over", "two_speed.gap=4.8,5.8mm")
    told = run("recommend", "--track", "club", *wide)
    assert "lap of club" in told
    assert "shift" in run("scatter", "--track", "club", "--samples", "2")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("lap", "clubb.toml"), "cannot be read"),
        (("lap", "club.txt"), ".toml or .csv"),
        (("stint", "club", "--duration", "5 kg"), "duration"),
        (("lap", "club", "--csv", "lap.txt"), "must end in .csv"),
    ],
)
def test_what_cannot_be_is_told_in_a_line(words: tuple[str, ...], told: str) -> None:
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 2
    assert told in result.stderr
    assert "Traceback" not in result.output
