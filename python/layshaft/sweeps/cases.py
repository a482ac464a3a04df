"""A table of cases, each with its own settings and its own way of being driven."""

import dataclasses
import math
import warnings
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, Unpack

import numpy as np

from layshaft.quantities.refused import shown
from layshaft.runs import result_file
from layshaft.runs.failed_runs import Reasons
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.launch_options import LaunchOptions
from layshaft.runs.point_runs import run_points
from layshaft.runs.run_options import Drive, Options, kind_of, read_options
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car
from layshaft.setup.field_table import Field
from layshaft.setup.settings import Point

if TYPE_CHECKING:
    import pandas
    import xarray

_MOST_CASES = 100_000
#: Options that a column of the result shows, with their SI unit and meaning.
_SHOWN = {
    "distance": ("m", "Distance of the run"),
    "start_speed": ("m/s", "Speed at the start"),
    "grade": ("1", "Rise over run of the road"),
}
_REFUSED = "refused"


class _Case(NamedTuple):
    """One row as it was read; what is wrong with it stands in `fault`."""

    settings: Point
    options: Drive | None
    fault: str


def run_cases(
    car: Car,
    cases: "Iterable[Mapping[str, object]] | pandas.DataFrame",
    **options: Unpack[Options],
) -> "xarray.Dataset":
    """Run a table of cases: one run a row, whatever the others do.

    Parameters
    ----------
    car
        The car to change.
    cases
        A list of dictionaries or a DataFrame. A column is the path of a field or an option of a
        run, values are as for `layshaft.Car` and `layshaft.launch`; where one is left empty
        (`None`, not a number, no text) the car's own or that of `options` counts.
    options
        Of the cases that do not have their own, as far as a launch or a lap has them; as for
        `layshaft.sweep`, with its `measures`.

    Returns
    -------
    xarray.Dataset
        Over `case`, the index of a DataFrame or 0, 1, 2 ...: settings (`two_speed_gap` for
        `two_speed.gap`) and options of the cases, every scalar of the runs, `time` to the end of
        each [s], all in SI units; `status`, and in `message` the reason where a case was refused or
        failed. `to_dataframe()` makes a DataFrame.

    Raises
    ------
    TypeError
        For what is no such table.
    ValueError
        For a column that is neither a field nor an option, before any run.

    Examples
    --------
    >>> import layshaft
    >>> cases = [{"two_speed.gap": "4.4 mm"}, {"first.pinion": 16, "distance": "20 m"}]
    >>> table = layshaft.run_cases(layshaft.demo_car(), cases, distance="30 m")
    >>> table.status.values.tolist(), table.distance.values.tolist()
    (['finished', 'finished'], [30.0, 20.0])
    """
    checked_car(car)
    common = read_options(**options)
    index, rows = _rows(cases)
    read = [_case(row, options) for row in rows]
    groups: dict[Drive, list[int]] = {}
    for position, case in enumerate(read):
        if case.options is not None:
            groups.setdefault(case.options, []).append(position)
    columns = _Columns(len(read))
    for way, members in groups.items():
        runs = run_points(car, [read[position].settings for position in members], way)
        for number, (name, unit, meaning) in enumerate(way.scalars):
            columns.put(name, members, runs.scalars[:, number], unit, meaning)
        columns.put("time", members, runs.time, "s", "Time to the end of the run")
        columns.status[members], columns.message[members] = runs.status, runs.messages
    for position, case in enumerate(read):
        if case.fault:
            columns.status[position], columns.message[position] = _REFUSED, case.fault
    _warn(columns)
    attributes = result_file.attributes("cases", car, common)
    return _labelled(index, _given(car, rows, read), columns, attributes)


class _Columns:
    """Results of all cases, a column each; what a case does not have is not a number."""

    def __init__(self, count: int) -> None:
        self._count = count
        self.numbers: dict[str, tuple[np.ndarray, dict[str, str]]] = {}
        self.status = np.full(count, "", dtype=object)
        self.message = np.full(count, "", dtype=object)

    def put(
        self, name: str, rows: Sequence[int], values: np.ndarray, unit: str, meaning: str
    ) -> None:
        """Put the values of some rows into a column."""
        labels = {"units": unit, "long_name": meaning}
        column, _ = self.numbers.setdefault(name, (np.full(self._count, np.nan), labels))
        column[rows] = values


