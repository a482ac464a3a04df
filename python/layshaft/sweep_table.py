"""Many runs of one car with some fields changed, as one labelled table."""

import importlib
import itertools
import warnings
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, NamedTuple, Unpack

import numpy as np

from layshaft import _core, field_table, files
from layshaft.car import Car
from layshaft.run_options import Options, RunOptions, read_options

if TYPE_CHECKING:
    import xarray

#: Called with the number of runs done and of all runs.
Progress = Callable[[int, int], object]


class Chunk(NamedTuple):
    """Results of some runs, one row a run: plain arrays that can be sent to another process."""

    scalars: np.ndarray  #: runs x `_core.scalars`
    distance_times: np.ndarray  #: runs x distances [s]
    distance_speeds: np.ndarray  #: runs x distances [m/s]
    speed_times: np.ndarray  #: runs x speeds [s]
    status: list[str]
    messages: list[str]
    interrupted: bool


def run_chunk(
    car: Car,
    paths: Sequence[str],
    values: np.ndarray,
    options: RunOptions,
    *,
    threads: int = 0,
    progress: Progress | None = None,
) -> Chunk:
    """Run some points of a sweep: a pure function of plain data.

    Parameters
    ----------
    car
        The car to change.
    paths
        Fields that change.
    values
        Runs x paths, as stored numbers in SI units.
    options
        The same for all runs.
    threads
        0 for as many as the machine has cores; the results are the same bits for any number.
    progress
        Called about twenty times a second.
    """
    # Pairs first, so that a shoe named beside them keeps its own value.
    order = sorted(range(len(paths)), key=lambda column: paths[column] not in field_table.pairs())
    ordered = np.ascontiguousarray(values[:, order])
    result, interrupted = _core.sweep(
        car._core, [paths[column] for column in order], ordered, options.core(), threads, progress
    )
    return Chunk(
        result.scalars,
        result.distance_times,
        result.distance_speeds,
        result.speed_times,
        result.status,
        result.messages,
        interrupted,
    )


def sweep(
    car: Car,
    axes: Mapping[str, Iterable[object]],
    *,
    threads: int | None = None,
    progress: bool | Progress = False,
    **options: Unpack[Options],
) -> "xarray.Dataset":
    """Run the car at every combination of the values of some fields.

    A point that fails holds not-a-numbers, its `status` and its `message`; the others go on.

    Parameters
    ----------
    car
        The car to change.
    axes
        Path of a field to its values: numbers in SI units, text with a unit, or names of choices.
        A single value is allowed.
    threads
        `None` for as many as the machine has cores. The results are the same bits for any number.
    progress
        `True` shows a bar with rate and time left; a function is called with the number of runs
        done and of all runs.
    options
        As for `layshaft.launch`, the same for all runs.

    Returns
    -------
    xarray.Dataset
        One dimension an axis. Variables: every scalar of a run, `time_to_distance`,
        `speed_at_distance`, `time_to_speed`, `status` and `message`. Ctrl-C ends it early: what is
        done is returned, the rest has the status `not_run` and `attrs["interrupted"]` is 1.

    Raises
    ------
    ValueError
        For an unknown field, a value outside its range or a wrong unit, before any run.

    Examples
    --------
    >>> import layshaft
    >>> gaps = ["4.3 mm", "4.5 mm", "4.7 mm"]
    >>> table = layshaft.sweep(layshaft.demo_car(), {"two_speed.gap": gaps}, distance=30.0)
    >>> bool((table.shift_speed.diff("two_speed.gap") < 0).all())  # screw out: earlier
    True
    """
    columns = {path: axis_values(path, values) for path, values in axes.items()}
    if not columns:
        raise ValueError("a sweep needs at least one axis")
    return run_sweep(car, columns, read_options(**options), threads, progress)


def run_sweep(
    car: Car,
    columns: dict[str, list[float]],
    options: RunOptions,
    threads: int | None = None,
    progress: bool | Progress = False,
) -> "xarray.Dataset":
    """Run a sweep over stored numbers with checked options; see `sweep`."""
    importlib.import_module("xarray")  # slow: now, not between Ctrl-C and what it returns
    count = 0 if threads is None else _checked_threads(threads)
    points = np.array(list(itertools.product(*columns.values())), dtype=float)
    points = points.reshape(-1, len(columns))
    with _reporting(progress) as report:
        chunk = run_chunk(car, list(columns), points, options, threads=count, progress=report)
    table = _labelled(columns, chunk, options)
    table.attrs = files.attributes("sweep", car, options)
    table.attrs["interrupted"] = int(chunk.interrupted)
    _warn(chunk, points, list(columns))
    return table


