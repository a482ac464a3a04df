"""Verbs of the bench: which setting, what meshes, what did the car do, how sure."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

import layshaft
from layshaft import units
from layshaft.cli_asked import Asked
from layshaft.cli_parts import (
    USUAL_DISTANCE,
    USUAL_START,
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
    loss_of,
    plain_errors,
    print_rows,
    read_present,
    save_picture,
    way_of,
)
from layshaft.cli_say import say

if TYPE_CHECKING:
    from layshaft.car import Car
    from layshaft.goals import Goal
    from layshaft.logged_run import RunLog
    from layshaft.observations import Observation

PartsFile = Annotated[
    Path | None, typer.Option("--parts", metavar="FILE", help="Parts at hand; see the README.")
]
_SHIFT_GOAL = "shift-at"
_USUAL_ERROR = "2 km/h"


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
    distance: Distance = USUAL_DISTANCE,
    start_speed: StartSpeed = USUAL_START,
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

        picture = checked_files(out, "layshaft-recommend.png", None, None)
        theme = "dark" if dark else "light"
        known = None if learned is None else layshaft.read_learned(learned)
        if known is not None and (car is not None or settings):
            raise ValueError("--learned brings its own car: leave out --car and --set")
        asked = Asked()
        present = read_present(car, settings, asked) if known is None else known.car
        box = None if parts is None else layshaft.read_parts(parts)
        choices = _choices(over, asked)
        way = way_of(asked, distance, start_speed, track)
        limits = dict(_limit(text, asked) for text in limit or [])
        wanted = [_goal(text, way, within, asked) for text in goal or ["quickest"]]
        if len(wanted) > 1:
            chosen = _usual_range(present) if choices is None else choices
            found = layshaft.trade_off(present, wanted, chosen, limits=limits, parts=box)
            asked.echo()
            print_rows(bench_report.front_rows(found))
            save_picture(bench_plots.trade_front(found, theme=theme).figure, picture)
        else:
            advice = layshaft.recommend(
                present, choices, goal=wanted[0], limits=limits, parts=box, learned=known
            )
            asked.echo()
            say(*bench_report.advice_sentences(advice))
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
        from layshaft import axis_text, gear_plots, gear_report
        from layshaft.axis_text import read_list
        from layshaft.gear_chart import present_teeth

        picture = checked_files(out, "layshaft-mesh.png", csv, None)
        asked = Asked()
        present = read_present(car, settings, asked)
        box = layshaft.read_parts(parts)
        speeds = [axis_text.measured("--at", str(each), "rad/s") for each in read_list(at)]
        chart = layshaft.mesh(present, box, engine_speeds=speeds)
        asked.echo()
        print_rows(gear_report.mesh_rows(chart, present_teeth(present)))
        say(*gear_report.tyre_sentences(layshaft.tyre_pairs(present, box)))
        if csv is not None:
            layshaft.save(chart, csv)
            say(f"Numbers: {csv}")
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
    ] = _USUAL_ERROR,
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
        asked = Asked()
        present = read_present(car, settings, asked)
        evidence = _evidence(shift, error, seen, log, log_error, asked)
        found = layshaft.learn(present, evidence, *_unknowns(present, unknown, asked))
        asked.echo()
        say(*bench_report.learned_sentences(found))
        print_rows(bench_report.seen_rows(found))
        say(bench_report.suggestion_sentence(layshaft.suggest(found)))
        found.save(learned)
        say(f"Learned: {learned}; `layshaft recommend --learned {learned}` goes on from it.")
        if setup is not None:
            layshaft.write_car(found.car, setup)
            say(f"Set-up: {setup}")
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
    distance: Distance = USUAL_DISTANCE,
    start_speed: StartSpeed = USUAL_START,
    track: Lap = None,
    out: Picture = None,
    dark: Dark = False,
) -> None:
    """Say how far caliper, parts and friction scatter the shift, and which of them matters."""
    with plain_errors():
        from layshaft import bench_plots, bench_report

        picture = checked_files(out, "layshaft-scatter.png", None, None)
        asked = Asked()
        present = read_present(car, settings, asked)
        spreads = dict(_spread(text, asked) for text in spread) if spread else None
        way = way_of(asked, distance, start_speed, track)
        study = layshaft.scatter(present, spreads, samples=samples, **way)
        asked.echo()
        say(*bench_report.scatter_sentences(study))
        drawn = bench_plots.scatter_shares(study, theme="dark" if dark else "light")
        save_picture(drawn.figure, picture)
        echo_caution(present)


def _goal(text: str, way: dict[str, object], within: str | None, asked: Asked) -> "Goal":
    from layshaft import axis_text, goals

    makers = {
        "quickest": (goals.quickest, "s"),
        "cool-shoes": (goals.coolest_shoes, "K"),
        "cool-clutch": (goals.coolest_clutch, "K"),
    }
    name, _, value = (part.strip() for part in text.partition("="))
    if name != _SHIFT_GOAL and (name not in makers or value):
        raise ValueError(f"--goal {text}: must be {', '.join(makers)} or {_SHIFT_GOAL}=SPEED")
    if name == _SHIFT_GOAL and not value:
        raise ValueError(
            f"--goal {text}: must be {_SHIFT_GOAL}=SPEED, such as {_SHIFT_GOAL}=50km/h"
        )
    maker, unit = makers.get(name, (goals.shift_at, "m/s"))
    if within is not None:
        way = way | {"within": _goal_loss(within, unit, asked)}
    if name != _SHIFT_GOAL:
        return maker(**way)
    found = maker(axis_text.measured(f"--goal {name}", value, unit), **way)
    asked.note("--goal", found.name)
    return found


def _goal_loss(text: str, unit: str, asked: Asked) -> float:
    if unit != "K":
        return loss_of(text, unit, asked)
    # A difference: a scale whose zero is elsewhere does not have it.
    if not text.strip().endswith("K"):
        raise ValueError(f'--within {text}: must be a difference of temperature such as "2 K"')
    loss = units.to_si(text, unit)
    asked.note("--within", units.si_text(loss, unit, "K"))
    return loss


def _choices(over: list[str] | None, asked: Asked) -> dict[str, object] | None:
    from layshaft.axis_text import read_choice

    choices: dict[str, object] = {}
    for path, values in map(read_choice, over or []):
        if path in choices:
            raise ValueError(f"{path} is to vary twice; write all its values at once")
        choices[path] = values
        asked.values("--over", path, values)
    return choices or None


def _limit(text: str, asked: Asked) -> tuple[str, float]:
    from layshaft.axis_text import measured
    from layshaft.pit_units import run_text
    from layshaft.point_runs import scalar_unit

    name, value = _pair(text, "--limit", "NAME=MOST")
    unit = scalar_unit(name)
    most = measured(f"--limit {name}", value, unit)
    asked.note("--limit", name, "at most", " ".join(run_text(most, unit)).strip())
    return name, most


def _spread(text: str, asked: Asked) -> tuple[str, object]:
    from layshaft.axis_text import check_unit, plain

    path, value = _pair(text, "--spread", "PATH=SPREAD")
    spread = check_unit("--spread", path, plain(value))
    asked.note("--spread", path, value)
    return path, spread


def _usual_range(present: "Car") -> dict[str, object]:
    from layshaft.axis_text import usual_gaps

    gaps = usual_gaps(present)
    return {"two_speed.gap": layshaft.Between(gaps[0], gaps[-1])}


def _pair(text: str, option: str, form: str) -> tuple[str, str]:
    name, equals, value = (part.strip() for part in text.partition("="))
    if not equals or not value:
        raise ValueError(f"{option} {text}: must read {form}")
    return name, value


def _evidence(
    shift: list[str] | None,
    error: str,
    seen: Path | None,
    log: Path | None,
    log_error: str | None,
    asked: Asked,
) -> "list[Observation | RunLog]":
    from layshaft.axis_text import measured, plain

    evidence: list[Observation | RunLog] = []
    spread = asked.measured("--error", error, "m/s", usual=_USUAL_ERROR)
    for text in shift or []:
        gap, speed = _pair(text, "--shift", "GAP=SPEED, such as 4.6mm=56km/h")
        setting = {"two_speed.gap": measured("--shift", gap, "m")}
        heard = measured("--shift", speed, "m/s")
        evidence.append(layshaft.observe("shift_speed", heard, changes=setting, error=spread))
        told = units.si_text(setting["two_speed.gap"], "m"), units.si_text(heard, "m/s")
        asked.note("--shift", " at ".join(reversed(told)))
    if seen is not None:
        evidence += layshaft.read_observations(seen)
    if log is not None:
        if log_error is None or not isinstance(plain(log_error), str):
            given = "" if log_error is None else f", not {log_error}"
            raise ValueError(f"--log needs --log-error with its unit, such as 300rpm{given}")
        evidence.append(layshaft.read_log(log, error=log_error))
        asked.note("--log-error", log_error)
    if not evidence:
        raise ValueError("nothing was seen: give --shift, --seen or --log")
    return evidence


def _unknowns(present: "Car", texts: list[str] | None, asked: Asked) -> list[list[object]]:
    """Return what is to be learned as the last argument of `learn`; nothing for the usual."""
    from layshaft.axis_text import check_unit, plain

    if not texts:
        return []
    wanted: list[object] = []
    for text in texts:
        path, _, doubt = (part.strip() for part in text.partition("="))
        given = check_unit("--unknown", path, plain(doubt)) if doubt else None
        wanted.append(layshaft.unknown(present, path, doubt=given))
        asked.note("--unknown", path, doubt)
    return [wanted]
