"""A log of one run, engine speed or car speed over time, and what a car would have logged."""

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Unpack

import numpy as np

from layshaft import _core
from layshaft.advice.choices import as_written, merged
from layshaft.fitting.observations import stored_changes
from layshaft.quantities import units
from layshaft.quantities.possible import check_error, check_possible
from layshaft.runs.point_runs import Point
from layshaft.runs.run_options import Given, Options, RunOptions, read_options
from layshaft.setup.car import Car
from layshaft.setup.csv_text import read_text_table
from layshaft.setup.setup_file import Fault, SetupError

#: What may be logged: SI unit, and the column among the states of a run.
_LOGGED = {"engine_speed": ("rad/s", "crank"), "car_speed": ("m/s", "car")}
#: A run of a car is over by then [s].
LONGEST_LOG = 600.0
_HEADS = {
    "engine_speed_rpm": ("engine_speed", "rpm"),
    "engine_speed_rad_per_s": ("engine_speed", "rad/s"),
    "car_speed_km_per_h": ("car_speed", "km/h"),
    "car_speed_m_per_s": ("car_speed", "m/s"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLog:
    """A logged run; SI units. Its errors are taken to be independent of one sample to the next."""

    quantity: str  #: `engine_speed` or `car_speed`
    times: tuple[float, ...]  #: since the throttle opened [s]
    values: tuple[float, ...]
    error: float  #: one standard deviation of a sample
    changes: tuple[tuple[str, float], ...]
    options: RunOptions

    def predicted(self, car: Car, points: Sequence[Point]) -> np.ndarray:
        """Return what each car would have logged, points x samples; not-a-numbers on failure."""
        with ThreadPoolExecutor() as pool:  # a run leaves Python's lock alone
            rows = pool.map(lambda point: self._one(car, point), points)
        return np.array(list(rows))

    def _one(self, car: Car, point: Point) -> np.ndarray:
        changed = car.replace(as_written(merged(point, dict(self.changes))))
        run = _core.launch(changed._core, self.options.core())
        column = _core.node_names.index(_LOGGED[self.quantity][1])
        times, states = run.sample_times[:, 0], run.sample_states[:, column]
        if run.end == "early" or times[-1] < self.times[-1]:
            return np.full(len(self.times), np.nan)
        return np.interp(self.times, times, states)


def run_log(
    quantity: str,
    times: Sequence[float],
    values: Sequence[float],
    *,
    error: Given,
    changes: Mapping[str, object] | None = None,
    **options: Unpack[Options],
) -> RunLog:
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

    Examples
    --------
    >>> run_log("car_speed", [0.5, 1.0], [5.0, 11.0], error="1 km/h").times
    (0.5, 1.0)
    """
    if quantity not in _LOGGED:
        raise ValueError(f"{quantity}: must be one of {', '.join(_LOGGED)}")
    numbers = read_samples("times", times, "s", values, _LOGGED[quantity][0])
    if numbers.shape[1] < 2 or not np.isfinite(numbers).all() or np.any(np.diff(numbers[0]) <= 0.0):
        raise ValueError("a log needs at least two samples, numbers all, at rising times")
    if numbers[0, 0] < 0.0:
        raise ValueError("a log must not begin before the throttle opens: take its start off")
    if numbers[0, -1] > LONGEST_LOG:
        raise ValueError(f"a log must not last longer than {LONGEST_LOG:g} s")
    unit = _LOGGED[quantity][0]
    for extreme in (numbers[1].min(), numbers[1].max()):
        # Noise may take a speed near 0 below it.
        check_possible(quantity, abs(float(extreme)), unit, float(extreme))
    spread = read_error(quantity, error, unit)
    longest = float(numbers[0, -1]) + 0.1
    options = {"distance": 1000.0, "longest_time": longest} | options
    return RunLog(
        quantity=quantity,
        times=tuple(numbers[0].tolist()),
        values=tuple(numbers[1].tolist()),
        error=spread,
        changes=stored_changes(changes),
        options=read_options(**options),
    )


def read_samples(
    name: str, along: object, along_unit: str, values: object, unit: str
) -> np.ndarray:
    """Read samples along a run as two rows of one length.

    Examples
    --------
    >>> read_samples("times", [0.0, 1.0], "s", [0.0, "36 km/h"], "m/s").tolist()
    [[0.0, 1.0], [0.0, 10.0]]
    """
    rows = units.read_list(name, along, along_unit), units.read_list("values", values, unit)
    if len(rows[0]) != len(rows[1]):
        raise ValueError(
            f"a log needs as many {name} as values, not {len(rows[0])}, {len(rows[1])}"
        )
    return np.array(rows)


def read_error(quantity: str, error: Given, unit: str) -> float:
    """Read how far a sample of a log may be out, in the SI unit.

    Examples
    --------
    >>> read_error("car_speed", "1.8 km/h", "m/s")
    0.5
    """
    return check_error(quantity, units.read(f"error of {quantity}", error, unit), error)


def read_log(
    path: str | os.PathLike[str],
    *,
    error: Given,
    changes: Mapping[str, object] | None = None,
    **options: Unpack[Options],
) -> RunLog:
    r"""Read a log from a CSV file with the columns `time_s` and one quantity with its unit.

    `engine_speed_rpm`, `engine_speed_rad_per_s`, `car_speed_km_per_h` or `car_speed_m_per_s`.

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
    table = read_text_table(path)
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
        return run_log(quantity, times, values, error=error, changes=changes, **options)
    except ValueError as fault:
        raise SetupError([Fault(table.file, None, "", str(fault))]) from None
