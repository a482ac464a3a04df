"""What an advised car is warned of and the present one is not."""

from collections.abc import Mapping

from layshaft.runs.point_runs import PointRuns
from layshaft.runs.run_warnings import PEAKS, Warned, run_warnings
from layshaft.setup.car import Car
from layshaft.setup.settings import as_written


def new_warnings(
    present: Car, settings: Mapping[str, float], runs: PointRuns | None = None, row: int = 0
) -> tuple[Warned, ...]:
    """Return what a car at other settings is warned of, and the present car is not.

    Parameters
    ----------
    present
        The car as it is.
    settings
        Path of a field to its stored number.
    runs, row
        Where given: the present car's run is row 0, that of the settings this row.

    Examples
    --------
    >>> import layshaft
    >>> [code for _, code, _ in new_warnings(layshaft.demo_car(), {"two_speed.gap": 0.003})]
    ['never_shifts']
    """
    advised = present.replace(as_written(settings))
    before, after = (list(car.warnings()) for car in (present, advised))
    if runs is not None:
        before += run_warnings(present, *(float(runs[name][0]) for name in PEAKS))
        after += run_warnings(advised, *(float(runs[name][row]) for name in PEAKS))
    known = {each[:2] for each in before}
    new: dict[tuple[str, ...], Warned] = {}
    for each in after:
        if each[:2] not in known:
            new.setdefault(each[:2], each)  # what the set-up says goes before what the run says
    return tuple(new.values())
