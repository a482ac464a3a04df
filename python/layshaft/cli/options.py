"""What the verbs of the command line share: options, reading, writing, plain errors."""

import contextlib
import warnings
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeVar, cast

import typer

import layshaft
from layshaft.cli.asked import Asked
from layshaft.cli.say import say

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from layshaft.setup.car import Car

_Value = TypeVar("_Value")

BAD_INPUT = 2
FAILED = 1
INTERRUPTED = 130
USUAL_DISTANCE, USUAL_START = "60 m", "0 km/h"
_USUAL_LONGEST = "20 s"
_DOTS_PER_INCH = 100
_MOST_FAULTS = 10  #: of one file that are told at once; the others follow once these are mended

CarFile = Annotated[
    Path | None,
    typer.Option(
        "--car", metavar="FILE", help="Set-up file, or demo car: piped (else this) or broad."
    ),
]
RunLog = Annotated[Path | None, typer.Option(metavar="FILE", help="Log of one run (CSV).")]
LogError = Annotated[
    str | None, typer.Option(metavar="ERROR", help="Standard error of a sample of the log.")
]
Settings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="PATH=VALUE", help="Change a setting of the car; repeatable."),
]
LearnedFile = Annotated[
    Path | None,
    typer.Option(
        "--learned",
        metavar="FILE",
        help="File written by `learn`: the car and its uncertainty.",
    ),
]
Distance = Annotated[str, typer.Option(metavar="LENGTH", help="How far the car runs.")]
StartSpeed = Annotated[
    str, typer.Option(metavar="SPEED", help="Rolling start, as out of a corner.")
]
LongestTime = Annotated[
    str | None,
    typer.Option(
        "--longest-time", metavar="TIME", help="When a run is given up; else 20 s, a lap 120 s."
    ),
]
Lap = Annotated[
    str | None,
    typer.Option(
        "--track", metavar="TRACK", help="Laps of a track file, or of club or fast, not launches."
    ),
]
Picture = Annotated[
    Path | None,
    typer.Option("--out", metavar="FILE", help="Also draw a picture: its file, or folder for it."),
]
Table = Annotated[
    Path | None, typer.Option("--csv", metavar="FILE", help="Also write the numbers as a table.")
]
Data = Annotated[
    Path | None, typer.Option("--netcdf", metavar="FILE", help="Also write everything as netCDF.")
]
Replace = Annotated[bool, typer.Option("--replace", help="Overwrite an existing set-up file.")]
Dark = Annotated[bool, typer.Option("--dark", help="Picture with a dark background.")]


@contextlib.contextmanager
def plain_errors() -> Iterator[None]:
    """Turn what a user can cause into lines without a traceback, warnings too."""
    try:
        with _told_warnings():
            yield
    except layshaft.SetupError as error:
        for fault in error.faults[:_MOST_FAULTS]:
            say(str(fault), err=True)
        if len(error.faults) > _MOST_FAULTS:
            more = len(error.faults) - _MOST_FAULTS
            say(f"layshaft: {more} more of the kind in {error.faults[0].file}", err=True)
        raise typer.Exit(BAD_INPUT) from None
    except BrokenPipeError:
        raise  # the reader of a pipe has seen enough
    except OSError as error:
        named = f"{error.filename}: " if error.filename else ""  # the terminal has no name
        reason = f"{named}{error.strerror}" if error.strerror else str(error)
        say(f"layshaft: {reason}", err=True)
        raise typer.Exit(BAD_INPUT) from None
    except ValueError as error:
        say(f"layshaft: {' '.join(str(error).split())}", err=True)
        raise typer.Exit(BAD_INPUT) from None
    except KeyboardInterrupt:
        raise typer.Exit(INTERRUPTED) from None


@contextlib.contextmanager
def _told_warnings() -> Iterator[None]:
    """Say each warning that a user can mend once, as a line among the messages."""
    told = set()

    def tell(message: Warning | str, category: type[Warning], *_: object) -> None:
        if str(message) not in told:
            told.add(str(message))
            say(f"layshaft: {message}", err=True)

    with warnings.catch_warnings():
        warnings.simplefilter("always", UserWarning)
        warnings.showwarning = cast(Any, tell)
        yield


def read_present(file: Path | None, settings: list[str] | None, asked: Asked) -> "Car":
    """Read the car as it is: the set-up file, or the demo car, with its changes."""
    from layshaft.cli.typed_values import read_setting

    base = _car_of(file)
    changes = once("--set", map(read_setting, settings or []))
    present = base.replace(changes)
    for path, value in changes.items():
        asked.values("--set", path, value)
    return present


