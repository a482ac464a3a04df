"""Why nothing that was tried shifts, and what to do about it."""

from collections.abc import Mapping

from layshaft.setup.car import Car
from layshaft.setup.settings import as_written


def no_shift_cure(car: Car, settings: Mapping[str, float], *, has_end: bool) -> str:
    """Say why a setting does not shift, and what to do.

    Parameters
    ----------
    car
        As it is.
    settings
        One of those tried, as stored numbers.
    has_end
        Whether the run ends at a distance, so that a longer one may help.

    Examples
    --------
    >>> import layshaft
    >>> no_shift_cure(layshaft.demo_car(), {"two_speed.gap": 0.003}, has_end=True)
    'the shoes never go out; turn the screws out'
    """
    codes = {code for _, code, _ in car.replace(as_written(settings)).warnings()}
    for code, cure in _CURES.items():
        if code in codes:
            return cure
    if has_end:
        return "it ends before the shoes go out; turn the screws out, or go further"
    return "the car never gets fast enough for the shoes to go out; turn the screws out"


#: By what the set-up is warned of; the first that holds counts.
_CURES = {
    "never_shifts": "the shoes never go out; turn the screws out",
    "never_locks": "the shoes slip on and never lock the drum; turn the screws out",
    "shifts_early": "second gear is in almost from the start; turn the screws in",
}
