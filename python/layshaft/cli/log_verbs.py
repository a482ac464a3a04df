"""The verbs that read the logbook, and the list of all its verbs."""

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

import layshaft
from layshaft.cli import log_add_verbs
from layshaft.cli.asked import Asked
from layshaft.cli.file_names import check_ending, check_written
from layshaft.cli.log_options import USUAL_BOOK, Book, DayOf, book_at
from layshaft.cli.options import (
    USUAL_DISTANCE,
    USUAL_START,
    Distance,
    Lap,
    LongestTime,
    Replace,
    StartSpeed,
    echo_caution,
    plain_errors,
    print_rows,
    refuse_present,
    way_of,
)
from layshaft.cli.say import say
from layshaft.cli.wishes import read_unknowns

_PLAIN: dict[str, Any] = {"no_args_is_help": True, "rich_markup_mode": None}
app = typer.Typer(help="Keep a season's logbook, and learn from all of its days.", **_PLAIN)
_add = typer.Typer(help="Add a set-up, a track, a day, a run or an advice.", **_PLAIN)
app.add_typer(_add, name="add")

_KINDS = ("runs", "days", "setups", "tracks", "advice")


@app.command("list")
def listed(
    what: Annotated[
        str, typer.Argument(metavar="WHAT", help="runs, days, setups, tracks or advice.")
    ] = "runs",
    day: DayOf = None,
    book: Book = USUAL_BOOK,
) -> None:
    """List what is in the logbook: of one day, or of all."""
    with plain_errors(), book_at(book) as season:
        from layshaft.reports import logbook_report

        if what not in _KINDS:
            raise ValueError(f"WHAT {what}: must be {', '.join(_KINDS[:-1])} or {_KINDS[-1]}")
        if day is not None and what not in ("runs", "advice"):
            raise ValueError(f"--day {day}: {what} are listed for the season; leave it out")
        if what == "runs":
            runs = season.runs(day)
            print_rows(logbook_report.run_rows(runs)) if runs else say("No runs yet.")
        elif what == "days":
            days = season.days()
            print_rows(logbook_report.day_rows(days)) if days else say("No days yet.")
        elif what == "advice":
            advice = season.advice(day)
            print_rows(logbook_report.advised_rows(advice)) if advice else say("No advice yet.")
        else:
            names = season.setups() if what == "setups" else season.tracks()
            say(*(names or [f"No {what} yet."]))


@app.command()
def compare(
    first: Annotated[str, typer.Argument(metavar="SETUP", help="Name of the one set-up.")],
    second: Annotated[str, typer.Argument(metavar="SETUP", help="Name of the other.")],
    distance: Distance = USUAL_DISTANCE,
    start_speed: StartSpeed = USUAL_START,
    longest_time: LongestTime = None,
    track: Lap = None,
    book: Book = USUAL_BOOK,
) -> None:
    """Show in what two set-ups differ, and what each difference is worth."""
    with plain_errors():
        from layshaft.reports import logbook_report

        asked = Asked()
        way = way_of(asked, distance, start_speed, longest_time, track)
        with book_at(book) as season:
            one, other = season.setup(first), season.setup(second)
        found = layshaft.compare_setups(one, other, **way)
        asked.echo()
        if found.differences:
            print_rows(logbook_report.comparison_rows(found, first, second))
        else:
            say(f"{first} and {second} are alike.")
        echo_caution(other)


@app.command()
def learn(
    unknown: Annotated[
        list[str] | None,
        typer.Option(metavar="PATH", help="Field to learn, also PATH=DOUBT; as for `learn`."),
    ] = None,
    noise: Annotated[
        str, typer.Option(metavar="SHARE", help="How far a day deviates, in first doubts.")
    ] = "25 %",
    drift: Annotated[
        str, typer.Option(metavar="SHARE", help="How far the car drifts from day to day.")
    ] = "10 %",
    next_day: Annotated[
        bool, typer.Option("--next-day", help="The car on a day to come, not on the last.")
    ] = False,
    learned: Annotated[
        Path, typer.Option(metavar="FILE", help="Where to write what was learned.")
    ] = Path("learned.json"),
    book: Book = USUAL_BOOK,
) -> None:
    """Learn the car from all days: what it is, and how each day was."""
    with plain_errors():
        from layshaft.reports import logbook_report

        check_ending("--learned", learned, ".json")
        check_written({"--book": book}, {"--learned": learned}, {})
        asked = Asked()
        with book_at(book) as season:
            runs = [run for run in season.runs() if run.seen or run.logs]
            present = season.setup(runs[-1].setup) if runs else layshaft.demo_car()
            wanted = read_unknowns(present, unknown, asked)
            found = layshaft.learn_season(season, *wanted, noise=noise, drift=drift)
        asked.echo()
        say(*logbook_report.season_sentences(found))
        print_rows(logbook_report.season_rows(found))
        car = found.next_day if next_day else found.learned
        car.save(learned)
        which = "a day to come" if next_day else found.days[-1].date
        say(f"Learned: {learned}, the car of {which}; `layshaft recommend --learned {learned}`.")
        echo_caution(car.car)


@app.command("export")
def exported(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Ends in .csv or .parquet.")],
    book: Book = USUAL_BOOK,
) -> None:
    """Write everything that was heard, timed and logged as one table."""
    with plain_errors():
        check_written({"--book": book}, {"FILE": file}, {})
        with book_at(book) as season:
            layshaft.export_season(season, file)
        say(f"Table: {file}")


@app.command("write")
def written(
    name: Annotated[str, typer.Argument(metavar="SETUP", help="Name of the set-up.")],
    file: Annotated[Path, typer.Argument(help="File to write.")] = Path("car.toml"),
    replace: Replace = False,
    book: Book = USUAL_BOOK,
) -> None:
    """Write a set-up of the logbook as a file again."""
    with plain_errors():
        check_written({"--book": book}, {"FILE": file}, {})
        refuse_present(file, replace=replace)
        with book_at(book) as season:
            layshaft.write_car(season.setup(name), file)
        say(f"Set-up: {file}")


_ADDING: dict[str, Callable[..., None]] = {
    "setup": log_add_verbs.add_setup,
    "track": log_add_verbs.add_track,
    "day": log_add_verbs.add_day,
    "run": log_add_verbs.add_run,
    "advice": log_add_verbs.add_advice,
}
_OTHERS: dict[str, Callable[..., None]] = {
    "import": log_add_verbs.import_list,
    "judge": log_add_verbs.judge,
    "strike": log_add_verbs.strike,
}
for _group, _verbs in ((_add, _ADDING), (app, _OTHERS)):
    for _name, _verb in _verbs.items():
        _group.command(_name)(_verb)
