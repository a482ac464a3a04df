"""The verbs that write into the logbook: set-ups, tracks, days, runs, lists, advice."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.log_options import USUAL_BOOK, Book, DayOf, Note, book_at, day_of
from layshaft.cli.options import (
    CarFile,
    LogError,
    RunLog,
    Settings,
    once,
    plain_errors,
    read_present,
)
from layshaft.cli.say import say
from layshaft.cli.wishes import read_run_log

if TYPE_CHECKING:
    from layshaft.fitting.observations import Observation
    from layshaft.logbook.book import Logbook

SetupName = Annotated[str, typer.Argument(metavar="SETUP", help="Name of the set-up.")]


def add_setup(
    name: SetupName, car: CarFile = None, settings: Settings = None, book: Book = USUAL_BOOK
) -> None:
    """Keep a set-up as it is, under a name of its own."""
    with plain_errors():
        asked = Asked()
        present = read_present(car, settings, asked)
        with book_at(book, create=True) as season:
            season.add_setup(name, present)
        asked.echo()
        say(f"Set-up {name.strip()} is in {book}.")


def add_track(
    track: Annotated[str, typer.Argument(metavar="TRACK", help="Track file; or club, or fast.")],
    name: Annotated[str, typer.Option(help="Under this name; else its own.")] = "",
    book: Book = USUAL_BOOK,
) -> None:
    """Keep a track."""
    with plain_errors(), book_at(book, create=True) as season:
        from layshaft.tracks.track_file import DEMO_TRACKS

        own = track if track in DEMO_TRACKS else ""
        say(f"Track {season.add_track(track, name or own)} is in {book}.")


def add_day(
    date: Annotated[str, typer.Argument(metavar="DATE", help="Such as 2026-05-02.")],
    track: Annotated[
        str | None, typer.Option(metavar="NAME", help="A track of the logbook.")
    ] = None,
    air: Annotated[
        str | None, typer.Option(metavar="TEMPERATURE", help="Of the air: 24degC.")
    ] = None,
    surface: Annotated[
        str | None, typer.Option(metavar="TEMPERATURE", help="Of the track's surface: 31degC.")
    ] = None,
    pressure: Annotated[
        str | None,
        typer.Option(metavar="PRESSURE", help="At the track, not reduced to sea level: 985hPa."),
    ] = None,
    humidity: Annotated[
        str | None, typer.Option(metavar="SHARE", help="Of the air, relative: 55%.")
    ] = None,
    note: Annotated[
        str | None, typer.Option(metavar="TEXT", help="Anything else, in one line.")
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Add to a day that is already there.")
    ] = False,
    book: Book = USUAL_BOOK,
) -> None:
    """Begin a day, with its track and weather."""
    with plain_errors():
        from layshaft.cli.typed_values import measured

        weather: dict[str, Any] = {}
        for name, option, text, unit in (
            ("air_temperature", "--air", air, "K"),
            ("track_temperature", "--surface", surface, "K"),
            ("air_pressure", "--pressure", pressure, "Pa"),
            ("relative_humidity", "--humidity", humidity, "1"),
        ):
            if text is not None:
                measured(option, text, unit)
                weather[name] = text
        with book_at(book, create=True) as season:
            season.add_day(date, track=track, note=note, replace=replace, **weather)
        say(f"Day {date} is in {book}.")


def add_run(
    setup: SetupName,
    day: DayOf = None,
    shift: Annotated[
        list[str] | None,
        typer.Option(metavar="SPEED", help="Shift heard: 67km/h, or 4.6mm=56km/h at another gap."),
    ] = None,
    lap: Annotated[
        list[str] | None,
        typer.Option(metavar="TIME", help="Lap time on the day's track: 16.2s, or 4.6mm=16.3s."),
    ] = None,
    time: Annotated[
        list[str] | None,
        typer.Option(metavar="LENGTH=TIME", help="Time from rest: 30m=2.35s."),
    ] = None,
    changed: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATH=VALUE", help="A setting that differed from the set-up; repeatable."
        ),
    ] = None,
    log: RunLog = None,
    log_error: LogError = None,
    note: Note = "",
    book: Book = USUAL_BOOK,
) -> None:
    """Keep a run: with which set-up, and what was heard, timed and logged."""
    with plain_errors():
        from layshaft.cli.typed_values import read_setting

        changes = once("--changed", map(read_setting, changed or []))
        with book_at(book) as season:
            date = day_of(season, day)
            seen = [_shift(text, changes) for text in shift or []]
            seen += [_lap(text, changes, season, date) for text in lap or []]
            seen += [_time(text, changes) for text in time or []]
            logs = read_run_log(log, log_error, changes)
            number = season.add_run(date, setup, [*seen, *logs], note=note)
        told = f"{_count(len(seen), 'thing')} heard and timed"
        also = f", a log of {len(logs[0].values)} samples" if logs else ""
        say(f"Run {number} on {date} with {setup}: {told}{also}.")


def import_list(
    file: Annotated[Path, typer.Argument(metavar="LIST", help="Observations as CSV.")],
    setup: Annotated[str, typer.Option("--setup", metavar="NAME", help="Set-up of the runs.")],
    day: DayOf = None,
    book: Book = USUAL_BOOK,
) -> None:
    """Take in a phone's list of observations, each line a run; lines taken before are left out."""
    with plain_errors(), book_at(book) as season:
        date = day_of(season, day)
        numbers = season.import_list(file, date, setup)
        which = f", {numbers[0]} to {numbers[-1]}" if len(numbers) > 1 else ""
        say(f"{_count(len(numbers), 'new run')} on {date} with {setup}{which}.")


