"""What was seen on the track: a list of a lap timer, or a log of one lap over its distance."""

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from layshaft import _core
from layshaft.advice.choices import as_written, merged
from layshaft.fitting.logged_run import read_error, read_samples
from layshaft.fitting.observations import Observation, observe, stored_changes
from layshaft.quantities import units
from layshaft.quantities.possible import check_possible
from layshaft.runs.lap_options import LapOptions, read_lap_options
from layshaft.runs.point_runs import Point
from layshaft.runs.run_options import Given
from layshaft.setup.car import Car
from layshaft.setup.csv_text import read_text_table
from layshaft.setup.setup_file import Fault, SetupError

#: What may be logged: SI unit, and the column among the states of a lap.
_LOGGED = {"engine_speed": ("rad/s", "crank"), "car_speed": ("m/s", "car")}
#: Spacing of the samples that a log is compared with [m].
_SPACING = 0.25
_LAP_TIME = "lap_time_s"


@dataclass(frozen=True, slots=True, kw_only=True)
class LapLog:
    """A logged lap; SI units. Its errors are taken to be independent of one sample to the next."""

    quantity: str  #: `engine_speed` or `car_speed`
    distances: tuple[float, ...]  #: from the line [m]
    values: tuple[float, ...]
    error: float  #: one standard deviation of a sample
    changes: tuple[tuple[str, float], ...]
    options: LapOptions

    def predicted(self, car: Car, points: Sequence[Point]) -> np.ndarray:
        """Return what each car would have logged, points x samples; not-a-numbers on failure."""
        with ThreadPoolExecutor() as pool:  # a lap leaves Python's lock alone
            rows = pool.map(lambda point: self._one(car, point), points)
        return np.array(list(rows))

    def _one(self, car: Car, point: Point) -> np.ndarray:
        changed = car.replace(as_written(merged(point, dict(self.changes))))
        run = _core.lap(changed._core, self.options.core())
        if run.message:
            return np.full(len(self.distances), np.nan)
        states = run.sample_states
        column = _core.node_names.index(_LOGGED[self.quantity][1])
        at = len(_core.node_names) + len(_core.auxiliary_names)
        return np.interp(self.distances, states[:, at], states[:, column])


def lap_log(
    quantity: str,
    distances: Sequence[float],
    values: Sequence[float],
    *,
    track: object,
    error: Given,
    changes: Mapping[str, object] | None = None,
    **options: object,
) -> LapLog:
    """Make a log of one lap of arrays in SI units, for `layshaft.learn`.

    Parameters
    ----------
    quantity
        `engine_speed` [rad/s] or `car_speed` [m/s].
    distances
        Rising, from the line, within the lap [m].
    values
        As many.
    track, options
        As for `layshaft.lap`.
    error
        One standard deviation of a sample, number in the SI unit or text with a unit.
    changes
        Settings that were others than the car's at that time, as for `Car.replace`.

    Raises
    ------
    ValueError
        For another quantity, fewer than two samples, or an error that is not above 0.

    Examples
    --------
    >>> lap_log("car_speed", [10.0, 30.0], [28.0, 31.0], track="club", error="2 km/h").distances
    (10.0, 30.0)
    """
    if quantity not in _LOGGED:
        raise ValueError(f"{quantity}: must be one of {', '.join(_LOGGED)}")
    read = read_lap_options(track, **{"sample_spacing": _SPACING} | options)
    numbers = read_samples("distances", distances, "m", values, _LOGGED[quantity][0])
    if numbers.shape[1] < 2 or not np.isfinite(numbers).all() or np.any(np.diff(numbers[0]) <= 0.0):
        raise ValueError("a log needs at least two samples, numbers all, at rising distances")
    if numbers[0, 0] < 0.0 or numbers[0, -1] > read.distance:
        raise ValueError(f"a log of a lap must lie between 0 and {read.distance:g} m")
    unit = _LOGGED[quantity][0]
    for extreme in (numbers[1].min(), numbers[1].max()):
        # Noise may take a speed near 0 below it.
        check_possible(quantity, abs(float(extreme)), unit, float(extreme))
    spread = read_error(quantity, error, unit)
    return LapLog(
        quantity=quantity,
        distances=tuple(numbers[0].tolist()),
        values=tuple(numbers[1].tolist()),
        error=spread,
        changes=stored_changes(changes),
        options=read,
    )


def lap_times(
    times: Sequence[Given],
    *,
    track: object,
    error: Given = "0.05 s",
    changes: Mapping[str, object] | None = None,
    **options: object,
) -> Observation:
    """Make one observation of the list of a lap timer, for `layshaft.learn`.

    The middle of the list counts, so that a lap with a mistake or a pass spoils nothing. Its error
    is that of the middle of so many laps, and `error` for what all laps share.

    Parameters
    ----------
    times
        Of flying laps [s].
    track, options
        As for `layshaft.lap`.
    error
        What all laps have in common and no lap can: line, day, driver [s].
    changes
        Settings that were others than the car's at that time, as for `Car.replace`.

    Examples
    --------
    >>> seen = lap_times([21.7, 21.9, 21.6, 25.0, 21.8], track="club")
    >>> seen.value
    21.8
    """
    numbers = units.read_list("times", times, "s")
    if not numbers or not np.isfinite(numbers).all() or min(numbers) <= 0.0:
        raise ValueError("a lap timer's list needs at least one time, all of them above 0 s")
    shared = units.read("error", error, "s")
    # Of normally scattered laps: from the middle half, which mistakes do not reach.
    low, high = np.percentile(numbers, [25.0, 75.0])
    own = 1.2533 * (high - low) / 1.349 / np.sqrt(len(numbers))
    return observe(
        "time",
        float(np.median(numbers)),
        error=float(np.hypot(own, shared)),
        changes=changes,
        track=track,
        **options,
    )


def read_lap_times(
    path: str | os.PathLike[str], *, track: object, **options: object
) -> Observation:
    r"""Read the list of a lap timer: a CSV file with a column `lap_time_s`; see `lap_times`.

    Raises
    ------
    SetupError
        Naming the file and the line.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "timer.csv")
    ...     _ = file.write_text("lap,lap_time_s\n1,21.7\n2,21.9\n3,21.8\n")
    ...     read_lap_times(file, track="club").value
    21.8
    """
    table = read_text_table(path)
    if _LAP_TIME not in table.heads:
        raise SetupError([Fault(table.file, table.line, "", f"must name the column {_LAP_TIME}")])
    at = table.heads.index(_LAP_TIME)
    times = []
    for row in table.rows:
        try:
            times.append(
                check_possible("lap time", table.number(row.cells[at]), "s", row.cells[at])
            )
        except ValueError as fault:
            table.note(row, str(fault))
    table.stop_if_faulty()
    try:
        return lap_times(times, track=track, **options)
    except ValueError as fault:
        raise SetupError([Fault(table.file, None, "", str(fault))]) from None
