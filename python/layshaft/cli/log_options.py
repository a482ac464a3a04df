"""What the verbs of the logbook share: its file, the day meant, advice that is kept."""

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

import layshaft
from layshaft.cli.say import say

if TYPE_CHECKING:
    from layshaft.advice.recommendation import Recommendation
    from layshaft.logbook.book import Logbook

USUAL_BOOK = Path("season.db")
Book = Annotated[Path, typer.Option("--book", metavar="FILE", help="The logbook.")]
DayOf = Annotated[
    str | None, typer.Option("--day", metavar="DATE", help="Such as 2026-05-02; else the last one.")
]
Note = Annotated[str, typer.Option(metavar="TEXT", help="Anything else, in one line.")]


@contextlib.contextmanager
def book_at(file: Path, *, create: bool = False) -> Iterator["Logbook"]:
    """Open the logbook for a verb; say so where it is begun."""
    if not file.exists() and not create:
        raise ValueError(f"--book {file}: there is no logbook; `layshaft log add` begins one")
    is_new = not file.exists()
    with layshaft.open_logbook(file, create=create) as book:
        if is_new:
            say(f"A new logbook: {file}")
        yield book


def day_of(book: "Logbook", given: str | None) -> str:
    """Return the day that is meant: the given one, else the last of the logbook."""
    if given is not None:
        return given
    days = book.days()
    if not days:
        raise ValueError("the logbook has no day yet: layshaft log add day 2026-05-02")
    return days[-1].date


def keep_advice(file: Path, advice: "Recommendation", said: str) -> None:
    """Keep an advice in the logbook, for the set-up of its last run and that run's day."""
    with book_at(file) as book:
        runs = book.runs()
        if not runs:
            raise ValueError(f"--book {file}: has no run yet that the advice could be for")
        settings = advice.settings if advice.is_worth_it else {}
        number = book.add_advice(runs[-1].date, runs[-1].setup, said, settings)
        say(f"Advice {number} in {file}; `layshaft log judge {number} yes` or `no` when tried.")
