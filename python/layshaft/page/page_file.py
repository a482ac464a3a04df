"""Writes the page: template, look and script put together, with the car and the core inside."""

import base64
import gzip
import hashlib
import html
import json
import os
import re
from collections.abc import Sequence
from importlib import resources
from pathlib import Path
from string import Template
from typing import Any

import numpy as np

from layshaft import _core
from layshaft.advice.small_errors import slug_step
from layshaft.fitting.unknowns import USUAL_UNKNOWNS, unknown
from layshaft.mounting.gaps import usual_gaps
from layshaft.mounting.gear_sets import meshing_sets
from layshaft.quantities.refused import shown
from layshaft.reports.launch_report import CAUTION
from layshaft.setup import field_table
from layshaft.setup.car import DEMO_ENGINES, Car, checked_car, demo_car
from layshaft.setup.handed_over import checked, checked_list, checked_path
from layshaft.setup.parts_at_hand import Parts, checked_parts
from layshaft.storage.atomic import atomic_write
from layshaft.tracks.track import Track
from layshaft.tracks.track_file import DEMO_TRACKS, demo_track

#: Modules of the script, each behind those that it imports from.
_MODULES = (
    *(
        "units",
        "dom",
        "data",
        "core",
        "car",
        "store",
        "slider",
        "chart",
        "daily",
        "learning",
        "confidence",
        "advice",
    ),
    *("doing", "parts", "try", "heard", "settings"),
)
_MAIN = "main"
_CORE = Path(_core.__file__).parent / "page" / "core.wasm"
_MOST_GEARS = 60
#: Cars drawn to say how sure an advice is: so many, each of the usual unknowns moved.
_DRAWS, _SEED = (128, len(USUAL_UNKNOWNS)), 20
_MOST_LETTERS = 80
#: Of the digest that tells cars apart in the browser's storage, hexadecimal.
_KEY_DIGITS = 16
#: As the README says it.
CARE = (
    "A running engine and drivetrain throw parts and catch fingers, hair and sleeves: stand clear,"
    " never touch or adjust while it turns.",
    "Engine, exhaust, clutch and brake stay burning hot long after the run.",
    "The fuel is poisonous, through the skin too, and burns with a flame you may not see: no"
    " sparks, fresh air, gloves.",
    "A car at 100 km/h injures people. Run it only where and when the marshals allow it.",
    "Local rules, track marshals and the makers' instructions come before anything written here.",
)


def write_page(
    car: Car,
    path: str | os.PathLike[str],
    *,
    title: str | None = None,
    parts: Parts | None = None,
    tracks: Sequence[Track] | None = None,
) -> None:
    """Write a page for the pit: one HTML file that computes by itself, offline.

    It opens from the file, on a phone too. It holds the car, the gears at hand, the tracks and the
    core in WebAssembly, and loads nothing. What is heard stays in the browser, for this car alone;
    a page of another car with the same title offers to take it over.

    Parameters
    ----------
    car
        The car as it is now.
    path
        File to write, ending in `.html`; one that is there is replaced.
    title
        Heading, at most 80 letters; by default the name of the file.
    parts
        Parts at hand, of which the sets of gears that mesh and the slugs can be tried; the page
        says which of them are not in the box. By default one tooth more or less than in the car,
        and any slug.
    tracks
        Whose laps can be tried; by default the two demo tracks.

    Raises
    ------
    ValueError
        For another ending, a title that is empty, longer or no line of print, or parts that give
        too many sets of gears.
    FileNotFoundError
        If this installation was built without the core of the page.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "pit.html")
    ...     layshaft.write_page(layshaft.demo_car(), file, title="Demo car, invented")
    ...     file.stat().st_size < 500_000
    True
    """
    name = checked_path("path", path)
    if Path(name).suffix != ".html":
        raise ValueError(f"path = {name!r} must end in .html")
    text = page_text(car, Path(name).stem if title is None else title, parts, tracks)
    with atomic_write(name) as aside:
        aside.write_text(text, encoding="utf-8")


