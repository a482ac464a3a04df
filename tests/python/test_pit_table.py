"""Tables and sentences on narrow terminals lose columns, and say which; no number is ever cut."""

import fcntl
import os
import pty
import re
import struct
import sys
import termios
from collections.abc import Callable
from pathlib import Path

import layshaft
import pytest
import trial
from layshaft.advice.goals import Goal
from layshaft.reports import advice_report, front_report
from layshaft.reports.pit_table import PitTable
from rich.console import Console

NUMBER = re.compile(r"\d[\d.,]*")


def printed(table: PitTable, width: int) -> list[str]:
    console = Console(width=width, highlight=False)
    with console.capture() as capture:
        console.print(table)
    return capture.get().splitlines()


def table() -> PitTable:
    made = PitTable("gap\nmm", "time\ns")
    made.add_column("engine\nspeed rpm", rank=2)
    made.add_column("hand-\nover s", rank=1)
    made.add_column("", is_text=True)
    made.add_row("4.60", "3.302", "31,200", "0.314", "drum locks: second gear", bold=True)
    made.add_row("4.80", "12.302", "1,200", "0.3", "")
    return made


def test_a_wide_terminal_has_all_columns() -> None:
    text = "\n".join(printed(table(), 80))
    for cell in ("4.60", "12.302", "31,200", "0.314", "drum locks: second gear", "speed rpm"):
        assert cell in text
    assert "no room" not in text


@pytest.mark.parametrize("width", range(4, 81))
def test_no_width_cuts_a_number(width: int) -> None:
    whole = set(NUMBER.findall("\n".join(printed(table(), 200))))
    lines = printed(table(), width)
    assert max(map(len, lines)) <= width
    text = "\n".join(lines)
    assert "…" not in text
    assert set(NUMBER.findall(text)) <= whole
    assert "4.60" in text


def test_the_highest_rank_goes_first_and_is_named() -> None:
    # 4 + 6 + 6 + 5 letters and 14 of text with single blanks are 39; without the rpm 32.
    for width, said in ((39, None), (38, "no room for: engine speed rpm"), (32, None)):
        lines = printed(table(), width)
        assert (said in lines) if said else True
        assert ("31,200" in "\n".join(lines)) == (width >= 39)
    assert "no room for: engine speed rpm, hand-over s" in " ".join(
        line.strip() for line in printed(table(), 31)
    )


def test_a_row_has_a_cell_for_each_column() -> None:
    with pytest.raises(ValueError, match="a row must have 2 cells, not 1"):
        PitTable("a", "b").add_row("1")


# In a real terminal.

Run = Callable[..., str]


