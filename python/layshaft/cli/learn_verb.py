"""`layshaft learn`: what the car did, and what that says of it."""

from pathlib import Path
from typing import Annotated

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.file_names import check_ending, checked_files
from layshaft.cli.options import (
    CarFile,
    Dark,
    Lap,
    LogError,
    Picture,
    Replace,
    RunLog,
    Settings,
    echo_caution,
    plain_errors,
    print_rows,
    read_present,
    refuse_present,
    save_picture,
    set_paths,
)
from layshaft.cli.say import say
from layshaft.cli.wishes import (
    USUAL_ERROR,
    read_evidence,
    read_unknowns,
)


def learn(
    car: CarFile = None,
    settings: Settings = None,
    shift: Annotated[
        list[str] | None,
        typer.Option(
            metavar="GAP=SPEED",
            help="Shift heard at a gap: 4.6mm=56km/h, engine at its peak; repeatable.",
        ),
    ] = None,
    error: Annotated[
        str, typer.Option(metavar="SPEED", help="Standard error of a shift speed heard.")
    ] = USUAL_ERROR,
    lap: Annotated[
        list[str] | None,
        typer.Option(
            metavar="GAP=TIME", help="Lap time at a gap on --track, 4.6mm=21.7s; repeatable."
        ),
    ] = None,
    track: Lap = None,
    seen: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Table of observations (CSV).")
    ] = None,
    log: RunLog = None,
    log_error: LogError = None,
    unknown: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATH",
            help="Field to learn, also PATH=DOUBT; else rate and reading of the"
            " shoe spring; repeatable.",
        ),
    ] = None,
    learned: Annotated[
        Path, typer.Option(metavar="FILE", help="Where to write what was learned.")
    ] = Path("learned.json"),
    setup: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also write the learned car's set-up file.")
    ] = None,
    replace: Replace = False,
    out: Picture = None,
    dark: Dark = False,
) -> None:
    """Fit the car to what it did: shift speeds heard, lap and other times, top speed, a log."""
    with plain_errors():
        from layshaft.reports import learned_report

        check_ending("--learned", learned, ".json")
        picture = checked_files(
            out,
            "layshaft-learn.png",
            read={"--car": car, "--seen": seen, "--log": log},
            written={"--learned": learned},
            replaced={"--setup": setup},
            dark=dark,
        )
        refuse_present(setup, replace=replace)
        asked = Asked()
        present = read_present(car, settings, asked)
        evidence = read_evidence(shift, error, seen, log, log_error, lap or [], track, asked)
        found = layshaft.learn(present, evidence, *read_unknowns(present, unknown, asked))
        asked.echo()
        say(*learned_report.learned_sentences(found))
        print_rows(learned_report.seen_rows(found))
        say(learned_report.suggestion_sentence(layshaft.suggest(found)))
        found.save(learned)
        say(f"Learned: {learned}; `layshaft recommend --learned {learned}` goes on from it.")
        if setup is not None:
            measured = set() if car is None else set(layshaft.measured_in(car))
            measured |= {*set_paths(settings), *(each.path for each in found.unknowns)}
            layshaft.write_car(found.car, setup, measured=measured)
            say(f"Set-up: {setup}")
        if picture is not None:
            from layshaft.plots.learned_plots import learned_figure

            save_picture(learned_figure(found, theme="dark" if dark else "light"), picture)
        echo_caution(present)
