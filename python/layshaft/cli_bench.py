"""Verbs of the bench: which setting, what meshes, what did the car do, how sure."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

import layshaft
from layshaft.cli_parts import (
    CarFile,
    Dark,
    Distance,
    Lap,
    Picture,
    Settings,
    StartSpeed,
    Table,
    checked_files,
    echo_caution,
    plain_errors,
    print_rows,
    read_present,
    save_picture,
    way_of,
)

if TYPE_CHECKING:
    from layshaft.car import Car
    from layshaft.goals import Goal
    from layshaft.logged_run import RunLog
    from layshaft.observations import Observation

PartsFile = Annotated[
    Path | None, typer.Option("--parts", metavar="FILE", help="Parts at hand; see the README.")
]
_SHIFT_GOAL = "shift-at"


def recommend(
    car: CarFile = None,
    settings: Settings = None,
    learned: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="What `learn` wrote: its car, and how sure it is."),
    ] = None,
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
            help="quickest, shift-at=SPEED, cool-shoes or cool-clutch; two of them show the trade.",
        ),
    ] = None,
    limit: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME=MOST", help="Such as peak_engine_speed=42krpm; repeatable."),
    ] = None,
    parts: PartsFile = None,
    distance: Distance = "60 m",
    start_speed: StartSpeed = "0 km/h",
    track: Lap = None,
    within: Annotated[
        str | None, typer.Option(metavar="LOSS", help="Loss that counts as none.")
    ] = None,
    out: Picture = None,
    dark: Dark = False,
) -> None:
    """Say which setting is best, the turns that lead there, and how sure it is."""
    with plain_errors():
        from layshaft import bench_plots, bench_report
        from layshaft.axis_text import read_choice

        picture = checked_files(out, "layshaft-recommend.png", None, None)
        theme = "dark" if dark else "light"
        known = None if learned is None else layshaft.read_learned(learned)
        if known is not None and (car is not None or settings):
            raise ValueError("--learned brings its own car: leave out --car and --set")
        present = read_present(car, settings) if known is None else known.car
        box = None if parts is None else layshaft.read_parts(parts)
        choices = dict(map(read_choice, over)) if over else None
        limits = dict(_pair(text, "NAME=MOST") for text in limit or [])
        way = way_of(distance, start_speed, track)
        wanted = [_goal(text, way, within) for text in goal or ["quickest"]]
        if len(wanted) > 1:
            chosen = _usual_range(present) if choices is None else choices
            found = layshaft.trade_off(present, wanted, chosen, limits=limits, parts=box)
            print_rows(bench_report.front_rows(found))
            save_picture(bench_plots.trade_front(found, theme=theme).figure, picture)
        else:
            advice = layshaft.recommend(
                present, choices, goal=wanted[0], limits=limits, parts=box, learned=known
            )
            typer.echo("\n".join(bench_report.advice_sentences(advice)))
            figure = bench_plots.plateau_figure(advice, theme=theme)
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
        from layshaft import gear_plots, gear_report
        from layshaft.axis_text import read_list
        from layshaft.gear_chart import present_teeth

        picture = checked_files(out, "layshaft-mesh.png", csv, None)
        present = read_present(car, settings)
        box = layshaft.read_parts(parts)
        chart = layshaft.mesh(present, box, engine_speeds=read_list(at))
        print_rows(gear_report.mesh_rows(chart, present_teeth(present)))
        typer.echo("\n".join(gear_report.tyre_sentences(layshaft.tyre_pairs(present, box))))
        if csv is not None:
            layshaft.save(chart, csv)
            typer.echo(f"Numbers: {csv}")
        drawn = gear_plots.gear_speeds(chart, car=present, theme="dark" if dark else "light")
        save_picture(drawn.figure, picture)
        echo_caution(present)


def learn(
    car: CarFile = None,
    settings: Settings = None,
    shift: Annotated[
        list[str] | None,
        typer.Option(metavar="GAP=SPEED", help="Shift heard at a gap, 4.6mm=56km/h; repeatable."),
    ] = None,
    error: Annotated[
        str, typer.Option(metavar="SPEED", help="How far a heard shift speed may be out.")
    ] = "2 km/h",
    seen: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Table of observations (CSV).")
    ] = None,
    log: Annotated[Path | None, typer.Option(metavar="FILE", help="Log of one run (CSV).")] = None,
    log_error: Annotated[
        str | None, typer.Option(metavar="ERROR", help="How far a sample of the log may be out.")
    ] = None,
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
    out: Picture = None,
    dark: Dark = False,
) -> None:
    """Correct the car by what it did: shift speeds heard, times, top speed, a log."""
    with plain_errors():
        from layshaft import bench_plots, bench_report

        picture = checked_files(out, "layshaft-learn.png", None, None)
        for file in filter(None, (learned, setup)):
            if not file.parent.is_dir():
                raise ValueError(f"{file}: there is no folder {file.parent}")
        present = read_present(car, settings)
        evidence = _evidence(shift, error, seen, log, log_error)
        found = layshaft.learn(present, evidence, *_unknowns(present, unknown))
        typer.echo("\n".join(bench_report.learned_sentences(found)))
        print_rows(bench_report.seen_rows(found))
        typer.echo(bench_report.suggestion_sentence(layshaft.suggest(found)))
        found.save(learned)
        typer.echo(f"Learned: {learned}; `layshaft recommend --learned {learned}` goes on from it.")
        if setup is not None:
            layshaft.write_car(found.car, setup)
            typer.echo(f"Set-up: {setup}")
        figure = bench_plots.learned_figure(found, theme="dark" if dark else "light")
        save_picture(figure, picture)
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
    distance: Distance = "60 m",
    start_speed: StartSpeed = "0 km/h",
    track: Lap = None,
    out: Picture = None,
    dark: Dark = False,
) -> None:
    """Say how far caliper, parts and friction scatter the shift, and which of them matters."""
    with plain_errors():
        from layshaft import bench_plots, bench_report

        picture = checked_files(out, "layshaft-scatter.png", None, None)
        present = read_present(car, settings)
        spreads = dict(_pair(text, "PATH=SPREAD") for text in spread) if spread else None
        way = way_of(distance, start_speed, track)
        study = layshaft.scatter(present, spreads, samples=samples, **way)
        typer.echo("\n".join(bench_report.scatter_sentences(study)))
        drawn = bench_plots.scatter_shares(study, theme="dark" if dark else "light")
        save_picture(drawn.figure, picture)
        echo_caution(present)


def _goal(text: str, way: dict[str, object], within: str | None) -> "Goal":
    from layshaft import goals
    from layshaft.axis_text import plain

    if within is not None:
        way = way | {"within": plain(within)}
    name, _, value = (part.strip() for part in text.partition("="))
    makers = {
        "quickest": goals.quickest,
        "cool-shoes": goals.coolest_shoes,
        "cool-clutch": goals.coolest_clutch,
    }
    if name == _SHIFT_GOAL and value:
        return goals.shift_at(plain(value), **way)
    if name not in makers or value:
        raise ValueError(f"--goal {text}: must be {', '.join(makers)} or {_SHIFT_GOAL}=SPEED")
    return makers[name](**way)


def _usual_range(present: "Car") -> dict[str, object]:
    from layshaft.axis_text import usual_gaps

    gaps = usual_gaps(present)
    return {"two_speed.gap": layshaft.Between(gaps[0], gaps[-1])}


def _pair(text: str, form: str) -> tuple[str, object]:
    from layshaft.axis_text import plain

    name, equals, value = (part.strip() for part in text.partition("="))
    if not equals or not value:
        raise ValueError(f'"{text}" must read {form}')
    return name, plain(value)


def _evidence(
    shift: list[str] | None, error: str, seen: Path | None, log: Path | None, log_error: str | None
) -> "list[Observation | RunLog]":
    from layshaft.axis_text import plain

    evidence: list[Observation | RunLog] = []
    for text in shift or []:
        gap, speed = _pair(text, "GAP=SPEED, such as 4.6mm=56km/h")
        setting = {"two_speed.gap": plain(gap)}
        evidence.append(layshaft.observe("shift_speed", speed, changes=setting, error=plain(error)))
    if seen is not None:
        evidence += layshaft.read_observations(seen)
    if log is not None:
        if log_error is None:
            raise ValueError("--log needs --log-error, such as 300rpm")
        evidence.append(layshaft.read_log(log, error=plain(log_error)))
    if not evidence:
        raise ValueError("nothing was seen: give --shift, --seen or --log")
    return evidence


def _unknowns(present: "Car", texts: list[str] | None) -> list[list[object]]:
    """Return what is to be learned as the last argument of `learn`; nothing for the usual."""
    if not texts:
        return []
    wanted: list[object] = []
    for text in texts:
        path, _, doubt = (part.strip() for part in text.partition("="))
        wanted.append(layshaft.unknown(present, path, doubt=doubt or None))
    return [wanted]
