"""Commands for measuring: how each setting is got, and what follows from those of a car."""

from typing import TYPE_CHECKING, Annotated

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.options import (
    CarFile,
    Settings,
    echo_caution,
    plain_errors,
    print_rows,
    read_present,
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
        str, typer.Option(metavar="TRACK", help="Whose laps empty the tank; file, club or fast.")
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