def add_advice(
    setup: SetupName,
    said: Annotated[str, typer.Argument(metavar="ADVICE", help="In a sentence.")],
    settings: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="PATH=VALUE", help="A setting to make; repeatable."),
    ] = None,
    day: DayOf = None,
    book: Book = USUAL_BOOK,
) -> None:
    """Keep what was advised; `recommend --book` keeps its own."""
    with plain_errors():
        from layshaft.cli.typed_values import read_setting

        wanted = once("--set", map(read_setting, settings or []))
        with book_at(book) as season:
            number = season.add_advice(day_of(season, day), setup, said, wanted)
        say(f"Advice {number} is in {book}; `layshaft log judge {number} yes` or `no` when tried.")


def judge(
    number: Annotated[int, typer.Argument(help="Of the advice.")],
    helped: Annotated[str, typer.Argument(metavar="yes|no", help="Whether it helped.")],
    note: Note = "",
    book: Book = USUAL_BOOK,
) -> None:
    """Note whether an advice helped."""
    with plain_errors(), book_at(book) as season:
        if helped not in ("yes", "no"):
            raise ValueError(f"helped {helped}: must be yes or no")
        season.judge(number, helped == "yes", note=note)
        say(f"Advice {number}: {'it helped' if helped == 'yes' else 'it did not help'}.")


def strike(
    number: Annotated[int, typer.Argument(help="Of the run.")], book: Book = USUAL_BOOK
) -> None:
    """Strike out a run that was noted wrongly."""
    with plain_errors(), book_at(book) as season:
        season.remove_run(number)
        say(f"Run {number} is struck out.")


def _shift(text: str, changes: dict[str, Any]) -> "Observation":
    at_gap, speed = _at_gap("--shift", text, "m/s")
    return layshaft.observe("shift_speed", speed, changes=changes | at_gap)


def _lap(text: str, changes: dict[str, Any], season: "Logbook", date: str) -> "Observation":
    name = season.day(date).track
    if name is None:
        raise ValueError(
            f"--lap {text}: {date} has no track; layshaft log add day {date} --track NAME --replace"
        )
    at_gap, time = _at_gap("--lap", text, "s")
    track = season.track(name)
    return layshaft.observe(
        "lap_time", time, changes=changes | at_gap, track=track, sample_spacing=0.0
    )


def _time(text: str, changes: dict[str, Any]) -> "Observation":
    from layshaft.cli.typed_values import measured

    distance, _, time = (part.strip() for part in text.partition("="))
    measured("--time", distance, "m")
    measured("--time", time, "s")
    return layshaft.observe("time", time, changes=changes, distance=distance)


def _at_gap(option: str, text: str, unit: str) -> tuple[dict[str, Any], str]:
    """Part `GAP=VALUE`, or a value at the set-up's own gap."""
    from layshaft.cli.typed_values import measured

    gap, equals, value = (part.strip() for part in text.rpartition("="))
    measured(option, value, unit)
    if not equals:
        return {}, value
    measured(option, gap, "m")
    return {"two_speed.gap": gap}, value


def _count(number: int, what: str) -> str:
    return f"{number or 'no'} {what}{'' if number == 1 else 's'}"