def page_text(
    car: Car, title: str, parts: Parts | None = None, tracks: Sequence[Track] | None = None
) -> str:
    """Return the page; arguments as for `write_page`."""
    checked_car(car)
    if not (isinstance(title, str) and len(title) <= _MOST_LETTERS and title.strip()):
        raise ValueError(f"title = {shown(title)} must be text of 1 to {_MOST_LETTERS} letters")
    if not title.isprintable():
        raise ValueError(
            f"title = {shown(title)} must be of letters that can be printed, in a line"
        )
    core, setup = _packed_core(), _core.setup_text(car._core)
    known = [demo_track(name) for name in DEMO_TRACKS] if tracks is None else tracks
    data = {
        "key": hashlib.sha256(setup.encode()).hexdigest()[:_KEY_DIGITS],
        "title": title,
        "setup": setup,
        "gaps": _ends(usual_gaps(car)),
        "doubts": {path: unknown(car, path).doubt for path in USUAL_UNKNOWNS},
        "slugStep": slug_step(parts),
        "normals": np.random.default_rng(_SEED).standard_normal(_DRAWS).tolist(),
        "gears": _gears(car, parts),
        "shoes": {
            "gap": field_table.pairs()["two_speed.gap"],
            "slugMass": field_table.pairs()["two_speed.slug_mass"],
        },
        "hasNut": car["clutch.design"] == "axial",
        "slugs": () if parts is None else parts.slugs,
        "tracks": [_track(each) for each in checked_list("tracks", known, "tracks")],
    }
    look, script = _text("look.css"), _script()
    filled = {
        "title": html.escape(title),
        "subtitle": html.escape(" ".join((*_of_demo_car(car), CAUTION[0]))),
        "policy": _policy(look, script),
        "style": look,
        "care": "\n".join(f"    <li>{html.escape(each)}</li>" for each in CARE),
        "data": _as_json(data),
        "core": core,
        "script": script,
    }
    return Template(_text("page.html")).substitute(filled)


def _of_demo_car(car: Car) -> tuple[str, ...]:
    is_demo = car in map(demo_car, DEMO_ENGINES)
    return ("This is the demo car; its numbers are invented.",) if is_demo else ()


def _ends(values: list[float]) -> tuple[float, float]:
    return values[0], values[-1]


def _packed_core() -> str:
    """Return the core as text: gzip in base85, with nothing in it that could end an element."""
    try:
        content = _CORE.read_bytes()
    except FileNotFoundError:
        raise FileNotFoundError(
            "this installation has no core for the page: install Layshaft again with"
            " LAYSHAFT_BUILD_PAGE=true in the environment (it compiles for a minute more)"
        ) from None
    return base64.b85encode(gzip.compress(content, 9, mtime=0)).decode().replace("<", ".")


def _gears(car: Car, parts: Parts | None) -> list[dict[str, float]]:
    if parts is None:
        teeth: dict[str, Any] = {
            f"{gear}_{part}s": tuple(car[f"{gear}.{part}"] + step for step in (-1, 0, 1))
            for gear in ("first", "second")
            for part in ("pinion", "spur")
        }
        return meshing_sets(car, Parts(**teeth))[:_MOST_GEARS]
    sets = meshing_sets(car, checked_parts(parts))
    if len(sets) > _MOST_GEARS:
        raise ValueError(f"parts give {len(sets)} sets of gears; at most {_MOST_GEARS} fit a page")
    return sets


def _track(given: object) -> dict[str, Any]:
    track = checked("tracks", given, Track, "layshaft.read_track")
    return {
        "name": track.name,
        "pieces": [[p.length, *p.curvature, p.grip, p.grade] for p in track.pieces],
    }


def _as_json(data: object) -> str:
    """Write data so that no text in it can end the element that holds it."""
    text = json.dumps(data, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c")


def _policy(look: str, script: str) -> str:
    """Allow the page's own script and look by their hashes, and nothing else."""
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src '{_hash(script)}' 'wasm-unsafe-eval'",
            f"style-src '{_hash(look)}'",
            "img-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def _hash(text: str) -> str:
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


def _text(*names: str) -> str:
    return resources.files("layshaft.page").joinpath(*names).read_text(encoding="utf-8")


def _script() -> str:
    """Put the modules into one script: a page from a file cannot load them one by one.

    Comments and indents are left out: they are a tenth of what a phone would be sent.
    """
    joined = [_as_function(name, _text("script", f"{name}.js")) for name in _MODULES]
    main, _ = _unlinked(_text("script", f"{_MAIN}.js"))
    script = re.sub(r"/\*\*.*?\*/|^\s*//.*?$", "", "\n".join([*joined, main]), flags=re.M | re.S)
    return re.sub(r"\n\s*", "\n", script)


def _as_function(name: str, text: str) -> str:
    """Turn a module into a function called at once, so that its own names stay its own."""
    body, exported = _unlinked(text)
    return (
        f"const {_variable(name)} = (() => {{\n{body}\nreturn {{ {', '.join(exported)} }};\n}})();"
    )


def _unlinked(text: str) -> tuple[str, list[str]]:
    linked = re.compile(r'^import (\{[^}]*\}) from "\./([a-z]+)\.js";$', re.MULTILINE)
    body = linked.sub(lambda found: f"const {found[1]} = {_variable(found[2])};", text)
    public = re.compile(r"^export ((?:async )?(?:function|class|const) (\w+))", re.MULTILINE)
    return public.sub(r"\1", body), [found[2] for found in public.finditer(body)]


def _variable(name: str) -> str:
    return f"{name}Module"