@pytest.fixture
def in_a_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Give a function that runs the command in a terminal so many columns wide."""
    try:
        for end in pty.openpty():
            os.close(end)
    except OSError as fault:
        pytest.skip(f"no terminal to be had: {fault}")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COLUMNS", raising=False)
    monkeypatch.setenv("MPLBACKEND", "agg")
    monkeypatch.setenv("TERM", "xterm")
    Path("parts.toml").write_text("[first]\npinions = [16, 17]\nspurs = [50, 51]\n")

    def run(width: int, *words: str) -> str:
        code = "from layshaft.cli.main import main; main()"
        child, terminal = pty.fork()
        if child == 0:
            # With Python's own environment: libraries set COLUMNS behind its back.
            os.execve(sys.executable, [sys.executable, "-c", code, *words], os.environ)
        fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 40, width, 0, 0))
        output = b""
        while piece := _read(terminal):
            output += piece
        _, status = os.waitpid(child, 0)
        os.close(terminal)
        text = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", output.decode()).replace("\r\n", "\n")
        assert os.waitstatus_to_exitcode(status) == 0, text
        return text

    return run


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 65536)
    except OSError:  # so Linux tells that the other side is closed
        return b""


VERBS = {
    "launch": ("--distance", "20m"),
    "sweep": ("--over", "two_speed.gap=4.4:5.2:0.4mm", "--distance", "20m"),
    "recommend": (
        *("--goal", "quickest", "--goal", "cool-shoes", "--distance", "20m"),
        *("--over", "two_speed.gap=4.4,4.8mm", "--over", "first.pinion=16,17"),
    ),
    "mesh": ("parts.toml",),
    "scatter": ("--samples", "2", "--distance", "20m"),
    "lap": ("club", "--set", "two_speed.gap=5.5mm"),
    "gearing": ("club", "--parts", "parts.toml", "--gaps", "4.4:4.8:0.4mm"),
    "stint": ("club", "--duration", "1min"),
    "learn": ("--shift", "4.8mm=55km/h", "--shift", "5.1mm=47km/h"),
}


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_fits_forty_columns_with_all_its_digits(verb: str, in_a_terminal: Run) -> None:
    lines = [line.rpartition("\r")[2] for line in in_a_terminal(40, verb, *VERBS[verb]).split("\n")]
    assert max(len(line.rstrip()) for line in lines) <= 40
    assert "…" not in "".join(lines)
    assert "..." not in "".join(lines)


def test_a_sweep_on_forty_columns_keeps_setting_shift_and_time(in_a_terminal: Run) -> None:
    text = in_a_terminal(40, "sweep", *VERBS["sweep"])
    table = layshaft.sweep(
        layshaft.demo_car(), {"two_speed.gap": ["4.4 mm", "4.8 mm", "5.2 mm"]}, distance=20.0
    )
    for gap, shift, time in zip(
        ("4.40", "4.80", "5.20"),
        table.shift_speed.values * 3.6,
        table.time_to_distance.sel(distance=20.0).values,
        strict=True,
    ):
        row = next(line for line in text.splitlines() if line.strip().startswith(gap))
        assert {f"{shift:.1f}", f"{time:.3f}"} <= set(row.split())
    assert "no room for: rpm peak, rpm low" in text


# A number of a run in the unit of the workshop.

GOALS = [
    # measure, SI unit, a cost, a loss, and how both are written (worked by hand).
    ("time", "s", 3.3021, 0.0123, "3.302 s", "0.012 s"),
    ("fuel", "kg", 0.00412, 0.0001, "4.12 g", "0.1 g"),
    ("clutch_loss", "J", 90.25, 12345.0, "90.2 J", "12,345 J"),
    ("peak_engine_speed", "rad/s", 1000.0, 100.0, "9,549 rpm", "955 rpm"),
    ("peak_shoe_temperature", "K", 373.15, 2.0, "100.0 degC", "2.0 K"),
    ("shift_distance", "m", 12.345, 0.5, "12.3 m", "0.5 m"),
    ("shift_speed", "m/s", 15.0, 0.5, "54.0 km/h", "1.8 km/h"),
    ("peak_rear_slip", "1", 0.1234, 0.01, "0.123", "0.01"),
]


@pytest.mark.parametrize(("measure", "unit", "value", "loss", "written", "lost"), GOALS)
def test_a_goal_of_any_unit_is_printed_in_that_of_the_workshop(
    measure: str, unit: str, value: float, loss: float, written: str, lost: str
) -> None:
    goal = Goal(
        name="all",
        measure=measure,
        unit=unit,
        target=None,
        within=loss,
        options=layshaft.goals.quickest().options,
    )
    assert advice_report._measured(goal, value) == written
    assert advice_report._loss(goal, loss) == lost


def test_advice_for_the_least_fuel_speaks_of_grams() -> None:
    quick = layshaft.goals.quickest(distance=10.0)
    goal = Goal(
        name="fuel", measure="fuel", unit="kg", target=None, within=1e-6, options=quick.options
    )
    over = {"first.pinion": [16, 17]}
    advice = layshaft.recommend(trial.CAR, over, goal=goal)
    text = "\n".join(advice_report.advice_sentences(advice))
    grams = layshaft.sweep(trial.CAR, over, distance=10.0).fuel.min().item() * 1e3
    assert f"fuel {grams:.3g} g" in text
    assert " K" not in text
    found = layshaft.trade_off(trial.CAR, [quick, goal], over)
    heads = "\n".join(printed(front_report.front_rows(found), 80))
    assert re.search(r"\bg\b", heads)
