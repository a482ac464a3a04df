"""Files of the command line: none that is read, or written as something else, is written over."""

import os
from pathlib import Path

import layshaft
import pytest
from layshaft.cli.main import app
from typer.testing import CliRunner

POINTS = "x_m,y_m\n0,0\n8,0\n16,0\n20,6\n16,12\n8,12\n0,12\n-4,6\n"


@pytest.fixture(autouse=True)
def _in_a_folder_with_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    layshaft.write_car(layshaft.demo_car(), "pit.json")
    layshaft.write_car(layshaft.demo_car(), "pit.toml")
    Path("seen.json").write_text("gap_mm,shift_speed_km_per_h\n4.6,55\n", encoding="utf-8")
    Path("track.csv").write_text(POINTS, encoding="utf-8")
    Path("parts.toml").write_text("[first]\npinions = [16, 17]\n", encoding="utf-8")
    os.symlink("track.csv", "link.csv")
    os.link("track.csv", "hard.csv")


SHIFT = ("--shift", "4.6mm=56km/h")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("learn", "--car", "pit.json", *SHIFT, "--learned", "pit.json"), "--learned pit.json"),
        (("learn", "--seen", "seen.json", "--learned", "seen.json"), "file of --seen too"),
        (("learn", "--log", "seen.json", "--learned", "./seen.json"), "file of --log too"),
        (("learn", *SHIFT, "--learned", "pit.toml"), "must end in .json"),
        (("learn", *SHIFT, "--setup", "learned.json"), "file of --learned too"),
        (("lap", "track.csv", "--csv", "track.csv"), "--csv track.csv: is the file of TRACK too"),
        (("lap", "track.csv", "--csv", "link.csv"), "file of TRACK too"),
        (("lap", "link.csv", "--csv", "hard.csv"), "file of TRACK too"),
        (("stint", "track.csv", "--csv", "track.csv"), "file of TRACK too"),
        (("sweep", "--track", "track.csv", "--csv", "track.csv"), "file of --track too"),
        (("sweep", "--runs", "r.nc", "--netcdf", "r.nc"), "is the file of --netcdf too"),
        (("launch", "--car", "pit.toml", "--out", "missing/run.png"), "no folder missing"),
        (("fmu", "pit.toml", "--car", "pit.toml"), "FILE pit.toml: is the file of --car too"),
    ],
)
def test_no_file_is_written_over(words: tuple[str, ...], said: str) -> None:
    before = {file: file.read_bytes() for file in Path().iterdir()}
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert {file: file.read_bytes() for file in Path().iterdir()} == before


def test_a_set_up_file_is_replaced_on_demand() -> None:
    words = ("car", "pit.toml", "--car", "pit.toml", "--set", "first.pinion=16", "--replace")
    assert CliRunner().invoke(app, words).exit_code == 0
    assert layshaft.read_car("pit.toml").first.pinion == 16
