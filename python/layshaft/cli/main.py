"""The command `layshaft`: a few verbs for the pit."""

import logging
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
import typer.models

import layshaft
from layshaft.cli import (
    advice_verbs,
    car_verb,
    card_verb,
    learn_verb,
    log_verbs,
    measuring_verbs,
    page_verb,
    sweep_verb,
    track_verbs,
)
from layshaft.cli.asked import Asked
from layshaft.cli.file_names import check_written, checked_files
from layshaft.cli.options import (
    FAILED,
    USUAL_DISTANCE,
    USUAL_START,
    CarFile,
    Dark,
    Data,
    Distance,
    LongestTime,
    Picture,
    Settings,
    StartSpeed,
    Table,
    echo_caution,
    plain_errors,
    print_rows,
    read_present,
    save_picture,
    way_of,
)
from layshaft.cli.say import Verbs, say

if TYPE_CHECKING:
    pass


app = typer.Typer(
    cls=Verbs,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(wanted: bool) -> None:
    if wanted:
        say(f"layshaft {layshaft.__version__}")
        raise typer.Exit


@app.callback()
def about(
    _version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Find two-speed, gearing and clutch settings: simulates a 1/8-scale nitro on-road car."""
    # Where it keeps its cache, and that it looks for fonts, is nothing to read between results.
    logging.getLogger("matplotlib").setLevel(logging.ERROR)


app.command()(sweep_verb.sweep)


@app.command()
def launch(
    car: CarFile = None,
    settings: Settings = None,
    distance: Distance = USUAL_DISTANCE,
    start_speed: StartSpeed = USUAL_START,
    longest_time: LongestTime = None,
    out: Picture = None,
    csv: Table = None,
    netcdf: Data = None,
    dark: Dark = False,
) -> None:
    """Tell one run: what happens when, how quick it is, where the energy goes."""
    with plain_errors():
        from layshaft.reports import energy_report, launch_report

        picture = checked_files(
            out, "layshaft-launch.png", csv, netcdf, read={"--car": car}, dark=dark
        )
        asked = Asked()
        present = read_present(car, settings, asked)
        way = way_of(asked, distance, start_speed, longest_time)
        run = layshaft.launch(present, on_failure="return", **way)
        asked.echo()
        say(launch_report.run_summary(run))
        for sentence in launch_report.doubts(run):
            say(sentence)
        print_rows(launch_report.story_rows(run))
        print_rows(launch_report.distance_rows(run))
        print_rows(energy_report.energy_rows(run))
        for file in filter(None, (csv, netcdf)):
            run.save(file)
            say(f"Numbers: {file}")
        if picture is not None:
            from layshaft.plots.launch_plots import launch_story

            save_picture(launch_story(run, theme="dark" if dark else "light"), picture)
        echo_caution(present, run.warnings())
        if run.message:
            say(f"The run stopped early: {run.message}", err=True)
            raise typer.Exit(FAILED)


app.command()(car_verb.car)


@app.command()
def fmu(
    file: Annotated[Path, typer.Argument(help="File to write.")] = Path("car.fmu"),
    car: CarFile = None,
    settings: Settings = None,
    fmi: Annotated[str, typer.Option(metavar="VERSION", help="2.0 or 3.0.")] = "3.0",
) -> None:
    """Write the car as a co-simulation unit (FMI) for other simulation programs."""
    with plain_errors():
        check_written({"--car": car}, {"FILE": file}, {})
        asked = Asked()
        layshaft.write_fmu(read_present(car, settings, asked), file, fmi=fmi)
        asked.echo()
        say(f"Co-simulation unit: {file}, FMI {fmi}.")


@app.command()
def schema(
    folder: Annotated[Path, typer.Argument(help="Folder to write to.")] = Path("."),
) -> None:
    """Write JSON schemas that let an editor complete and check set-up and parts files."""
    with plain_errors():
        for file in layshaft.write_schemas(folder):
            say(f"Schema: {file}. First line of a file beside it: #:schema {file.name}")


@app.command()
def prefix() -> None:
    """Print the folder of the C and C++ library, for CMAKE_PREFIX_PATH."""
    from layshaft import _core

    sys.stdout.write(f"{Path(_core.__file__).parent}\n")


_VERBS: tuple[Callable[..., None], ...] = (
    *(advice_verbs.recommend, advice_verbs.mesh, learn_verb.learn, advice_verbs.scatter),
    *(track_verbs.lap, track_verbs.gearing, track_verbs.stint, card_verb.card),
    page_verb.page,
    *(measuring_verbs.sheet, measuring_verbs.facts, measuring_verbs.doubts),
)
for verb in _VERBS:
    app.command()(verb)
app.add_typer(log_verbs.app, name="log")


def main() -> None:
    """Run the command line."""
    # Reading the options of all verbs takes longer than most of them run.
    named = [each for each in app.registered_commands if _name_of(each) in sys.argv[1:2]]
    if named:
        app.registered_commands, app.registered_groups = named, []
    app()


def _name_of(verb: typer.models.CommandInfo) -> str:
    return verb.name or str(getattr(verb.callback, "__name__", ""))
