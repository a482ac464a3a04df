"""What the car was seen to do, and what a car of given numbers would have done instead."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Unpack

import numpy as np

from layshaft import _core
from layshaft.fitting.shown import check_shown
from layshaft.quantities import units
from layshaft.quantities.pit_units import KMH
from layshaft.quantities.possible import check_error
from layshaft.quantities.refused import cut, shown
from layshaft.quantities.units import Given
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.lap_run import LapRun
from layshaft.runs.launch_options import LaunchOptions
from layshaft.runs.launch_run import LaunchRun
from layshaft.runs.measures import read_measure
from layshaft.runs.point_runs import PointRuns, run_points, scalar_unit
from layshaft.runs.run_options import Drive, Options, read_options
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.setup.handed_over import checked_map
from layshaft.setup.settings import Point, merged

#: Errors (one standard deviation) taken where none is given: common practice, no source.
USUAL_ERRORS: dict[str, Given] = {
    "shift_speed": "2 km/h",  # heard, and read off a gauge or from the place on the track
    "contact_speed": "2 km/h",
    "let_go_speed": "2 km/h",
    "lock_speed": "2 km/h",
    "low_speed": "2 km/h",
    "time": "0.02 s",
    "lap_time": "0.05 s",  # of the middle of some laps
    "peak_speed": "2 km/h",
    "engine_speed_before": "500 rpm",
    "engine_speed_after": "500 rpm",
    "engine_speed_drop": "500 rpm",
    "hand_over": "0.03 s",
}
#: A top speed needs a longer way.
_LONG_WAY: Options = {"distance": 200.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """One number seen on the track, in the SI unit. Make it by `observe`."""

    measure: str  #: `time` to the distance, or a scalar of a run
    value: float
    error: float  #: one standard deviation
    changes: tuple[tuple[str, float], ...]  #: setting at that time, where it was another
    options: Drive

    def predicted(self, runs: PointRuns) -> np.ndarray:
        """Return the same of each run."""
        return runs.time if self.measure == "time" else runs[self.measure]


def observe(
    measure: str | Callable[[LaunchRun | LapRun], float],
    value: Given,
    *,
    changes: Mapping[str, object] | None = None,
    error: Given | None = None,
    unit: str = "1",
    **options: Unpack[Options],
) -> Observation:
    """Note one number seen on the track.

    Parameters
    ----------
    measure
        `shift_speed`, `time` (to the `distance`), `lap_time` (with a `track`), `top_speed`, any
        scalar of a run, or a function of a run that returns a number in the SI unit. A shift is
        heard where the engine peaks: that is `shift_speed`. Where the shoes touch, first gear lets
        go, the drum locks and the engine is at its low are `contact_speed`, `let_go_speed`,
        `lock_speed`, `low_speed`.
    value
        What was seen: a number in the SI unit, or text with a unit.
    changes
        Settings that differed from the car's at that time, as for `Car.replace`.
    error
        How far it may be out, one standard deviation; for the usual measures it may be left out:
        2 km/h, 0.02 s, 500 rpm.
    unit
        SI unit of what a function returns.
    options
        Of the run, as for `layshaft.launch`.

    Returns
    -------
    Observation
        The number and how far it may be out, in the SI unit of the measure; for `layshaft.learn`.

    Raises
    ------
    ValueError
        For an unknown measure or field, a wrong unit, a value that no such run can have (60 m in
        0.2 s, a shift beyond the distance), or an error that is not above 0.

    Examples
    --------
    >>> seen = observe("shift_speed", "54 km/h", changes={"two_speed.gap": "4.6 mm"})
    >>> seen.value, seen.changes
    (15.0, (('two_speed.gap', 0.0046),))
    """
    if callable(measure):
        own = read_measure(getattr(measure, "__name__", ""), measure, unit)
        measure, options = own.name, options | {"measures": {own.name: (measure, unit)}}
    if not isinstance(measure, str):
        raise TypeError(
            f"measure = {shown(measure)} must be a scalar of a run, or a function of one"
        )
    if measure == "top_speed":
        measure, options = "peak_speed", {**_LONG_WAY, **options}
    read = read_options(**options)
    unit = measure_unit(measure, read)
    error = USUAL_ERRORS.get(measure) if error is None else error
    if error is None:
        raise ValueError(f"{measure}: say how far it may be out (error=)")
    number, spread = (
        units.read(measure, value, unit),
        units.read(f"error of {measure}", error, unit),
    )
    check_shown(measure, number, unit, value, read)
    check_error(measure, spread, error)
    return Observation(
        measure=measure,
        value=number,
        error=spread,
        changes=stored_changes(changes),
        options=read,
    )


def stored_changes(changes: Mapping[str, object] | None) -> tuple[tuple[str, float], ...]:
    """Turn settings as people write them into stored numbers.

    Examples
    --------
    >>> stored_changes({"two_speed.gap": "4.6 mm"})
    (('two_speed.gap', 0.0046),)
    """
    settings = checked_map("changes", {} if changes is None else changes)
    return tuple(_stored(path, given) for path, given in settings.items())


def measure_unit(measure: str, options: Drive | None = None) -> str:
    """Return the SI unit of what may be seen; with `options` in such a run.

    Examples
    --------
    >>> measure_unit("time"), measure_unit("top_speed")
    ('s', 'm/s')
    """
    if measure == "time":
        return "s"
    return scalar_unit({"top_speed": "peak_speed"}.get(measure, measure), options)


def predict(car: Car, observations: Sequence[Observation], points: Sequence[Point]) -> np.ndarray:
    """Compute what each car would have shown, points x observations.

    Parameters
    ----------
    car
        The car that the points change.
    observations
        What was seen, at which setting and how; its changes win over a point's.
    points
        Changes of each car.
    """
    result = np.full((len(points), len(observations)), np.nan)
    for options in {seen.options for seen in observations}:
        members = [i for i, seen in enumerate(observations) if seen.options == options]
        alike = [observations[i] for i in members]
        if isinstance(options, LaunchOptions) and not options.measures:
            result[:, members] = _launched(car, alike, options, points)
        else:
            result[:, members] = _driven(car, alike, points)
    return result


def _launched(
    car: Car, alike: Sequence[Observation], options: LaunchOptions, points: Sequence[Point]
) -> np.ndarray:
    asked = options.core()
    seen = [
        _core.Observation(
            measure=each.measure,
            value=each.value,
            error=each.error,
            changes=dict(each.changes),
            options=asked,
        )
        for each in alike
    ]
    return _core.predict(car._core, seen, [dict(point) for point in points])


def _driven(car: Car, alike: Sequence[Observation], points: Sequence[Point]) -> np.ndarray:
    """Return the same of laps, and of measures of one's own."""
    settings = list(dict.fromkeys(seen.changes for seen in alike))
    batch = [merged(point, dict(setting)) for setting in settings for point in points]
    runs = run_points(car, batch, alike[0].options)
    shape = (len(settings), len(points))
    rows = [(seen.predicted(runs).reshape(shape), seen.changes) for seen in alike]
    return np.column_stack([shown[settings.index(changes)] for shown, changes in rows])


