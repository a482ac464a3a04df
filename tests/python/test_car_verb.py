"""The command that begins a set-up file: its questions, and what it marks as not measured."""

import os
import signal
import subprocess
import sys
import tomllib
from collections.abc import Iterable
from pathlib import Path

import layshaft
import pytest
from layshaft.cli.main import app
from layshaft.setup import field_table
from layshaft.setup.field_table import CURVE
from layshaft.setup.questions import QUESTIONS, read_answer
from typer.testing import CliRunner, Result

DEMO = layshaft.demo_car()
ALL = {CURVE, *field_table.positions()}
BY_PATH = {question.path: question for question in QUESTIONS}


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "40")


def call(*words: str, typed: Iterable[str] = ()) -> Result:
    return CliRunner().invoke(app, ["car", *words], input="".join(f"{line}\n" for line in typed))


def answers(**given: str) -> list[str]:
    """Return what is typed at the questions: an answer by the last words of a path, or nothing."""
    wanted = {name.replace("__", "."): text for name, text in given.items()}
    assert wanted.keys() <= BY_PATH.keys()
    design = wanted.get("clutch.design", DEMO.clutch.design)
    asked = [q for q in QUESTIONS if q.only_with is None or q.only_with[1] == design]
    return [wanted.get(question.path, "") for question in asked]


def test_there_are_about_fifteen_questions_each_of_a_setting() -> None:
    assert 13 <= len(QUESTIONS) <= 17
    assert all(field_table.find_field(path) for path in BY_PATH)
    assert len(BY_PATH) == len(QUESTIONS)


def test_what_is_answered_is_the_cars_own_and_all_else_is_marked() -> None:
    typed = answers(
        body__mass="2.6 kg", rear_tyre__radius="70", first__pinion="16", two_speed__gap="4.55"
    )
    result = call("mine.toml", "--ask", typed=typed)
    assert result.exit_code == 0, result.output
    own = {"body.mass", "rear_tyre.radius", "first.pinion"}
    gaps = {"two_speed.shoe_1.gap", "two_speed.shoe_2.gap"}
    assert layshaft.measured_in("mine.toml") == own | gaps
    assert layshaft.read_car("mine.toml") == layshaft.Car(
        {
            "body.mass": 2.6,
            "rear_tyre.radius": 35e-3,
            "first.pinion": 16,
            "two_speed.gap": "4.55 mm",
        }
    )
    assert "5 of its settings are yours" in result.stdout
    assert "Engine: " in result.stdout  # what follows from the set-up


def test_the_same_number_as_the_demo_cars_counts_as_answered() -> None:
    pinion = str(DEMO.first.pinion)
    assert call("mine.toml", "--ask", typed=answers(first__pinion=pinion)).exit_code == 0
    assert layshaft.measured_in("mine.toml") == {"first.pinion"}


def test_a_marked_line_reads_once_its_mark_is_taken_away() -> None:
    assert call("mine.toml").exit_code == 0
    text = Path("mine.toml").read_text(encoding="utf-8")
    assert layshaft.measured_in("mine.toml") == set()
    Path("mine.toml").write_text(text.replace("#= ", ""), encoding="utf-8")
    assert layshaft.measured_in("mine.toml") == ALL
    assert layshaft.read_car("mine.toml") == DEMO


def test_a_value_behind_a_mark_that_is_not_the_demo_cars_is_warned_of() -> None:
    assert call("mine.toml").exit_code == 0
    text = Path("mine.toml").read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.startswith("#= mass = "))
    Path("mine.toml").write_text(text.replace(line, '#= mass = "19 kg"'), encoding="utf-8")
    with pytest.warns(UserWarning, match=r"body\.mass = 19\.0 stands behind #= and is not read"):
        assert layshaft.read_car("mine.toml") == DEMO
    teeth = DEMO.first.pinion + 2
    pinion = f"#= pinion = {DEMO.first.pinion}"
    other = text.replace(line, '#= mass = "19 kg"').replace(pinion, f"#= pinion = {teeth}", 1)
    Path("mine.toml").write_text(other, encoding="utf-8")
    with pytest.warns(
        UserWarning, match=rf"first\.pinion = {teeth} and 1 more stand behind #= and are"
    ):
        assert layshaft.measured_in("mine.toml") == set()
    Path("mine.toml").write_text(text.replace(line, 'mass = "19 kg"'), encoding="utf-8")
    assert layshaft.read_car("mine.toml").body.mass == 19.0


def test_settings_of_the_command_line_are_not_asked_for_again() -> None:
    words = ("mine.toml", "--ask", "--set", "body.mass=2.6kg", "--set", "two_speed.gap=4.5mm")
    typed = [""] * (len(QUESTIONS) - 2)
    result = call(*words, typed=typed)
    assert result.exit_code == 0, result.output
    assert "two_speed.gap [mm]:" not in result.stdout
    gaps = {"two_speed.shoe_1.gap", "two_speed.shoe_2.gap"}
    assert layshaft.measured_in("mine.toml") == {"body.mass"} | gaps


def test_the_nut_is_asked_for_with_its_clutch_alone() -> None:
    typed = answers(clutch__design="thrown_shoes", two_speed__slug_mass="1.2")
    result = call("mine.toml", "--ask", typed=typed)
    assert result.exit_code == 0, result.output
    assert "clutch.axial.nut_turns" not in result.stdout
    assert layshaft.read_car("mine.toml")["two_speed.slug_mass"] == 1.2e-3


