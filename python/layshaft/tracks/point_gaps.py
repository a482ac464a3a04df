"""Whether the points of a driven line have a gap, in which the line is a guess."""

import warnings

import numpy as np

#: A gap: wider than the pieces of a line [m], and than so many times the middle of all steps.
_LEAST_GAP, _MOST_STEPS = 1.0, 3.0


def warn_of_gap(name: str, closed: np.ndarray, stacklevel: int = 3) -> None:
    """Warn of points of a driven line with a gap between them; rows x and y [m]."""
    sentence = gap_fault(name, closed)
    if sentence:
        warnings.warn(sentence, UserWarning, stacklevel=stacklevel)


def gap_fault(name: str, closed: np.ndarray) -> str:
    """Say where points of a line, the first once more at the end, have a gap; else nothing."""
    steps = np.hypot(*np.diff(closed))
    usual = float(np.median(steps))
    wide = np.flatnonzero(steps > max(_MOST_STEPS * usual, _LEAST_GAP))
    if not len(wide):
        return ""
    at = int(np.argmax(steps))
    other = "the first" if at + 1 == len(steps) else f"{at + 2}"
    more = f", and {len(wide) - 1} more" if len(wide) > 1 else ""
    return (
        f"track {name} has a gap of {steps[at]:.1f} m between points {at + 1} and {other}{more};"
        f" most lie {usual:.2g} m apart. The line across it is a guess: add points there."
    )
