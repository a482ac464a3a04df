"""`layshaft sweep`: settings tried, and which is best."""

import sys
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, cast

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.bought_tables import tell_settings
from layshaft.cli.file_names import checked_files
from layshaft.cli.options import (
    INTERRUPTED,
    USUAL_DISTANCE,
    USUAL_START,
    CarFile,
    Dark,
    Data,
    Distance,
    Lap,
    LongestTime,
    Picture,
    Settings,
    StartSpeed,
    Table,
    echo_advised,
    echo_caution,
    loss_of,
    plain_errors,
    print_rows,
    read_present,
    save_picture,
    way_of,
)
from layshaft.cli.say import say
from layshaft.mounting.gaps import usual_gaps

if TYPE_CHECKING:
    import xarray
    from matplotlib.figure import Figure

    from layshaft.plots.style import Theme
    from layshaft.setup.car import Car


_USUAL_LOSS = "0.01 s"


def sweep(
    car: CarFile = None,
    settings: Settings = None,
    over: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATH=FROM:TO:STEP",
            help="What to vary, also PATH=VALUE,VALUE,...; repeatable. Else the two-speed gap.",
        ),
    ] = None,
    distance: Distance = USUAL_DISTANCE,
    start_speed: StartSpeed = USUAL_START,
    longest_time: LongestTime = None,
    track: Lap = None,
    within: Annotated[
        str, typer.Option(metavar="TIME", help="Time loss too small to matter.")
    ] = _USUAL_LOSS,
    out: Picture = None,
    csv: Table = None,
    netcdf: Data = None,
    runs: Annotated[
        Path | None,
        typer.Option(
            "--runs",
            metavar="FILE.nc",
            help="Keep finished runs in this file; resume one that was interrupted.",
        ),
    ] = None,
    dark: Dark = False,
) -> None:
    """Try settings; say which is best and how much it matters."""
    with plain_errors():
        from layshaft.advice.new_warnings import new_warnings
        from layshaft.advice.setting_advice import best_setting
        from layshaft.cli import typed_values
        from layshaft.reports import sweep_report

        picture = checked_files(
            out,
            "layshaft-sweep.png",
            csv,
            netcdf,
            read={"--car": car, "--track": track},
            written={"--runs": runs},
            dark=dark,
        )
        asked = Asked()
        loss = loss_of(within, "s", asked, usual=_USUAL_LOSS)
        present = read_present(car, settings, asked)
        axes = typed_values.read_axes(over or [])
        for path, values in axes.items():
            asked.values("--over", path, values)
        axes = axes or {"two_speed.gap": list(usual_gaps(present))}
        way = way_of(asked, distance, start_speed, longest_time, track)
        table = _swept(present, axes, runs, way, kept=any((csv, netcdf, runs)))
        asked.echo()
        for note in sweep_report.unequal_shoes(present) if "two_speed.gap" in axes else ():
            say(note)
        print_rows(sweep_report.sweep_rows(table, present))
        say(*sweep_report.missed_distance(table))
        if len(axes) == 1 and _is_numeric(table) and not table.attrs["interrupted"]:
            advice = best_setting(table, present, within=loss)
            say(*sweep_report.sweep_sentences(advice, present))
            tell_settings(present, table, advice, way)
            if advice.is_worth_it:
                echo_advised(new_warnings(present, {advice.path: advice.best}))
        _write(table, csv, netcdf)
        if runs is not None:
            goes_on = "; the same command goes on" if table.attrs["interrupted"] else ""
            say(f"Runs: {runs}{goes_on}")
        if table.attrs["interrupted"]:
            echo_caution(present)
            raise typer.Exit(INTERRUPTED)
        if picture is not None:
            figure = _sweep_figure(table, present, loss, "dark" if dark else "light")
            if figure is not None:
                save_picture(figure, picture)
        echo_caution(present)


def _swept(
    present: "Car",
    axes: dict[str, list[object]],
    file: Path | None,
    way: dict[str, Any],
    *,
    kept: bool,
) -> "xarray.Dataset":
    from layshaft.sweeps.table import plain_sweep

    with warnings.catch_warnings(record=True) as told:
        warnings.simplefilter("always")
        bar = sys.stderr.isatty()
        table = (
            layshaft.sweep(present, axes, file=file, progress=bar, **way)
            if kept
            else cast("xarray.Dataset", plain_sweep(present, axes, progress=bar, **way))
        )
    for warning in told:
        say(f"layshaft: {warning.message}", err=True)
    return table


def _is_numeric(table: "xarray.Dataset") -> bool:
    return all(table[axis].dtype.kind in "fi" for axis in table.status.dims)


def _sweep_figure(
    table: "xarray.Dataset", present: "Car", within: float, theme: "Theme"
) -> "Figure | None":
    from layshaft.plots import map_plots, sweep_plots

    if _is_numeric(table) and len(table.status.dims) == 1:
        return sweep_plots.setting_curve(table, present, within=within, theme=theme)
    if _is_numeric(table) and len(table.status.dims) == 2:
        return map_plots.setting_map(table, theme=theme)
    say("No picture: it takes one or two settings that are numbers.")
    return None


def _write(table: "xarray.Dataset", *names: Path | None) -> None:
    for file in filter(None, names):
        layshaft.save(table, file)
        say(f"Numbers: {file}")
