"""Commands for measuring: how each setting is got, what a car's come to, what they cost."""

from typing import TYPE_CHECKING, Annotated

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.options import (
    USUAL_DISTANCE,
    USUAL_START,
    CarFile,
    Distance,
    Lap,
    LongestTime,
    Settings,
    StartSpeed,
    echo_caution,
    plain_errors,
    print_rows,
    read_present,
    set_paths,
    way_of,
)
from layshaft.cli.say import say

if TYPE_CHECKING:
    from layshaft.runs.car_facts import Facts


def sheet(
    names: Annotated[
        list[str] | None,
        typer.Argument(metavar="[NAME]...", help="Settings or parts, such as two_speed; else all."),
    ] = None,
) -> None:
    """Say how each setting is measured, how well, and how far a guess may be out."""
    with plain_errors():
        from layshaft.reports import measuring_report

        say(*measuring_report.sheet_sentences(names or []))


def facts(
    car: CarFile = None,
    settings: Settings = None,
    at: Annotated[
        str | None,
        typer.Option(
            metavar="SPEEDS",
            help="Engine speeds for the car speeds, such as 20,30krpm; else most power and limit.",
        ),
    ] = None,
    track: Annotated[
        str,
        typer.Option(
            metavar="TRACK", help="Track on which the tank is emptied: file, club or fast."
        ),
    ] = "club",
) -> None:
    """Say what follows from a set-up: power, clutch, speeds in each gear, minutes of a tank."""
    with plain_errors():
        from layshaft.cli import typed_values

        asked = Asked()
        present = read_present(car, settings, asked)
        speeds = None if at is None else [_speed(str(each)) for each in typed_values.read_list(at)]
        found = layshaft.facts(present, engine_speeds=speeds, track=track)
        asked.echo()
        tell_facts(found)
        echo_caution(present)


def tell_facts(found: "Facts") -> None:
    """Print what follows from a set-up."""
    from layshaft.reports import facts_report

    say(*facts_report.facts_sentences(found))
    print_rows(facts_report.gear_rows(found))


def _speed(text: str) -> float:
    from layshaft.cli import typed_values

    return typed_values.measured("--at", text, "rad/s")


def doubts(
    car: CarFile = None,
    settings: Settings = None,
    measured: Annotated[
        list[str] | None,
        typer.Option(metavar="PATH", help="Take it as measured too; repeatable."),
    ] = None,
    guessed: Annotated[
        list[str] | None,
        typer.Option(metavar="PATH", help="Take it as a guess though the file has it; repeatable."),
    ] = None,
    of: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATH",
            help="A setting to look at; repeatable. Else all; of laps the ten that launches name.",
        ),
    ] = None,
    goal: Annotated[
        str, typer.Option(metavar="GOAL", help="As for recommend, such as shift-at=60km/h.")
    ] = "quickest",
    distance: Distance = USUAL_DISTANCE,
    start_speed: StartSpeed = USUAL_START,
    longest_time: LongestTime = None,
    track: Lap = None,
) -> None:
    """Say which measurement would sharpen the advice on the gap most, and how it is made."""
    with plain_errors():
        from layshaft.cli.wishes import read_goal
        from layshaft.reports import doubts_report
        from layshaft.setup import field_table

        asked = Asked()
        present = read_present(car, settings, asked)
        known = field_table.singles([*set_paths(settings), *(measured or [])])
        if car is not None:
            known |= layshaft.measured_in(car)
        known -= field_table.singles(guessed or [])
        for option, paths in (("--measured", measured), ("--guessed", guessed), ("--of", of)):
            for path in paths or []:
                asked.note(option, path)
        way = way_of(asked, distance, start_speed, longest_time, track)
        wanted = read_goal(goal, way, None, asked)
        if track is not None:
            say("Laps take their time: a minute or more.", err=True)
        found = layshaft.doubts(present, measured=known, settings=of or None, goal=wanted)
        asked.echo()
        say(*doubts_report.doubts_sentences(found))
        if all(doubt.is_measured for doubt in found.ranked):
            say("What is no measured number in the file, name it: --guessed PATH.")
        print_rows(doubts_report.doubts_rows(found))
        echo_caution(present)
