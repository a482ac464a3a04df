"""The verbs of the track: a lap, a map of gap and gears, a stint."""

from pathlib import Path
from typing import Annotated

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.bought_tables import tell_gears
from layshaft.cli.file_names import checked_files
from layshaft.cli.options import (
    FAILED,
    CarFile,
    Dark,
    LongestTime,
    Picture,
    Settings,
    Table,
    echo_advised,
    echo_caution,
    longest_of,
    plain_errors,
    print_rows,
    read_present,
    save_picture,
)
from layshaft.cli.say import say

_GAP = "two_speed.gap"
_USUAL_DURATION = "30 min"
_USUAL_RESERVE = "5 %"
TrackFile = Annotated[
    str, typer.Argument(metavar="TRACK", help="Track file; or club, or fast: invented ones.")
]


def lap(
    track: TrackFile = "club",
    car: CarFile = None,
    settings: Settings = None,
    standing: Annotated[bool, typer.Option("--standing", help="From a standing start.")] = False,
    longest_time: LongestTime = None,
    out: Picture = None,
    csv: Table = None,
    dark: Dark = False,
) -> None:
    """Drive a lap: how quick, where it shifts, what bogs, where the heat goes."""
    with plain_errors():
        from layshaft.reports import lap_report, launch_report
        from layshaft.runs.setting_scatter import lap_band

        picture = checked_files(
            out, "layshaft-lap.png", csv, read={"TRACK": track, "--car": car}, dark=dark
        )
        asked = Asked()
        present = read_present(car, settings, asked)
        longest = longest_of(asked, longest_time)
        run = layshaft.lap(present, track, standing=standing, on_failure="return", **longest)
        asked.echo()
        band = None if run.message else lap_band(run)
        say(*lap_report.lap_sentences(run, band), *launch_report.doubts(run))
        if csv is not None:
            run.save(csv)
            say(f"Numbers: {csv}")
        if run.message:
            echo_caution(present, run.warnings())
            say(f"The lap failed: {run.message}", err=True)
            raise typer.Exit(FAILED)
        print_rows(lap_report.corner_rows(run))
        if picture is not None:
            from layshaft.plots.lap_plots import lap_story

            save_picture(lap_story(run, theme="dark" if dark else "light"), picture)
        echo_caution(present, run.warnings())


def gearing(
    track: TrackFile = "club",
    car: CarFile = None,
    settings: Settings = None,
    parts: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Parts at hand; else three teeth either way."),
    ] = None,
    gaps: Annotated[
        str | None, typer.Option(metavar="FROM:TO:STEP", help="Gaps; else 0.8 mm either way.")
    ] = None,
    longest_time: LongestTime = None,
    out: Picture = None,
    dark: Dark = False,
) -> None:
    """Drive laps with every gap and gearing; say which wins there."""
    with plain_errors():
        from layshaft.advice.new_warnings import new_warnings
        from layshaft.cli.typed_values import read_axis
        from layshaft.reports import gear_report
        from layshaft.runs.run_options import read_options
        from layshaft.sweeps.track_gears import best_gears, settings_of

        picture = checked_files(
            out,
            "layshaft-gearing.png",
            read={"TRACK": track, "--car": car, "--parts": parts},
            dark=dark,
        )
        asked = Asked()
        present = read_present(car, settings, asked)
        box = None if parts is None else layshaft.read_parts(parts)
        values = None if gaps is None else read_axis(f"{_GAP}={gaps}", "--gaps")[1]
        if values is not None:
            asked.values("--gaps", _GAP, values)
        longest = longest_of(asked, longest_time)
        table = layshaft.gear_map(present, track, gears=box, gaps=values, **longest)
        asked.echo()
        best = best_gears(table)
        say(*gear_report.no_shift_sentences(table, present, settings_of(table, best)))
        say(
            f"Best: {best['gears']} with a gap of {best['gap'] * 1e3:.2f} mm,"
            f" {best['lap_time']:.3f} s."
        )
        say(*gear_report.plateau_sentences(table, best))
        tell_gears(present, table, best, read_options(track=track, **longest))
        others = [gears for gears in best["gears_alike"] if gears != best["gears"]]
        if others:
            say(f"As quick with a gap of their own: {', '.join(others)}.")
        echo_advised(new_warnings(present, settings_of(table, best)))
        if picture is not None:
            from layshaft.plots.track_gear_plots import gear_map_picture

            save_picture(gear_map_picture(table, theme="dark" if dark else "light"), picture)
        echo_caution(present)


def stint(
    track: TrackFile = "club",
    car: CarFile = None,
    settings: Settings = None,
    duration: Annotated[str, typer.Option(metavar="TIME", help="Of the race.")] = _USUAL_DURATION,
    reserve: Annotated[
        str, typer.Option(metavar="SHARE", help="Of the tank, left when the car comes in.")
    ] = _USUAL_RESERVE,
    out: Picture = None,
    csv: Table = None,
    dark: Dark = False,
) -> None:
    """Drive a race: laps on a tank, stops, tyre wear, and when to turn the screws."""
    with plain_errors():
        from layshaft.reports import lap_report

        picture = checked_files(
            out, "layshaft-stint.png", csv, read={"TRACK": track, "--car": car}, dark=dark
        )
        asked = Asked()
        present = read_present(car, settings, asked)
        length = asked.checked("--duration", duration, "s", usual=_USUAL_DURATION)
        left = asked.checked("--reserve", reserve, "1", usual=_USUAL_RESERVE)
        race = layshaft.stint(present, track, duration=length, reserve=left)
        asked.echo()
        say(*lap_report.stint_sentences(race))
        if csv is not None:
            layshaft.save(race.laps, csv)
            say(f"Numbers: {csv}")
        if picture is not None:
            from layshaft.plots.stint_plots import stint_story

            save_picture(stint_story(race, theme="dark" if dark else "light"), picture)
        say("How tyres wear is an assumption: see `layshaft.TyreWear`.")
        echo_caution(present)