def test_a_bad_answer_is_asked_again_with_setting_value_and_bound() -> None:
    typed = answers(two_speed__gap="46")
    place = typed.index("46")
    typed[place : place + 1] = ["46", "4,6", "4.6 g", "4.6"]
    result = call("mine.toml", "--ask", typed=typed)
    assert result.exit_code == 0, result.output
    bounds = "two_speed.gap = 46 must be from 1 mm to 10 mm"
    assert bounds in result.stderr
    assert "4,6 must be from 1 mm to 10 mm (write 4.6 for 4,6" in result.stderr
    assert 'two_speed.gap = 4.6 g must be from 1 mm to 10 mm ("g" is no' in result.stderr
    assert layshaft.read_car("mine.toml")["two_speed.gap"] == 4.6e-3


def test_answers_that_do_not_fit_together_are_asked_for_once_more() -> None:
    bad = {"first__pinion": "24", "first__spur": "40", "second__pinion": "20"}
    second = answers(first__pinion="17", first__spur="50")
    result = call("mine.toml", "--ask", typed=[*answers(**bad), *second])
    assert result.exit_code == 0, result.output
    assert "do not fit together: first.spur / pinion" in result.stderr
    assert "now 20, your answer" in result.stdout
    read = layshaft.read_car("mine.toml")
    assert (read.first.pinion, read.first.spur, read.second.pinion) == (17, 50, 20)


@pytest.mark.parametrize("many", [0, 1, 9])
def test_where_the_answers_end_too_soon_nothing_is_written(many: int) -> None:
    result = call("mine.toml", "--ask", typed=["2.6 kg", *[""] * many][:many])
    assert result.exit_code == 130
    assert "Nothing was written." in result.stderr
    assert list(Path().iterdir()) == []


def test_on_a_terminal_it_asks_and_an_interrupt_leaves_nothing() -> None:
    try:
        ours, theirs = os.openpty()
    except OSError as fault:
        pytest.skip(f"no terminal to be had: {fault}")
    # A shell may have had the interrupt ignored, and what it starts too.
    code = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
    code += "from layshaft.cli.main import main; main()"
    words = [sys.executable, "-c", code, "car", "mine.toml"]
    with subprocess.Popen(words, stdin=theirs, stdout=theirs, stderr=theirs) as process:
        seen = b""
        while b"body.mass [g]:" not in seen:
            seen += os.read(ours, 1024)
        process.send_signal(signal.SIGINT)
        try:
            assert process.wait(timeout=60) == 130
        finally:
            process.kill()
    os.close(ours)
    os.close(theirs)
    assert list(Path().iterdir()) == []


def test_a_file_that_is_there_is_refused_before_anything_is_asked() -> None:
    Path("mine.toml").write_text("[body]\n", encoding="utf-8")
    result = call("mine.toml", "--ask", typed=answers())
    assert result.exit_code == 2
    assert result.stdout == ""
    assert Path("mine.toml").read_text(encoding="utf-8") == "[body]\n"
    assert call("mine.toml", "--ask", "--replace", typed=answers()).exit_code == 0


def test_marks_of_a_file_that_one_goes_on_from_are_kept() -> None:
    assert call("old.toml", "--set", "first.pinion=16").exit_code == 0
    assert call("new.toml", "--car", "old.toml", "--set", "body.mass=2.6kg").exit_code == 0
    assert layshaft.measured_in("new.toml") == {"first.pinion", "body.mass"}
    both = {"first.pinion": 16, "body.mass": 2.6}
    assert layshaft.read_car("new.toml") == layshaft.Car(both)


def test_what_was_learned_is_the_cars_own() -> None:
    assert call("old.toml", "--set", "first.pinion=17").exit_code == 0
    words = ("learn", "--car", "old.toml", "--shift", "4.6mm=70km/h", "--setup", "new.toml")
    result = CliRunner().invoke(app, [*words, "--unknown", "two_speed.spring_rate"])
    assert result.exit_code == 0, result.output
    assert layshaft.measured_in("new.toml") >= {"first.pinion", "two_speed.spring_rate"}
    assert "two_speed.pivot_radius" not in layshaft.measured_in("new.toml")


@pytest.mark.parametrize("path", BY_PATH)
def test_the_own_value_as_it_is_shown_is_an_answer(path: str) -> None:
    question = BY_PATH[path]
    changed = DEMO.replace({path: read_answer(question, question.described(DEMO))})
    assert changed == DEMO


def test_a_written_file_that_marks_nothing_says_nothing_of_marks() -> None:
    layshaft.write_car(DEMO, "full.toml", measured=ALL)
    text = Path("full.toml").read_text(encoding="utf-8")
    assert "#=" not in text
    assert tomllib.loads(text)["first"]["pinion"] == DEMO.first.pinion


def test_an_unknown_setting_cannot_have_been_measured() -> None:
    with pytest.raises(ValueError, match=r"two_sped\.gap: the nearest known name is two_speed.gap"):
        layshaft.write_car(DEMO, "full.toml", measured=["two_sped.gap"])
    assert list(Path().iterdir()) == []
