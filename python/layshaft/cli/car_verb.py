"""The command `car`: a first set-up file, from answers to a few questions."""

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.file_names import check_written
from layshaft.cli.measuring_verbs import tell_facts
from layshaft.cli.options import (
    INTERRUPTED,
    CarFile,
    Replace,
    Settings,
    plain_errors,
    read_present,
    refuse_present,
    set_paths,
)
from layshaft.cli.say import say

if TYPE_CHECKING:
    from layshaft.setup.car import Car
    from layshaft.setup.field_table import Value
    from layshaft.setup.questions import Question


def car(
    file: Annotated[Path, typer.Argument(help="File to write.")] = Path("car.toml"),
    car: CarFile = None,
    settings: Settings = None,
    ask: Annotated[
        bool | None,
        typer.Option(
            "--ask/--no-ask",
            help="Ask even without a terminal, or never; by default only on a terminal.",
        ),
    ] = None,
    replace: Replace = False,
    lines: Annotated[
        bool, typer.Option("--lines", help="One setting a line in SI units, for the C interface.")
    ] = False,
) -> None:
    """Begin a set-up file from a few questions; what is not known is marked as the demo car's."""
    with plain_errors():
        check_written({"--car": car}, {}, {"FILE": file})
        refuse_present(file, replace=replace)
        asked = Asked()
        present = read_present(car, settings, asked)
        measured = set(set_paths(settings))
        if car is not None:
            measured |= layshaft.measured_in(car)
        asked.echo()
        if _is_to_ask(ask, is_new=car is None and not lines):
            present, answered = _answered(present, measured)
            measured |= answered
        if lines:
            from layshaft.setup.setup_writing import write_lines

            write_lines(present, file)
            say(f"Set-up: {file}.")
            return
        layshaft.write_car(present, file, measured=measured)
        count = len(layshaft.measured_in(file))
        say(
            f"Set-up: {file}. {count} of its settings are yours; the others, behind #=, are the"
            f" demo car's and invented: `layshaft doubts --car {file}` says which to measure first."
        )
        tell_facts(layshaft.facts(present))


def _is_to_ask(ask: bool | None, *, is_new: bool) -> bool:
    return ask if ask is not None else is_new and sys.stdin.isatty() and sys.stdout.isatty()


def _answered(present: "Car", measured: Iterable[str]) -> "tuple[Car, set[str]]":
    """Ask until the answers make a car; return it, and the paths of what was answered."""
    from layshaft.setup import field_table
    from layshaft.setup.questions import QUESTIONS

    known = field_table.singles(measured)
    open_ones = [each for each in QUESTIONS if not field_table.singles([each.path]) <= known]
    say("Enter alone keeps what stands there; Ctrl-C ends it, and nothing is written.")
    answers: dict[str, Value] = {}
    while True:
        answers |= _round(open_ones, present, answers)
        try:
            return present.replace(answers), set(answers)
        except ValueError as error:
            say(f"These do not fit together: {error}. Once more:", err=True)


def _round(
    questions: "list[Question]", present: "Car", before: "dict[str, Value]"
) -> "dict[str, Value]":
    """Ask each question once."""
    from layshaft.setup.questions import is_asked

    answers = dict(before)
    for number, question in enumerate(questions, 1):
        choices = {path: value for path, value in answers.items() if isinstance(value, str)}
        if is_asked(question, present.replace(choices)):
            own = question.path in before
            shown = question.described(_with(present, question.path, before))
            kept = f"{shown}{', your answer' if own else ''}"
            say(f"{number}/{len(questions)} {question.words}: {question.bounds}; now {kept}.")
            answer = _answer(question)
            if answer is not None:
                answers[question.path] = answer
    return answers


def _with(present: "Car", path: str, answers: "dict[str, Value]") -> "Car":
    """Return the car with one answer; its own where that alone would not fit."""
    try:
        return present.replace({path: answers[path]}) if path in answers else present
    except ValueError:
        return present


def _answer(question: "Question") -> "Value | None":
    """Ask until the answer can be read; nothing for none."""
    from layshaft.setup.questions import read_answer

    unit = f" [{question.unit}]" if question.unit else ""
    while True:
        try:
            text = typer.prompt(f"{question.path}{unit}", default="", show_default=False)
        except typer.Abort:
            say("", "Nothing was written.", err=True)
            raise typer.Exit(INTERRUPTED) from None
        try:
            return read_answer(question, text) if text.strip() else None
        except ValueError as error:
            say(str(error), err=True)
