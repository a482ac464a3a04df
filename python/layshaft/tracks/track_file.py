"""Track files: segments in TOML, or points of the driven line in CSV."""

import math
import os
from collections.abc import Callable, Iterable, Iterator
from difflib import get_close_matches
from importlib import resources
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from layshaft.quantities import units
from layshaft.setup.csv_text import Row, TextTable, read_text_table
from layshaft.setup.handed_over import checked_path, one_of
from layshaft.setup.setup_file import Fault, SetupError, parsed, text_of
from layshaft.setup.toml_lines import KeyPath
from layshaft.setup.toml_text import shown, shown_key
from layshaft.tracks import track
from layshaft.tracks.point_gaps import warn_of_gap
from layshaft.tracks.track import Track
from layshaft.tracks.track_closing import warn_if_open

#: Tracks that come with the package. Invented: they are no real ones.
DEMO_TRACKS = ("club", "fast")


class _Entry(NamedTuple):
    unit: str
    minimum: float
    maximum: float


_MOST_TURNED = 4.0 * math.pi
_COMMON = {"grip": _Entry("1", 0.1, 2.0), "grade": _Entry("1", -0.5, 0.5)}
_STRAIGHT = {"straight": _Entry("m", 0.01, 1e4), **_COMMON}
_CORNER = {
    "corner": _Entry("rad", -_MOST_TURNED, _MOST_TURNED),
    "radius": _Entry("m", 0.5, 1e3),
    "blend": _Entry("m", 0.01, 100.0),
    **_COMMON,
}
#: Columns of a table of points.
_POINT, _SCATTER = ("x_m", "y_m"), "scatter_m"
_USUAL_SCATTER = 0.02  #: [m]
_SECTOR = _Entry("m", 0.01, 1e5)
_TOP = ("name", "grip", "blend", "sectors", "segment")
_FaultSink = Callable[[KeyPath, object, str], None]


def demo_track(name: str) -> Track:
    """Return a track that comes with the package: `club`, tight, or `fast`. Both are invented.

    Returns
    -------
    Track
        Lengths in m, grip and grade as ratios.

    Examples
    --------
    >>> demo_track("club")
    <Track club (invented): 294.7 m, 9 corners>
    """
    one_of("name", name, DEMO_TRACKS)
    file = resources.files("layshaft").joinpath("data", f"track-{name}.toml")
    with resources.as_file(file) as path:
        return read_track(path)


def read_track(path: str | os.PathLike[str]) -> Track:
    r"""Read a track.

    Parameters
    ----------
    path
        `.toml`: `name`, and one `[[segment]]` after the other, each with `straight` (its length) or
        with `corner` (its angle, positive to the left) and `radius` of the driven line. Optional on
        top and in a segment: `grip`, a factor on the tyres' friction, and `blend`, the length over
        which a corner's curvature rises and falls (1 m); in a segment: `grade`; on top: `sectors`,
        the distances at which sectors end.
        `.csv`: columns `x_m` and `y_m`, points of the driven line once round, at least eight; a
        column `scatter_m` says in its first row how far the points may be out (0.02 m).

        Centimetres of the line move the speed of a corner by per cents: compare settings on one
        file.

    Returns
    -------
    Track
        Lengths in m, grip and grade as ratios.

    Raises
    ------
    SetupError
        With all faults of the file at once, each with its line.

    Warns
    -----
    UserWarning
        For a track that does not close, with how far its end misses its beginning, also in height;
        for a gap between points.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> text = 'name = "ring"\n[[segment]]\ncorner = "360 deg"\nradius = "8 m"\n'
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "ring.toml")
    ...     _ = file.write_text(text)
    ...     read_track(file)
    <Track ring: 51.3 m, 1 corners>
    """
    name = checked_path("path", path)
    ending = Path(name).suffix
    if ending == ".csv":
        through = _read_points(name)
        warn_if_open(through)
        return through
    if ending != ".toml":
        raise SetupError([Fault(name, None, "", _no_track(name))])
    content, lines = parsed(name, text_of(name))
    faults: list[Fault] = []

    def fault(key: KeyPath, value: object, must: str) -> None:
        setting = f"{shown_key(key)} = {shown(value)}" if key else ""
        faults.append(Fault(name, lines.get(key), setting, must))

    read = _track_of(content, Path(name).stem, fault)
    if faults:
        raise SetupError(faults)
    try:
        _check_sectors(read, content, fault)
    except ValueError as error:
        raise SetupError([Fault(name, None, "", str(error))]) from None
    if faults:
        raise SetupError(faults)
    warn_if_open(read)
    return read


def _no_track(name: str) -> str:
    """Say what a name must be that is no track's, and which track may have been meant."""
    files = [f"{name}{ending}" for ending in (".toml", ".csv") if Path(f"{name}{ending}").exists()]
    near = files or get_close_matches(name, DEMO_TRACKS, n=1)
    meant = f"; did you mean {near[0]}?" if near else ""
    return f"must be {' or '.join(DEMO_TRACKS)}, or a file that ends in .toml or .csv{meant}"


