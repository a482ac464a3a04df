"""Logs of a launch over time or of a lap over distance, and what a car would have logged."""

import json
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass
from typing import Any, Unpack

import numpy as np

from layshaft.fitting.observations import stored_changes
from layshaft.quantities import units
from layshaft.quantities.possible import check_error, check_possible
from layshaft.quantities.units import Given
from layshaft.runs.drive import output_along
from layshaft.runs.lap_options import AnyTrack, LapKeywords, LapOptions, read_lap_options
from layshaft.runs.launch_options import LaunchOptions
from layshaft.runs.measures import plain_options, refuse_measures
from layshaft.runs.run_options import Drive, Options, options_from_json, read_options
from layshaft.setup.car import Car
from layshaft.setup.csv_text import AnyTable, read_text_table
from layshaft.setup.handed_over import one_of
from layshaft.setup.settings import Point, as_written, merged
from layshaft.setup.setup_file import Fault, SetupError

#: What may be logged: SI unit, and the output of a run.
_LOGGED = {"engine_speed": ("rad/s", "crank_speed"), "car_speed": ("m/s", "car_speed")}
#: Spacing of the samples that a log of a lap is compared with [m].
_SPACING = 0.25
#: A run of a car is over by then [s].
LONGEST_LOG = 600.0
#: First sample of a log after the throttle opened [s]; far more than a launch takes.
_LATEST_START = 20.0
_HEADS = {
    "engine_speed_rpm": ("engine_speed", "rpm"),
    "engine_speed_rad_per_s": ("engine_speed", "rad/s"),
    "car_speed_km_per_h": ("car_speed", "km/h"),
    "car_speed_m_per_s": ("car_speed", "m/s"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """What was logged along one run; SI units. Errors are taken to be independent by sample."""

    quantity: str  #: `engine_speed` or `car_speed`
    along: tuple[float, ...]  #: since the throttle opened [s]; of a lap, from the line [m]
    values: tuple[float, ...]
    error: float  #: one standard deviation of a sample
    changes: tuple[tuple[str, float], ...]
    options: Drive

    @property
    def unit(self) -> str:
        """SI unit of the values."""
        return _LOGGED[self.quantity][0]

    def predicted(self, car: Car, points: Sequence[Point]) -> np.ndarray:
        """Return what each car would have logged, points x samples; not-a-numbers on failure."""
        with ThreadPoolExecutor() as pool:  # a run leaves Python's lock alone
            return np.array(list(pool.map(lambda point: self._one(car, point), points)))

    def _one(self, car: Car, point: Point) -> np.ndarray:
        changed = car.replace(as_written(merged(point, dict(self.changes))))
        along, logged = output_along(_LOGGED[self.quantity][1], changed, self.options)
        is_launch = isinstance(self.options, LaunchOptions)  # one may end before its log
        if not len(along) or (is_launch and along[-1] < self.along[-1]):
            return np.full(len(self.along), np.nan)
        return np.interp(self.along, along, logged)


def run_log(
    quantity: str,
    times: Sequence[float],
    values: Sequence[float],
    *,
    error: Given,
    changes: Mapping[str, object] | None = None,
    **options: Unpack[Options],
) -> Log:
    """Make a log of arrays in SI units.

    Parameters
    ----------
    quantity
        `engine_speed` [rad/s] or `car_speed` [m/s].
    times
        Rising, since the throttle opened [s].
    values
        As many.
    error
        One standard deviation of a sample, number in the SI unit or text with a unit.
    changes, options
        Setting and kind of the run, as for `layshaft.observe`; it runs on as long as the log.

    Returns
    -------
    Log
        The log with times [s] and values in the SI unit, one a sample; for `layshaft.learn`.

    Examples
    --------
    >>> run_log("car_speed", [0.5, 1.0], [5.0, 11.0], error="1 km/h").along
    (0.5, 1.0)
    """
    refuse_measures("a log", options)
    numbers = _samples(quantity, "times", times, "s", values)
    _check_times(numbers[0])
    longest = float(numbers[0, -1]) + 0.1
    way = read_options(**{"distance": 1000.0, "longest_time": longest} | options)
    return _log(quantity, numbers, error, changes, way)


def lap_log(
    quantity: str,
    distances: Sequence[float],
    values: Sequence[float],
    *,
    track: AnyTrack,
    error: Given,
    changes: Mapping[str, object] | None = None,
    **options: Unpack[LapKeywords],
) -> Log:
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
        Settings that differed from the car's at that time, as for `Car.replace`.

    Returns
    -------
    Log
        The log with distances [m] and values in the SI unit, one a sample; for `layshaft.learn`.

    Raises
    ------
    ValueError
        For another quantity, fewer than two samples, or an error that is not above 0.

    Examples
    --------
    >>> lap_log("car_speed", [10.0, 30.0], [28.0, 31.0], track="club", error="2 km/h").along
    (10.0, 30.0)
    """
    refuse_measures("a log", options)
    read = read_lap_options(track, **{"sample_spacing": _SPACING} | options)
    numbers = _samples(quantity, "distances", distances, "m", values)
    _check_distances(numbers[0], read)
    return _log(quantity, numbers, error, changes, read)


def plain_log(log: Log) -> dict[str, Any]:
    """Return a log as plain data.

    Examples
    --------
    >>> log = run_log("car_speed", [0.5, 1.0], [5.0, 11.0], error="1 km/h")
    >>> log_of(plain_log(log)) == log
    True
    """
    return asdict(log) | {"options": plain_options(log.options)}


def log_of(content: Mapping[str, Any]) -> Log:
    """Read what `plain_log` gave; a KeyError or ValueError where it is not as it was written."""
    options = options_from_json(json.dumps(content["options"]))
    is_lap = isinstance(options, LapOptions)
    name, unit = ("distances", "m") if is_lap else ("times", "s")
    quantity = content["quantity"]
    numbers = _samples(quantity, name, content["along"], unit, content["values"])
    if is_lap:
        _check_distances(numbers[0], options)
    else:
        _check_times(numbers[0])
    changes = as_written({path: float(value) for path, value in content["changes"]})
    return _log(quantity, numbers, float(content["error"]), changes, options)


def _check_times(times: np.ndarray) -> None:
    if times[0] < 0.0:
        raise ValueError("a log must not begin before the throttle opens: take its start off")
    if times[0] > _LATEST_START:
        raise ValueError(
            f"a log must begin at the start of the run, as the throttle opens, within"
            f" {_LATEST_START:g} s, not at {times[0]:g} s: take the time before off"
        )
    if times[-1] > LONGEST_LOG:
        raise ValueError(f"a log must not last longer than {LONGEST_LOG:g} s")


def _check_distances(distances: np.ndarray, lap: Drive) -> None:
    if distances[0] < 0.0 or distances[-1] > lap.distance:
        raise ValueError(f"a log of a lap must lie between 0 and {lap.distance:g} m")


def _samples(
    quantity: str, name: str, along: object, along_unit: str, values: object
) -> np.ndarray:
    """Read samples along a run as two rows: where they were taken, and what they show."""
    one_of("quantity", quantity, tuple(_LOGGED))
    unit = _LOGGED[quantity][0]
    rows = units.read_list(name, along, along_unit), units.read_list("values", values, unit)
    if len(rows[0]) != len(rows[1]):
        raise ValueError(
            f"a log needs as many {name} as values, not {len(rows[0])}, {len(rows[1])}"
        )
    numbers = np.array(rows)
    if numbers.shape[1] < 2 or not np.isfinite(numbers).all() or np.any(np.diff(numbers[0]) <= 0.0):
        raise ValueError(f"a log needs at least two samples, numbers all, at rising {name}")
    return numbers


def _log(
    quantity: str,
    numbers: np.ndarray,
    error: Given,
    changes: Mapping[str, object] | None,
    options: Drive,
) -> Log:
    unit = _LOGGED[quantity][0]
    for extreme in (numbers[1].min(), numbers[1].max()):
        # Noise may take a speed near 0 below it.
        check_possible(quantity, abs(float(extreme)), unit, float(extreme))
    spread = units.read(f"error of {quantity}", error, unit)
    return Log(
        quantity=quantity,
        along=tuple(numbers[0].tolist()),
        values=tuple(numbers[1].tolist()),
        error=check_error(quantity, spread, error),
        changes=stored_changes(changes),
        options=options,
    )


def read_log(
    given: AnyTable,
    *,
    error: Given,
    changes: Mapping[str, object] | None = None,
    **options: Unpack[Options],
) -> Log:
    r"""Read a log from a CSV file, or a DataFrame: `time_s` and one quantity with its unit.

    `engine_speed_rpm`, `engine_speed_rad_per_s`, `car_speed_km_per_h` or `car_speed_m_per_s`.

    Returns
    -------
    Log
        The log with times [s] and values in the SI unit, one a row; for `layshaft.learn`.

    Raises
    ------
    SetupError
        Naming the file and the line.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "log.csv")
    ...     _ = file.write_text("time_s,car_speed_km_per_h\n0.5,18\n1.0,36\n")
    ...     read_log(file, error="1 km/h").values
    (5.0, 10.0)
    """
    table = read_text_table(given)
    found = [head for head in table.heads if head in _HEADS]
    if "time_s" not in table.heads or len(found) != 1:
        must = f"must name the columns time_s and one of {', '.join(_HEADS)}"
        raise SetupError([Fault(table.file, table.line, ",".join(table.heads)[:60], must)])
    quantity, unit = _HEADS[found[0]]
    si_unit = _LOGGED[quantity][0]
    scale = units.to_si(f"1 {unit}", si_unit)
    samples = []
    for row in table.rows:
        try:
            time, value = (
                table.number(row.cells[table.heads.index(head)]) for head in ("time_s", found[0])
            )
            check_possible(quantity, value * scale, si_unit, f"{value:g} {unit}")
        except ValueError as fault:
            table.note(row, str(fault))
            continue
        samples.append((time, value * scale))
    table.stop_if_faulty()
    times, values = np.array(samples).reshape(-1, 2).T
    try:
        return run_log(quantity, list(times), list(values), error=error, changes=changes, **options)
    except ValueError as fault:
        raise SetupError([Fault(table.file, None, "", str(fault))]) from None
