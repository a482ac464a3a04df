"""Commands for advice: which setting, what meshes, how sure that is."""

from pathlib import Path
from typing import Annotated, Any, Literal

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.file_names import checked_files
from layshaft.cli.log_options import keep_advice
from layshaft.cli.options import (
    USUAL_DISTANCE,
    USUAL_START,
    CarFile,
    Dark,
    Distance,
    Lap,
    LearnedFile,
    LongestTime,
    Picture,
    Settings,
    StartSpeed,
    Table,
    echo_advised,
    echo_caution,
    once,
    plain_errors,
    print_rows,
    read_present,
    save_picture,
    way_of,
)
from layshaft.cli.say import say
from layshaft.cli.wishes import (
    read_choices,
    read_goal,
    read_limit,
    read_spread,
    usual_range,
)

PartsFile = Annotated[
    Path | None, typer.Option("--parts", metavar="FILE", help="Parts at hand; see the README.")
]


def recommend(
    car: CarFile = None,
    settings: Settings = None,
    learned: LearnedFile = None,
    over: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATH=FROM:TO",
            help="What may change, also PATH=VALUE,VALUE,...; repeatable. Else the two-speed gap.",
        ),
    ] = None,
    goal: Annotated[
        list[str] | None,
        typer.Option(
            metavar="GOAL",
            help="quickest, shift-at=SPEED, cool-shoes or cool-clutch; two show the trade-off.",
        ),
    ] = None,
    limit: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME=MOST", help="Such as peak_engine_speed=42krpm; repeatable."),
    ] = None,
    parts: PartsFile = None,
    distance: Distance = USUAL_DISTANCE,
    start_speed: StartSpeed = USUAL_START,
    longest_time: LongestTime = None,
    track: Lap = None,
    within: Annotated[
        str | None, typer.Option(metavar="LOSS", help="Loss too small to matter.")
    ] = None,
    scatter: Annotated[
        str | None,
        typer.Option(
            metavar="GAP",
            help="Standard deviation of the gap, for a mean over it. On a track else 0.05 mm.",
        ),
    ] = None,
    book: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also keep the advice in this logbook.")
    ] = None,
    out: Picture = None,
    dark: Dark = False,
) -> None:
    """Say which setting is best, the turns that lead there, and how sure it is."""
    with plain_errors():
        from layshaft.reports import advice_report, front_report

        read = {"--car": car, "--learned": learned, "--parts": parts, "--track": track}
        picture = checked_files(out, "layshaft-recommend.png", read=read, dark=dark)
        theme: Literal["dark", "light"] = "dark" if dark else "light"
        known = None if learned is None else layshaft.read_learned(learned)
        if known is not None and (car is not None or settings):
            raise ValueError("--learned brings its own car: leave out --car and --set")
        asked = Asked()
        present = read_present(car, settings, asked) if known is None else known.car
        box = None if parts is None else layshaft.read_parts(parts)
        choices = read_choices(over, asked)
        way = way_of(asked, distance, start_speed, longest_time, track)
        limits = once("--limit", (read_limit(text, asked) for text in limit or []))
        names = once("--goal", ((text, text) for text in goal or ["quickest"]))
        wanted = [read_goal(text, way, within, asked) for text in names]
        spread = None if scatter is None else asked.checked("--scatter", scatter, "m")
        if len(wanted) > 1:
            if spread is not None:
                raise ValueError("--scatter: a trade-off takes single runs; give one --goal")
            if book is not None:
                raise ValueError("--book: a trade-off is no advice to keep; give one --goal")
            chosen = usual_range(present) if choices is None else choices
            found = layshaft.trade_off(present, wanted, chosen, limits=limits, parts=box)
            asked.echo()
            say(*front_report.front_sentences(found))
            print_rows(front_report.front_rows(found))
            echo_advised(found.warnings)
            if picture is not None:
                from layshaft.plots.advice_plots import trade_front

                save_picture(trade_front(found, theme=theme), picture)
        else:
            advice = layshaft.recommend(
                present,
                choices,
                goal=wanted[0],
                limits=limits,
                parts=box,
                learned=known,
                scatter=spread,
            )
            asked.echo()
            sentences = advice_report.advice_sentences(advice)
            say(*sentences)
            if book is not None:
                keep_advice(book, advice, sentences[0])
            if advice.is_worth_it:
                echo_advised(advice.warnings)
            if picture is not None:
                from layshaft.plots.advice_plots import plateau_figure

                figure = plateau_figure(advice, theme=theme)
                if figure is not None:
                    save_picture(figure, picture)
        echo_caution(present)


def mesh(
    parts: Annotated[Path, typer.Argument(metavar="PARTS", help="File of the parts at hand.")],
    car: CarFile = None,
    settings: Settings = None,
    at: Annotated[
        str, typer.Option(metavar="SPEEDS", help="Engine speeds for the car speeds.")
    ] = "20,30,40krpm",
    csv: Table = None,
    out: Picture = None,
    dark: Dark = False,
) -> None:
    """List the gears at hand that mesh on one centre distance, and what each would do."""
    with plain_errors():
        from layshaft.cli import typed_values
        from layshaft.cli.typed_values import read_list
        from layshaft.mounting.gear_sets import present_teeth
        from layshaft.reports import gear_report

        picture = checked_files(
            out, "layshaft-mesh.png", csv, read={"PARTS": parts, "--car": car}, dark=dark
        )
        asked = Asked()
        present = read_present(car, settings, asked)
        box = layshaft.read_parts(parts)
        speeds = [typed_values.measured("--at", str(each), "rad/s") for each in read_list(at)]
        chart = layshaft.mesh(present, box, engine_speeds=speeds)
        asked.echo()
        print_rows(gear_report.mesh_rows(chart, present_teeth(present)))
        say(*gear_report.tyre_sentences(layshaft.tyre_pairs(present, box)))
        if csv is not None:
            layshaft.save(chart, csv)
            say(f"Numbers: {csv}")
        if picture is not None:
            from layshaft.plots.gear_plots import gear_speeds

            drawn = gear_speeds(chart, car=present, theme="dark" if dark else "light")
            save_picture(drawn, picture)
        echo_caution(present)


def scatter(
    car: CarFile = None,
    settings: Settings = None,
    spread: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATH=SPREAD",
            help="One standard deviation of a field, also in %; repeatable. Else the usual ones.",
        ),
    ] = None,
    samples: Annotated[int, typer.Option(help="A power of 2.")] = 64,
    distance: Distance = USUAL_DISTANCE,
    start_speed: StartSpeed = USUAL_START,
    longest_time: LongestTime = None,
    track: Lap = None,
    out: Picture = None,
    dark: Dark = False,
) -> None:
    """Say how far caliper, parts and friction make the shift vary, and which matters most."""
    with plain_errors():
        from layshaft.reports import scatter_report

        picture = checked_files(
            out, "layshaft-scatter.png", read={"--car": car, "--track": track}, dark=dark
        )
        asked = Asked()
        present = read_present(car, settings, asked)
        given = once("--spread", (read_spread(text, asked) for text in spread or []))
        spreads: Any = given or None
        way = way_of(asked, distance, start_speed, longest_time, track)
        study = layshaft.scatter(present, spreads, samples=samples, **way)
        asked.echo()
        say(*scatter_report.scatter_sentences(study))
        if picture is not None:
            from layshaft.plots.advice_plots import scatter_shares

            save_picture(scatter_shares(study, theme="dark" if dark else "light"), picture)
        echo_caution(present)