def _track_of(content: dict[str, Any], stem: str, fault: _FaultSink) -> Track:
    for key in content:
        if key not in _TOP:
            fault((key,), content[key], f"must be a known name: {_nearest(key, _TOP)}")
    title = content.get("name", stem)
    if not isinstance(title, str):
        fault(("name",), title, "must be text")
    usual = {
        key: _number((key,), content[key], entry, fault)
        for key, entry in (("grip", _COMMON["grip"]), ("blend", _CORNER["blend"]))
        if key in content
    }
    sectors = content.get("sectors", [])
    if not isinstance(sectors, list):
        fault(("sectors",), sectors, "must be a list of distances")
        sectors = []
    ends = [_number(("sectors", k), end, _SECTOR, fault) for k, end in enumerate(sectors)]
    segments = content.get("segment")
    if not isinstance(segments, list) or not segments:
        fault((), None, "must have at least one [[segment]]")
        segments = []
    pieces = [p for k, each in enumerate(segments) for p in _segment(k, each, usual, fault)]
    return Track(str(title), tuple(pieces), tuple(end for end in ends if end is not None))


def _check_sectors(read: Track, content: dict[str, Any], fault: _FaultSink) -> None:
    for k, (before, end) in enumerate(pairwise((0.0, *read.sectors))):
        if not before < end < read.length:
            must = f"must be ascending and within the lap of {read.length:.1f} m"
            fault(("sectors", k), content["sectors"][k], must)


def _segment(
    position: int, segment: object, usual: dict[str, float | None], fault: _FaultSink
) -> Iterator[track.Piece]:
    key: KeyPath = ("segment", position)
    if not isinstance(segment, dict) or ("straight" in segment) == ("corner" in segment):
        fault(key, segment, "must have straight, or corner and radius")
        return
    entries = _STRAIGHT if "straight" in segment else _CORNER
    values: dict[str, Any] = {n: number for n, number in usual.items() if n in entries}
    for name, value in segment.items():
        if name not in entries:
            fault((*key, name), value, f"must be a known name: {_nearest(name, entries)}")
        else:
            values[name] = _number((*key, name), value, entries[name], fault)
    if "corner" in segment and "radius" not in segment:
        fault(key, segment, "must have a radius")
        return
    if None in values.values():
        return
    if "straight" in segment:
        yield from track.straight(values.pop("straight"), **values)
    elif (arc := abs(values["corner"]) * values["radius"]) < _STRAIGHT["straight"].minimum:
        least = _STRAIGHT["straight"].minimum
        must = f"must not be 0: an arc of {least:g} m at least, not {arc:.2g} m"
        fault((*key, "corner"), segment["corner"], must)
    else:
        yield from track.corner(values.pop("corner"), values.pop("radius"), **values)


def _number(key: KeyPath, value: object, entry: _Entry, fault: _FaultSink) -> float | None:
    try:
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise ValueError("must be a number or text with a unit")
        number = units.to_si(value, entry.unit) if isinstance(value, str) else float(value)
    except ValueError as error:
        fault(key, value, str(error))
        return None
    if not entry.minimum <= number <= entry.maximum:
        unit = {"rad": "deg", "1": ""}.get(entry.unit, entry.unit)
        low, high = (units.si_text(end, entry.unit, unit) for end in (entry.minimum, entry.maximum))
        fault(key, value, f"must be from {low} to {high}")
        return None
    return number


def _nearest(name: str, known: Iterable[str]) -> str:
    return get_close_matches(name, list(known), n=1, cutoff=0.0)[0]


def _read_points(name: str) -> Track:
    table = read_text_table(name)
    faults = [
        Fault(name, table.line, "", f"must have a column {column}")
        for column in _POINT
        if column not in table.heads
    ]
    if faults:
        raise SetupError(faults)
    points = [[_cell(table, row, head) for row in table.rows] for head in _POINT]
    scatter = _USUAL_SCATTER
    if _SCATTER in table.heads and table.rows and table.rows[0].cells[table.heads.index(_SCATTER)]:
        scatter = _cell(table, table.rows[0], _SCATTER)
    table.stop_if_faulty()
    try:
        closed = track.closed_line(*points)
        through = track.through_line(closed, Path(name).stem, scatter)
    except ValueError as error:
        raise SetupError([Fault(name, None, "", str(error))]) from None
    warn_of_gap(Path(name).stem, closed, stacklevel=4)
    return through


def _cell(table: TextTable, row: Row, head: str) -> float:
    """Return the number in a column of a row; where there is none, note it and return 0."""
    cell = row.cells[table.heads.index(head)]
    try:
        return table.number(cell)
    except ValueError as error:
        table.note(row, str(error), f"{head} = {shown(cell)}")
        return 0.0