def _rows(cases: Any) -> tuple[Sequence[object], list[dict[str, Any]]]:
    """Return the name of each case and what it names, without what is left empty."""
    is_frame = hasattr(cases, "iterrows")
    table = (
        cases.astype(object).where(cases.notna(), None).to_dict("records") if is_frame else cases
    )
    if isinstance(table, str | Mapping) or not isinstance(table, Iterable):
        raise TypeError(
            f"cases = <{type(cases).__name__}> must be a list of dictionaries or a DataFrame"
        )
    rows = list(table)
    for position, row in enumerate(rows):
        if not isinstance(row, Mapping):
            raise TypeError(f"case {position} = {shown(row)} must be a dictionary")
        for name in row:
            _check_column(position, name)
    if not 1 <= len(rows) <= _MOST_CASES:
        raise ValueError(f"cases: {len(rows)} of them, which must be from 1 to {_MOST_CASES}")
    index = list(cases.index if is_frame else range(len(rows)))
    return index, [{n: v for n, v in row.items() if not _is_empty(v)} for row in rows]


def _check_column(position: int, name: object) -> None:
    kinds = (LaunchOptions, LapOptions)
    options = {each.name for kind in kinds for each in dataclasses.fields(kind)}
    if name not in options - {"measures"} and field_table.find_field(str(name)) is None:
        nearest = field_table.unknown(str(name))
        raise ValueError(
            f"case {position}: {shown(name)} is neither a field nor an option; {nearest}"
        )


def _is_empty(value: object) -> bool:
    is_nan = isinstance(value, float) and math.isnan(value)
    return value is None or is_nan or (isinstance(value, str) and not value)


def _case(row: Mapping[str, object], options: Options) -> _Case:
    own: dict[str, Any] = {
        n: value for n, value in row.items() if field_table.find_field(n) is None
    }
    settings: dict[str, float] = {}
    try:
        for path, value in row.items():
            field = field_table.find_field(path)
            if field is not None:
                settings[path] = _number(path, field, value)
        return _Case(settings, read_options(**{**_shared(options, own), **own}), "")
    except (ValueError, TypeError, OSError) as error:
        return _Case(settings, None, str(error))


def _shared(options: Options, own: Mapping[str, object]) -> dict[str, Any]:
    """Return the options of all cases that a run of a case's kind has."""
    names = {each.name for each in dataclasses.fields(kind_of({**options, **own}))}
    return {name: value for name, value in options.items() if name in names}


def _number(path: str, field: Field, value: object) -> float:
    try:
        return field_table.to_number(field, value)
    except ValueError as error:
        raise ValueError(f"{path} = {shown(value)} {error}") from None


def _given(
    car: Car, rows: Sequence[Mapping[str, object]], read: Sequence[_Case]
) -> dict[str, tuple[str, np.ndarray, dict[str, str]]]:
    """Return the settings and options that any case names, for all cases."""
    named = list(dict.fromkeys(name for row in rows for name in row))
    found = {}
    for path in named:
        field = field_table.find_field(path)
        if field is not None:
            own = _own(car, path)
            numbers = np.array([case.settings.get(path, own) for case in read])
            values = [
                number if math.isnan(number) else field_table.as_stored(field, number)
                for number in numbers.tolist()
            ]
            labels = {"units": field.unit, "long_name": field.meaning}
            kind = object if field.kind == "choice" else float
            found[field_table.column_of(path)] = ("case", np.array(values, dtype=kind), labels)
        elif path in _SHOWN:
            shown = [getattr(case.options, path, math.nan) for case in read]
            unit, meaning = _SHOWN[path]
            labels = {"units": unit, "long_name": meaning}
            found[path] = ("case", np.array(shown, dtype=float), labels)
    if any(isinstance(case.options, LapOptions) for case in read):
        ways = (case.options for case in read)
        tracks = [way.track.name if isinstance(way, LapOptions) else "" for way in ways]
        found["track"] = ("case", np.array(tracks, dtype=object), {"long_name": "Track"})
    return found


def _own(car: Car, path: str) -> float:
    """Return the car's own value; not a number of a pair whose two differ."""
    try:
        return car._core.get(path)
    except ValueError:
        return math.nan


def _warn(columns: _Columns) -> None:
    failed = [place for place, status in enumerate(columns.status) if status != "finished"]
    if failed:
        reasons = Reasons(columns.message[failed]).describe()
        which = f"{len(failed)} of {len(columns.status)} cases have no result"
        text = f"{which}; first case {failed[0]}: {reasons}"
        warnings.warn(text, stacklevel=3)


def _labelled(
    index: Sequence[object],
    given: dict[str, tuple],
    columns: _Columns,
    attributes: dict[str, Any],
) -> "xarray.Dataset":
    import xarray

    variables = dict(given)
    for name, (values, labels) in columns.numbers.items():
        variables[name] = ("case", values, labels)
    texts = {"status": "How the run went", "message": "Why there is no result"}
    for name, meaning in texts.items():
        variables[name] = ("case", getattr(columns, name), {"long_name": meaning})
    number = {"case": ("case", index, {"long_name": "Case", "units": "1"})}
    return xarray.Dataset(variables, number, attributes)
