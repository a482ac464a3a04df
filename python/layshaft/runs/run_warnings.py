"""What a run warns of, and what an advised car is warned of and the present one is not."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from layshaft import _core
from layshaft.advice.choices import as_written
from layshaft.quantities import units

if TYPE_CHECKING:
    from layshaft.runs.point_runs import PointRuns
    from layshaft.setup.car import Car

#: Section, code, sentence.
Warned = tuple[str, str, str]

#: Scalars of a run that it is warned by, in the order in which `run_warnings` takes them.
PEAKS = ("peak_pitch", "peak_engine_speed")


def run_warnings(car: "Car", peak_pitch: float, peak_engine_speed: float) -> tuple[Warned, ...]:
    """Return what a run of a car warns of.

    Parameters
    ----------
    car
        The car.
    peak_pitch
        Largest pitch of the body [rad].
    peak_engine_speed
        Largest engine speed [rad/s].

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.Car({"engine.speed_limit": "40 krpm"})
    >>> (section, code, sentence), = run_warnings(car, 0.0, 4400.0)
    >>> code, sentence
    ('over_limit', 'The engine reaches 42017 rpm in this run, its limit is 40000 rpm.')
    """
    warned = [tuple(row) for row in _core.pitch_warnings(peak_pitch)]
    limit = car["engine.speed_limit"]
    if peak_engine_speed > limit:
        peak, most = (
            f"{units.from_si(s, 'rad/s', 'rpm'):.0f} rpm" for s in (peak_engine_speed, limit)
        )
        sentence = f"The engine reaches {peak} in this run, its limit is {most}."
        warned.append(("engine", "over_limit", sentence))
    return tuple(warned)


def new_warnings(
    present: "Car", settings: Mapping[str, float], runs: "PointRuns | None" = None, row: int = 0
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