def axis_values(path: str, values: object) -> list[float]:
    """Turn the values of an axis as people write them into stored numbers.

    Raises
    ------
    ValueError
        For an unknown path, no value, a value twice, or one that the field does not take.

    Examples
    --------
    >>> axis_values("two_speed.gap", ["4.3 mm", 0.0045])
    [0.0043, 0.0045]
    """
    field = field_table.find_field(path)
    if field is None:
        raise ValueError(f"cannot sweep {path}: {field_table.unknown(path)}")
    listed = [values] if isinstance(values, str) or not np.iterable(values) else list(values)
    numbers = []
    for value in listed:
        try:
            plain = value.item() if isinstance(value, np.generic) else value
            numbers.append(field_table.to_number(field, plain))
        except ValueError as error:
            raise ValueError(f"{path} = {value!r} {error}") from None
    if not numbers:
        raise ValueError(f"{path}: an axis needs at least one value")
    if len(set(numbers)) < len(numbers):
        raise ValueError(f"{path}: an axis must not hold a value twice")
    return numbers


def _checked_threads(threads: int) -> int:
    if threads < 1:
        raise ValueError(f"threads = {threads} must be at least 1, or None for all cores")
    return threads


def _reporting(progress: bool | Progress) -> AbstractContextManager[Progress | None]:
    if progress is True:
        from layshaft.progress import progress_bar

        return progress_bar("runs")
    return nullcontext(progress or None)


def _labelled(
    columns: dict[str, list[float]], chunk: Chunk, options: RunOptions
) -> "xarray.Dataset":
    import xarray

    from layshaft.launch_run import mark_coordinates

    axes = list(columns)
    shape = [len(values) for values in columns.values()]
    variables: dict[str, tuple] = {}
    for column, (name, unit, meaning) in enumerate(options.scalars):
        labels = {"units": unit, "long_name": meaning}
        variables[name] = (axes, chunk.scalars[:, column].reshape(shape), labels)
    for name, mark, table, unit, meaning in (
        ("time_to_distance", "distance", chunk.distance_times, "s", "Time to the distance"),
        ("speed_at_distance", "distance", chunk.distance_speeds, "m/s", "Speed at the distance"),
        ("time_to_speed", "speed", chunk.speed_times, "s", "Time to the speed"),
    ):
        if table.shape[1]:
            labels = {"units": unit, "long_name": meaning}
            variables[name] = ([*axes, mark], table.reshape([*shape, -1]), labels)
    for name, texts, meaning in (
        ("status", chunk.status, "How the run went"),
        ("message", chunk.messages, "What to try where a run failed"),
    ):
        variables[name] = (
            axes,
            np.array(texts, dtype=object).reshape(shape),
            {"long_name": meaning},
        )
    marks = mark_coordinates(options)
    coordinates = {name: marks[name] for name in marks if len(marks[name][1])}
    for path, values in columns.items():
        field = field_table.find_field(path)
        labels = {"units": field.unit, "long_name": field.meaning}
        coordinates[path] = (
            path,
            [field_table.as_stored(field, value) for value in values],
            labels,
        )
    return xarray.Dataset(variables, coordinates)


def _warn(chunk: Chunk, points: np.ndarray, paths: list[str]) -> None:
    failed = [run for run, status in enumerate(chunk.status) if status in ("early", "refused")]
    if failed:
        first = failed[0]
        where = ", ".join(
            f"{path} = {field_table.as_stored(field_table.find_field(path), value)}"
            for path, value in zip(paths, points[first], strict=True)
        )
        message = f"{len(failed)} of {len(points)} runs failed; first at {where}: "
        warnings.warn(message + chunk.messages[first], stacklevel=4)
    if chunk.interrupted:
        done = len(points) - chunk.status.count("not_run")
        warnings.warn(f"interrupted: {done} of {len(points)} runs done", stacklevel=4)
