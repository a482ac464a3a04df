"""What the command line prints of a scatter: how far the shift varies, and why."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.scatter_study import Scatter
from layshaft.quantities.pit_units import KMH
from layshaft.setup.handed_over import checked

if TYPE_CHECKING:
    from layshaft.advice.scatter_study import Share

_LEAST_SHARE = 0.03
_LEAST_TOLD = 8  #: cars; of fewer the range that holds 95 % is no finding
_ENOUGH = 32  #: samples; of fewer the shares come out anew with every seed


def scatter_sentences(study: "Scatter") -> list[str]:
    """Say how far the shift varies, what that costs, and what to measure better.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    checked("study", study, Scatter, "layshaft.scatter")
    lines = [_shift_sentence(study), *_loss_sentence(study)]
    for what, shares in (("shift speed", study.shift_shares), ("time", study.time_shares)):
        lines.append(f"What makes the {what} vary: {_shares(shares)} ({_how_rough(study)}).")
    if study.failed:
        lines.append(f"{study.failed} of the cars drawn did not shift or did not arrive.")
    return lines


def _shift_sentence(study: "Scatter") -> str:
    count, shifting = len(study.shift_speeds), int(np.isfinite(study.shift_speeds).sum())
    as_set = f"as set: {study.shift_speed * KMH:.1f} km/h"
    if shifting < min(_LEAST_TOLD, count):
        return f"Only {shifting} of {count} such cars shift, too few to say where ({as_set})."
    low, high = (speed * KMH for speed in study.shift_range)
    which = "such cars" if shifting == count else f"the {shifting} of {count} such cars that shift"
    return f"95 % of {which} do so between {low:.1f} and {high:.1f} km/h ({as_set})."


def _loss_sentence(study: "Scatter") -> list[str]:
    count, arrived = len(study.losses), int(np.isfinite(study.losses).sum())
    if arrived < min(_LEAST_TOLD, count):
        return [f"Only {arrived} of {count} such cars arrive, too few to say how quick they are."]
    least, most = study.loss_range
    if least >= 0.0:
        range_ = f"{least:.3f} s to {most:.3f} s slower"
    elif most <= 0.0:
        range_ = f"{-most:.3f} s to {-least:.3f} s quicker"
    else:
        range_ = f"{-least:.3f} s quicker to {most:.3f} s slower"
    return [f"Over {study.distance:.4g} m they are {range_}."]


def _shares(shares: "tuple[Share, ...]") -> str:
    """List shares so that together they are no more than all: what few samples add is taken off."""
    whole = max(sum(share.with_others for share in shares), 1.0)
    parts = [(share.path, share.with_others / whole) for share in shares]
    return ", ".join(f"{path} {part:.0%}" for path, part in parts if part > _LEAST_SHARE)


def _how_rough(study: "Scatter") -> str:
    samples = len(study.losses) // 2
    return "shares, roughly" if samples >= _ENOUGH else f"shares of {samples} samples, a mere hint"
