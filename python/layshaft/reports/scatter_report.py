"""What the command line prints of a scatter: how far the shift varies, and why."""

from typing import TYPE_CHECKING

from layshaft.quantities.pit_units import KMH

if TYPE_CHECKING:
    from layshaft.advice.scatter_study import Scatter, Share

_LEAST_SHARE = 0.03
_ENOUGH = 32  #: samples; of fewer the shares come out anew with every seed


def scatter_sentences(study: "Scatter") -> list[str]:
    """Say how far the shift varies, what that costs, and what to measure better.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    low, high = (speed * KMH for speed in study.shift_range)
    least, most = study.loss_range
    lines = [
        f"95 % of such cars shift between {low:.1f} and {high:.1f} km/h"
        f" (as set: {study.shift_speed * KMH:.1f}).",
        f"Over {study.distance:.4g} m they are {-least:.3f} s quicker to {most:.3f} s slower.",
    ]
    for what, shares in (("shift speed", study.shift_shares), ("time", study.time_shares)):
        lines.append(f"What makes the {what} vary: {_shares(shares)} ({_how_rough(study)}).")
    if study.failed:
        lines.append(f"{study.failed} of the cars drawn did not shift or did not arrive.")
    return lines


def _shares(shares: "tuple[Share, ...]") -> str:
    """List shares so that together they are no more than all: what few samples add is taken off."""
    whole = max(sum(share.with_others for share in shares), 1.0)
    parts = [(share.path, share.with_others / whole) for share in shares]
    return ", ".join(f"{path} {part:.0%}" for path, part in parts if part > _LEAST_SHARE)


def _how_rough(study: "Scatter") -> str:
    samples = len(study.losses) // 2
    return "shares, roughly" if samples >= _ENOUGH else f"shares of {samples} samples, a mere hint"