def describe(observation: Observation) -> str:
    """Say an observation: what was seen, where.

    Examples
    --------
    >>> describe(observe("shift_speed", "54 km/h", changes={"two_speed.gap": "4.6 mm"}))
    'shift speed at gap 4.6 mm'
    """
    name = {"peak_speed": "top speed"}.get(observation.measure)
    name = name or observation.measure.replace("_", " ")
    is_time, options = observation.measure == "time", observation.options
    if isinstance(options, LapOptions):
        name = f"{'lap time' if is_time else name} on {options.track.name}"
    else:
        name = f"time over {options.distance:g} m" if is_time else name
        name += f" from {options.start_speed * KMH:.4g} km/h" if options.start_speed else ""
    settings = [_setting_text(path, value) for path, value in observation.changes]
    return f"{name} at {', '.join(settings)}" if settings else name


def _setting_text(path: str, value: float) -> str:
    field = field_table.field_of(path)
    name = path.removeprefix("two_speed.").replace("_", " ")
    if field.kind != "number" or field.unit == "1":
        return f"{name} {field_table.as_stored(field, value)}"
    unit = units.QUANTITIES[field.unit].unit
    return f"{name} {units.from_si(value, field.unit, unit):.4g} {unit}"


def _stored(path: str, value: object) -> tuple[str, float]:
    field = field_table.find_field(path)
    if field is None:
        raise ValueError(f"unknown field {cut(path)}: {field_table.unknown(path)}")
    try:
        return path, field_table.to_number(field, value)
    except ValueError as error:
        raise ValueError(f"{path} = {shown(value)} {error}") from None