def _car_of(file: Path | None) -> "Car":
    from layshaft.setup.car import DEMO_ENGINES

    if file is None:
        return layshaft.demo_car()
    return layshaft.demo_car(str(file)) if str(file) in DEMO_ENGINES else layshaft.read_car(file)


def set_paths(settings: list[str] | None) -> set[str]:
    """Return the paths that `--set` names."""
    from layshaft.cli.typed_values import read_setting

    return {path for path, _ in map(read_setting, settings or [])}


def once(option: str, given: Iterable[tuple[str, _Value]]) -> dict[str, _Value]:
    """Gather what was given by name; refuse a name given twice, of which one would be lost."""
    found: dict[str, _Value] = {}
    for name, value in given:
        if name in found:
            raise ValueError(f"{option} {name}: is given twice")
        found[name] = value
    return found


def longest_of(asked: Asked, text: str | None) -> dict[str, Any]:
    """Turn the words for a longest time into an option of a run; none where none is given."""
    if text is None:
        return {}
    return {"longest_time": asked.checked("--longest-time", text, "s", usual=_USUAL_LONGEST)}


def way_of(
    asked: Asked,
    distance: str,
    start_speed: str,
    longest_time: str | None,
    track: str | None = None,
) -> dict[str, Any]:
    """Turn the words for distance and start, or for a track, into options of a run."""
    given = longest_of(asked, longest_time)
    if track is not None:
        for option, text, usual in (
            ("--distance", distance, USUAL_DISTANCE),
            ("--start-speed", start_speed, USUAL_START),
        ):
            if text != usual:
                raise ValueError(
                    f"{option} {text}: a lap of --track {track} has none; leave it out"
                )
        return given | {"track": track}
    return given | {
        "distance": asked.checked("--distance", distance, "m", usual=USUAL_DISTANCE),
        "start_speed": asked.checked("--start-speed", start_speed, "m/s", usual=USUAL_START),
    }


def loss_of(text: str, unit: str, asked: Asked, *, usual: str = "") -> float:
    """Read a loss that counts as none, in the SI unit of what is lost."""
    loss = asked.measured("--within", text, unit, usual=usual)
    if not loss >= 0.0:
        raise ValueError(f"--within {text}: must be at least 0")
    return loss


def refuse_present(file: Path | None, *, replace: bool) -> None:
    """Refuse to write over a set-up file, in which somebody's work may be, unless told to."""
    if file is not None and file.exists() and not replace:
        raise FileExistsError(f"{file} is there already; --replace writes over it")


def save_picture(drawn: "Figure | Axes", file: Path) -> None:
    """Write a picture and say where."""
    from layshaft.storage.atomic import atomic_write

    figure: Any = getattr(drawn, "figure", drawn)
    figure.set_dpi(_DOTS_PER_INCH)
    with atomic_write(file) as aside:
        if file.suffix == ".png":
            from matplotlib.backends.backend_agg import FigureCanvasAgg

            # Drawn once: `savefig` draws everything before, for the layout alone.
            FigureCanvasAgg(figure).print_png(aside)
        else:
            figure.savefig(aside)
    say(f"Picture: {file}")


def print_rows(renderable: object) -> None:
    """Print a table as wide as the terminal."""
    from rich.console import Console

    Console(highlight=False, markup=False).print(renderable)


def echo_advised(new: tuple[tuple[str, str, str], ...]) -> None:
    """Print what an advised setting is warned of, and the car as it is now is not."""
    _echo_warnings("Warning, with that setting", new)


def _echo_warnings(opening: str, warned: tuple[tuple[str, str, str], ...]) -> None:
    for _, code, sentence in warned:
        # How an engine compares with published ones does not matter in the pit.
        if code != "outside_published":
            say(f"{opening}: {sentence}")


def echo_caution(present: "Car", of_run: tuple[tuple[str, str, str], ...] = ()) -> None:
    """Print what set-up and run are warned of, then the cautions, once at the end of a verb."""
    from layshaft.reports.launch_report import CAUTION
    from layshaft.setup.car import DEMO_ENGINES

    of_set_up = present.warnings()
    told = {each[:2] for each in of_set_up}
    of_run = tuple(each for each in of_run if each[:2] not in told)
    _echo_warnings("Warning", (*of_set_up, *of_run))
    if present in map(layshaft.demo_car, DEMO_ENGINES):
        say("This is the demo car; its numbers are invented. `layshaft car` starts your own.")
    say(*CAUTION)
