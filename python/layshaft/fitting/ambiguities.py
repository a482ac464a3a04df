"""What observations cannot tell of the unknowns: silent ones, and causes that look alike."""

from collections.abc import Iterator, Sequence

import numpy as np

from layshaft.fitting.unknowns import Unknown

#: Two causes are alike if the cosine between what they do to the data exceeds this.
_ALIKE = 0.98
#: A direction is loose if the data leave more than this share of the doubt in it.
_LOOSE = 0.5
_LEAST_PART = 0.3
#: Below this share of the doubt left, the data tell at least something.
_UNTOLD = 0.9
#: Less, in doubts, is no move: the digits printed do not show it.
_LEAST_MOVE = 5e-3


def ambiguities(
    unknowns: Sequence[Unknown], values: Sequence[float], information: np.ndarray
) -> Iterator[str]:
    """Say, in sentences, what the data cannot tell.

    Looks at what each unknown does to the data, in doubts over errors.
    """
    sizes = np.sqrt(np.diag(information))
    names = [each.path for each in unknowns]
    silent = [name for name, size in zip(names, sizes, strict=True) if size < _LOOSE]
    for name in silent:
        at = names.index(name)
        became = _what_became(unknowns[at], values[at])
        yield f"The data say next to nothing of {name}: {became}."
    told = [i for i, name in enumerate(names) if name not in silent]
    paired: set[int] = set()
    for place, i in enumerate(told):
        for j in told[place + 1 :]:
            cosine = information[i, j] / (sizes[i] * sizes[j])
            contrast = np.linalg.eigvalsh(information[np.ix_([i, j], [i, j])])[0]
            if abs(cosine) > _ALIKE and _left(contrast) > _LOOSE:
                paired |= {i, j}
                hardly = _left(contrast) < _UNTOLD
                yield _alike(unknowns[i], unknowns[j], cosine, sizes[i] / sizes[j], hardly)
    strengths, directions = np.linalg.eigh(information)
    for strength, direction in zip(strengths, directions.T, strict=True):
        parts = [i for i in told if abs(direction[i]) > _LEAST_PART]
        if _left(strength) > _LOOSE and len(parts) > 1 and not set(parts) <= paired:
            listed = " and ".join(names[i] for i in parts)
            yield f"The data cannot tell {listed} apart: only a mixture of them is known."


def _what_became(unknown: Unknown, value: float) -> str:
    """Say what became of a number of which the data say next to nothing."""
    moved = abs(value - unknown.guess) / unknown.doubt
    if moved < _LEAST_MOVE:
        return "it stays as believed"
    return f"that it moved, by {moved:.0%} of its doubt, is no finding"


def _left(strength: float) -> float:
    """Return the share of the doubt left where the data are worth `strength` guesses."""
    return float(1.0 / np.sqrt(1.0 + max(strength, 0.0)))


def _alike(one: Unknown, other: Unknown, cosine: float, size: float, hardly: bool) -> str:
    """Say how two causes look alike; `size` is what the one does over what the other does."""
    # Ten per cent of one, and what it takes of the other to show the same.
    share = 0.1 * abs(one.guess) / one.doubt * size
    same = np.sign(cosine) * share * other.doubt / abs(other.guess)
    way = "more" if same > 0 else "less"
    can = "can hardly" if hardly else "cannot"
    return (
        f"The data {can} tell {one.path} from {other.path}: 10 % more of the one looks like"
        f" {abs(same):.0%} {way} of the other. Their sum of effects is known, not the parts."
    )
