"""A track as the car meets it: curvature, grip and grade over the distance along its line."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from layshaft import _core
from layshaft.quantities import units
from layshaft.quantities.refused import shown
from layshaft.setup.handed_over import checked, checked_list, without_owner
from layshaft.tracks.point_gaps import warn_of_gap

#: Step in which the driven line is summed up [m].
_STEP = 0.02
#: A lap of a car of this scale; far beyond any.
_LONGEST_LAP = 10_000.0  #: [m]
_MOST_POINTS = 20_000
_NEAREST, _FARTHEST = 1e-3, 100.0  #: from one point of a line to the next [m]
_MOST_SCATTER = 1.0  #: [m]
_TIGHTEST = 0.5  #: radius of a driven line [m]


class Piece(NamedTuple):
    """A stretch of track, straight or curved, with constant grip and grade; SI units."""

    length: float  #: [m]
    curvature: tuple[float, float, float, float]  #: c0 + c1 x + c2 x^2 + c3 x^3 [1/m], + left
    grip: float = 1.0  #: factor on the friction of the tyres [-]
    grade: float = 0.0  #: rise over run [-]


class Line(NamedTuple):
    """Points of the driven line from the start on; arrays of one length."""

    distance: np.ndarray  #: [m]
    x: np.ndarray  #: [m]
    y: np.ndarray  #: [m]
    heading: np.ndarray  #: from the x axis to the left [rad]


@dataclass(frozen=True)
class Track:
    """A track. Make it by `layshaft.read_track` or `layshaft.demo_track`.

    The line is given: the car never leaves it. After the end the beginning follows again.
    """

    name: str
    pieces: tuple[Piece, ...]
    sectors: tuple[float, ...] = ()  #: where sectors end [m]; the line ends the last

    def __post_init__(self) -> None:
        if not isinstance(self.name, str):
            raise TypeError(f"name = {shown(self.name)} must be text")
        pieces = checked_list("pieces", self.pieces, "pieces")
        held = tuple(
            checked("pieces", each, Piece, "layshaft.read_track(...).pieces") for each in pieces
        )
        object.__setattr__(self, "pieces", held)
        object.__setattr__(self, "sectors", tuple(units.read_list("sectors", self.sectors, "m")))

    @cached_property
    def core(self) -> _core.Track:
        """The track as the core takes it.

        Raises
        ------
        ValueError
            Naming what is out of bounds.
        """
        try:
            rows = [(p.length, *p.curvature, p.grip, p.grade) for p in self.pieces]
            table = np.array(rows, dtype=float).reshape(-1, 7)
        except (TypeError, ValueError):
            raise ValueError("pieces: each must hold numbers, four of them its curvature") from None
        try:
            core = _core.Track(table)
        except ValueError as error:
            raise ValueError(without_owner(str(error))) from None
        if not core.length <= _LONGEST_LAP:
            raise ValueError(f"a lap of {core.length:.6g} m must not exceed {_LONGEST_LAP:g} m")
        return core

    def __getstate__(self) -> dict[str, Any]:
        return {field.name: getattr(self, field.name) for field in fields(self)}

    @property
    def length(self) -> float:
        """Length of a lap [m]."""
        return self.core.length

    @cached_property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """Begin and end of each corner [m]: where the radius is below 40 m."""
        return tuple((begin, end) for begin, end in self.core.corners())

    def curvature(self, distance: object) -> np.ndarray:
        """Return the curvature [1/m] at distances [m], positive to the left."""
        return self.core.curvature_at(np.asarray(distance, dtype=float))

    def line(self) -> Line:
        """Return the driven line, drawn from the start along the x axis.

        Examples
        --------
        >>> import layshaft
        >>> line = layshaft.demo_track("club").line()
        >>> bool(np.hypot(line.x[-1], line.y[-1]) < 0.1)  # it closes
        True
        """
        count = max(round(self.length / _STEP), 2)
        distance = np.linspace(0.0, self.length, count + 1)
        step = distance[1]
        turned = self.curvature(distance[:-1] + 0.5 * step) * step
        heading = np.concatenate([[0.0], np.cumsum(turned)])
        middle = 0.5 * (heading[1:] + heading[:-1])
        x, y = (np.concatenate([[0.0], np.cumsum(way(middle) * step)]) for way in (np.cos, np.sin))
        return Line(distance, x, y, heading)

    @property
    def gap(self) -> float:
        """How far the end of the lap lies from its beginning [m]: 0 for a loop that closes."""
        line = self.line()
        return float(np.hypot(line.x[-1], line.y[-1]))

    def __repr__(self) -> str:
        return f"<Track {self.name}: {self.length:.1f} m, {len(self.corners)} corners>"


def straight(length: float, *, grip: float = 1.0, grade: float = 0.0) -> list[Piece]:
    """Return the piece of a straight [m]."""
    return [Piece(length, (0.0, 0.0, 0.0, 0.0), grip, grade)]


def corner(
    angle: float, radius: float, *, blend: float = 1.0, grip: float = 1.0, grade: float = 0.0
) -> list[Piece]:
    """Return the pieces of a corner.

    Parameters
    ----------
    angle
        Turned by it [rad]; positive to the left.
    radius
        Of the driven line [m].
    blend
        Over which the curvature rises at its beginning, and falls at its end [m]; shortened where
        the corner is too short for both.

    Examples
    --------
    >>> pieces = corner(np.pi / 2.0, 5.0, blend=1.0)
    >>> float(round(sum(piece.length for piece in pieces) - 5.0 * np.pi / 2.0, 12))
    1.0
    """
    arc = abs(angle) * radius
    blend = min(blend, 0.8 * arc)
    bend = np.sign(angle) / radius
    slope = bend / blend
    return [
        Piece(blend, (0.0, slope, 0.0, 0.0), grip, grade),
        Piece(arc - blend, (bend, 0.0, 0.0, 0.0), grip, grade),
        Piece(blend, (bend, -slope, 0.0, 0.0), grip, grade),
    ]


def through_points(
    x: Sequence[float],
    y: Sequence[float],
    *,
    name: str,
    scatter: float = 0.0,
    spacing: float = 1.0,
) -> Track:
    """Make a track of points along its driven line, in order, once round.

    A closed spline is laid through the points, no nearer than their scatter asks for; its curvature
    becomes cubic pieces of even length, twice continuously differentiable.

    Parameters
    ----------
    x, y
        Points [m]; the last need not repeat the first.
    name
        Of the track.
    scatter
        How far a point may be out, one standard deviation [m].
    spacing
        Length of a piece [m]; shorter than what the curvature takes to rise.

    Raises
    ------
    ValueError
        For fewer than eight points, points that are no numbers, lie on each other or too far apart,
        a scatter below 0, and a curve that no car can drive.

    Warns
    -----
    UserWarning
        For a gap between points, such as a last one that is far from the first.

    Examples
    --------
    >>> turn = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    >>> ring = through_points(10.0 * np.cos(turn), 10.0 * np.sin(turn), name="ring")
    >>> bool(abs(ring.curvature(7.0) - 0.1) < 1e-4)
    True
    """
    closed = closed_line(x, y)
    warn_of_gap(name, closed)
    return through_line(closed, name, scatter, spacing)


def through_line(
    closed: np.ndarray, name: str, scatter: float = 0.0, spacing: float = 1.0
) -> Track:
    """Make a track of checked points, the first once more at the end; see `through_points`."""
    from scipy.interpolate import CubicSpline, splev, splprep

    if not 0.0 <= scatter <= _MOST_SCATTER:
        raise ValueError(f"scatter = {shown(scatter)} must be from 0 to {_MOST_SCATTER:g} m")
    # Both coordinates of each point are out.
    smoothing = 2.0 * (closed.shape[1] - 1) * scatter**2
    try:
        spline, _ = splprep(closed, s=smoothing, per=True, k=5)
    except (ValueError, TypeError) as error:
        raise ValueError(f"no smooth line goes through these points ({error})") from None
    fine = np.linspace(0.0, 1.0, 40 * closed.shape[1] + 1)
    (dx, dy), (ddx, ddy) = (splev(fine, spline, der=order) for order in (1, 2))
    speed = np.hypot(dx, dy)
    bend = (dx * ddy - dy * ddx) / speed**3
    steps = 0.5 * (speed[1:] + speed[:-1]) * np.diff(fine)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    count = max(round(way[-1] / spacing), 4)
    knots = np.linspace(0.0, way[-1], count + 1)
    values = np.interp(knots, way, bend)
    values[-1] = values[0]
    cubic = CubicSpline(knots, values, bc_type="periodic")
    length = float(knots[1])
    if not np.isfinite(cubic.c).all():
        raise ValueError("no smooth line goes through these points: it has no curvature somewhere")
    rows = cubic.c[::-1].T.tolist()
    pieces = tuple(Piece(length, (a, b, c, d)) for a, b, c, d in rows[:count])
    _check_radius(pieces)
    made = Track(name, pieces)
    _ = made.core  # a lap too long is refused here
    return made


def _check_radius(pieces: tuple[Piece, ...]) -> None:
    """Refuse a line that turns more tightly than any car."""
    quarters = np.linspace(0.0, 1.0, 5)
    bends = [np.polyval(piece.curvature[::-1], quarters * piece.length) for piece in pieces]
    tightest = np.abs(bends).max(axis=1)
    worst = int(np.argmax(tightest))
    if tightest[worst] * _TIGHTEST > 1.0:
        at = sum(piece.length for piece in pieces[:worst])
        raise ValueError(
            f"the line through these points turns on a radius of {1.0 / tightest[worst]:.2g} m near"
            f" {at:.1f} m, which must be at least {_TIGHTEST:g} m; look for a point that is out, or"
            " say by how much they may be (scatter_m)"
        )


def closed_line(x: Sequence[float], y: Sequence[float]) -> np.ndarray:
    """Return checked points, the first once more at the end; rows x and y [m]."""
    rows = units.read_list("x", x, "m"), units.read_list("y", y, "m")
    if len(rows[0]) != len(rows[1]):
        raise ValueError(f"a track needs as many x as y, not {len(rows[0])} and {len(rows[1])}")
    points = np.array(rows)
    if not np.isfinite(points).all():
        raise ValueError("a track needs at least eight points, all of them numbers")
    if points.shape[1] > 1 and np.allclose(points[:, 0], points[:, -1], rtol=0.0, atol=_NEAREST):
        points = points[:, :-1]
    if not 8 <= points.shape[1] <= _MOST_POINTS:
        count = points.shape[1]
        raise ValueError(
            f"a track needs at least eight points, at most {_MOST_POINTS}, not {count}"
        )
    closed = np.column_stack([points, points[:, :1]])
    ways = np.hypot(*np.diff(closed))
    for bad, why in ((ways > _FARTHEST, "far apart"), (ways < _NEAREST, "near each other")):
        if bad.any():
            at = int(np.argmax(bad))
            to = "the first" if at + 1 == len(ways) else f"{at + 2}"
            raise ValueError(
                f"points {at + 1} and {to} are too {why}: {ways[at]:.4g} m, which must be from"
                f" {_NEAREST:g} to {_FARTHEST:g} m"
            )
    if ways.sum() > _LONGEST_LAP:
        raise ValueError(f"a lap of {ways.sum():.6g} m must not exceed {_LONGEST_LAP:g} m")
    return closed
