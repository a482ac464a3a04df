"""The verb that prints the card of a set-up and of an advice for it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.file_names import checked_files
from layshaft.cli.options import (
    USUAL_DISTANCE,
    USUAL_START,
    CarFile,
    Dark,
    Distance,
    Lap,
    LearnedFile,
    LongestTime,
    Settings,
    StartSpeed,
    echo_caution,
    plain_errors,
    read_present,
    save_picture,
    way_of,
)
from layshaft.cli.wishes import read_choices, read_goal

if TYPE_CHECKING:
    from layshaft.setup.car import Car

_USUAL = "layshaft-card.pdf"


def card(
    car: CarFile = None,
    settings: Settings = None,
    learned: LearnedFile = None,
    goal: Annotated[
        str | None,
        typer.Option(metavar="GOAL", help="Also advice, as for `recommend`: quickest and so on."),
    ] = None,
    over: Annotated[
        list[str] | None,
        typer.Option(metavar="PATH=FROM:TO", help="What may change, as for `recommend`."),
    ] = None,
    distance: Distance = USUAL_DISTANCE,
    start_speed: StartSpeed = USUAL_START,
    longest_time: LongestTime = None,
    track: Lap = None,
    title: Annotated[
        str | None, typer.Option(metavar="TEXT", help="Such as day and track; else the file.")
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="Picture file, or folder for it.")
    ] = Path(_USUAL),
    dark: Dark = False,
) -> None:
    """Print the set-up, and advice for it, as one A6 page for the pit: PDF, SVG or PNG."""
    with plain_errors():
        from layshaft.plots.card import setup_card

        read = {"--car": car, "--learned": learned, "--track": track}
        picture = checked_files(out, _USUAL, read=read)
        known = None if learned is None else layshaft.read_learned(learned)
        if known is not None and (car is not None or settings):
            raise ValueError("--learned brings its own car: leave out --car and --set")
        if goal is None and (over or track is not None):
            option = f"--over {over[0]}" if over else f"--track {track}"
            raise ValueError(f"{option}: there is no --goal that it could belong to")
        asked = Asked()
        present = read_present(car, settings, asked) if known is None else known.car
        advice = None
        if goal is not None:
            way = way_of(asked, distance, start_speed, longest_time, track)
            wanted = read_goal(goal, way, None, asked)
            choices = read_choices(over, asked)
            advice = layshaft.recommend(present, choices, goal=wanted, learned=known)
        asked.echo()
        heading = _title(car or learned, present, title)
        page = setup_card(present, advice, title=heading, theme="dark" if dark else "light")
        save_picture(page, picture)
        echo_caution(present)


def _title(file: Path | None, present: "Car", title: str | None) -> str:
    if title is not None:
        return title
    return "Demo car, invented" if present == layshaft.demo_car() or file is None else file.stem
