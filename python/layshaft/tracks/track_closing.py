"""Whether a track closes: a lap goes on at its beginning, whatever lies in between."""

import warnings
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from layshaft.tracks.track import Piece, Track

#: What a line paced out with a tape may miss by, over the length of the lap, and what its corners
#: may turn too much or too little (common practice, no source).
MOST_MISSED, MOST_TURNED = 0.03, np.radians(5.0)
#: What grades read to half a per cent may leave of a lap's height [m] (common practice, no source).
MOST_CLIMBED = 0.2

#: Shares of the blends that are tried where a track does not close.
_SHARES = (0.5, 0.25, 0.1, 0.05)

#: Turned between the points that a piece is summed up by, at most [rad].
_TURN = 0.02


def warn_if_open(track: "Track", stacklevel: int = 3) -> None:
    """Warn of a track whose end does not meet its beginning."""
    sentence = closing_fault(track)
    if sentence:
        warnings.warn(sentence, UserWarning, stacklevel=stacklevel)


def closing_fault(track: "Track") -> str:
    """Say by how much a track does not close and what to do; nothing where it does."""
    apart, turned = end_of(track.pieces)
    beyond = (turned + np.pi) % (2.0 * np.pi) - np.pi  # past whole turns, whichever way
    faults = []
    if apart > MOST_MISSED * track.length:
        faults.append(f"its end lies {apart:.1f} m from its beginning")
    turns_badly = abs(beyond) > MOST_TURNED
    if turns_badly:
        way = "left" if beyond > 0.0 else "right"
        faults.append(f"its corners turn {np.degrees(abs(beyond)):.0f} deg too far to the {way}")
    cures = []
    if faults:
        # Only a line through points has pieces whose curvature bends.
        through_points = any(any(piece.curvature[2:]) for piece in track.pieces)
        cures.append(
            "Give points that lie closer together."
            if through_points
            else (not turns_badly and _shorter_blend(track))
            or "Check the lengths and angles of its segments."
        )
    climbed = sum(piece.length * piece.grade for piece in track.pieces)
    if abs(climbed) > MOST_CLIMBED:
        side = "above" if climbed > 0.0 else "below"
        faults.append(f"its end lies {abs(climbed):.2g} m {side} its beginning")
        cures.append("Check the grades of its segments.")
    if not faults:
        return ""
    return (
        f"track {track.name} does not close: {' and '.join(faults)}; a lap is driven as if it did. "
        + " ".join(cures)
    )


def _shorter_blend(track: "Track") -> str:
    """Say that blends alone keep a track open, and which would not; nothing where others do."""
    blends = [piece.length for piece in track.pieces if piece.curvature[1]]
    for share in _SHARES if blends else ():
        most = float(f"{share * max(blends):.2g}")  # as it is told
        if end_of(_blended(track.pieces, most))[0] <= MOST_MISSED * track.length:
            return (
                "What keeps it open is the blend of its corners, which moves their ends: set a"
                f' shorter one, blend = "{most:g} m".'
            )
    return ""


def _blended(pieces: Iterable["Piece"], most: float) -> Iterator["Piece"]:
    """Go through pieces with blends of such a length at most; what they took goes to the arc."""
    parts = list(pieces)
    beside = zip(parts[-1:] + parts[:-1], parts, parts[1:] + parts[:1], strict=True)
    for before, piece, after in beside:
        begin, slope, *_ = piece.curvature
        if slope:
            length = min(piece.length, most)
            bent = (begin, slope * piece.length / length, 0.0, 0.0)
            yield piece._replace(length=length, curvature=bent)
        elif begin and before.curvature[1] and after.curvature[1]:
            freed = sum(max(each.length - most, 0.0) for each in (before, after))
            yield piece._replace(length=piece.length + 0.5 * freed)
        else:
            yield piece


def end_of(pieces: Iterable["Piece"]) -> tuple[float, float]:
    """Return how far the end of a line lies from its beginning [m], and what it has turned [rad].

    Examples
    --------
    >>> from layshaft.tracks.track import corner, straight
    >>> apart, turned = end_of([*straight(3.0), *corner(np.pi / 2.0, 1.0, blend=0.5)])
    >>> float(np.degrees(turned).round(6))
    90.0
    """
    place, heading = 0.0 + 0.0j, 0.0
    for length, curvature, *_ in pieces:
        count = 1 + int(length * max(map(abs, np.polyval(curvature[::-1], _looks(length)))) / _TURN)
        middle = (np.arange(count) + 0.5) * (length / count)
        turned = np.polyint(np.array(curvature[::-1]))  # exact: the curvature is a cubic
        place += np.exp(1j * (heading + np.polyval(turned, middle))).sum() * (length / count)
        heading += float(np.polyval(turned, length))
    return float(abs(place)), heading


def _looks(length: float) -> np.ndarray:
    return np.linspace(0.0, length, 9)
