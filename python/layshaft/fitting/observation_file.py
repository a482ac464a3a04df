r"""Observations as a small table in a CSV file.

The first line names the columns, each with its unit: `gap_mm`, `shift_speed_km_per_h`. Columns are

- settings at that time, left empty where the car's own held: `gap`, `slug_mass`, or any field by
  its path (`first.pinion`, `clutch.axial.nut_turns_turns`);
- how it was run: `distance`, `start_speed`, `grade`; or on a `track`, a file or the name of a demo
  track;
- what was seen, one or more of `shift_speed`, `time` (to the distance), `lap_time` (of a track),
  `top_speed`, or any scalar of a run or of a lap; a value left empty was not seen. A shift that is
  heard is `shift_speed`, the engine at its peak; other moments of it are `contact_speed`,
  `let_go_speed`, `lock_speed`, `low_speed`;
- how far it may be out, one standard deviation: the same name with `_error`.

A heading has its unit, unless its cells have theirs or there is none. How cells may be parted
stands in `csv_text`.
"""

from collections.abc import Iterator
from typing import Any, NamedTuple

from layshaft import _core
from layshaft.fitting.observations import Observation, measure_unit, observe
from layshaft.quantities import units
from layshaft.quantities.column_units import column_unit, unit_of_column
from layshaft.setup import field_table
from layshaft.setup.csv_text import AnyTable, TextTable, read_text_table
from layshaft.setup.setup_file import Fault, SetupError

_SHORT = {"gap": "two_speed.gap", "slug_mass": "two_speed.slug_mass"}
_OPTIONS = {"distance": "m", "start_speed": "m/s", "grade": "1"}
_TRACK = "track"
_SCALARS = (name for name, _, _ in (*_core.scalars, *_core.lap_scalars))
_MEASURES = ("time", "top_speed", *dict.fromkeys(_SCALARS))


class _Column(NamedTuple):
    kind: str  #: `setting`, `option`, `value` or `error`
    name: str
    unit: str


def read_observations(given: AnyTable) -> list[Observation]:
    r"""Read observations from a CSV file, or from a DataFrame with its columns.

    Returns
    -------
    list of Observation
        One for each value of each row, in SI units.

    Raises
    ------
    SetupError
        With all faults of the file at once, each with its line.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "seen.csv")
    ...     _ = file.write_text("gap_mm,shift_speed_km_per_h\n4.6,54\n4.8,\n")
    ...     seen, = read_observations(file)
    >>> seen.value, seen.changes
    (15.0, (('two_speed.gap', 0.0046),))
    """
    return [each for line in read_observation_lines(given) for each in line]


def read_observation_lines(given: AnyTable) -> list[list[Observation]]:
    """Read the same line by line: what was seen in one run stays together.

    Examples
    --------
    >>> import pandas
    >>> table = pandas.DataFrame({"gap_mm": [4.6, 4.8], "shift_speed_km_per_h": [54, 50]})
    >>> [len(line) for line in read_observation_lines(table)]
    [1, 1]
    """
    table = read_text_table(given)
    faults: list[Fault] = []
    columns = _columns(table.file, table.line, table.heads, faults)
    if faults:
        raise SetupError(faults)
    seen: list[list[Observation]] = []
    for row in table.rows:
        try:
            seen.append(list(_row(table, columns, row.cells)))
        except ValueError as error:
            table.note(row, str(error))
    table.stop_if_faulty()
    seen = [line for line in seen if line]
    if not seen:
        raise SetupError([Fault(table.file, None, "", "must hold at least one observation")])
    return seen


def _columns(file: str, line: int, heads: list[str], faults: list[Fault]) -> list[_Column]:
    columns: list[_Column] = []
    for head in heads:
        column = _column(head)
        if column is None:
            usual = ("shift_speed", "time", "lap_time", "top_speed")
            known = ", ".join((*_SHORT, *_OPTIONS, _TRACK, *usual))
            must = f"must be a known column with its unit: {known}, a scalar of a run or a field"
            faults.append(Fault(file, line, head, must))
        elif any(column[:2] == other[:2] for other in columns):  # in whatever unit
            faults.append(Fault(file, line, head, "must stand only once"))
        else:
            columns.append(column)
    if not faults and not any(column.kind == "value" for column in columns):
        faults.append(Fault(file, line, "", "must have a column of something seen"))
    return columns


def _column(head: str) -> _Column | None:
    """Part a heading into its name and its unit; the longest name that fits wins."""
    known = [("setting", short, path) for short, path in _SHORT.items()]
    known += [("option", name, name) for name in (*_OPTIONS, _TRACK)]
    for measure in _MEASURES:
        known += [("value", measure, measure), ("error", f"{measure}_error", measure)]
    paths = [*field_table.positions(), *field_table.pairs()]
    known += [("setting", path, path) for path in paths]
    fitting = [each for each in known if head == each[1] or head.startswith(f"{each[1]}_")]
    if not fitting:
        return None
    kind, written, name = max(fitting, key=lambda each: len(each[1]))
    return _Column(kind, name, unit_of_column(head[len(written) + 1 :]))


def _row(table: TextTable, columns: list[_Column], cells: list[str]) -> Iterator[Observation]:
    parts: dict[str, dict[str, Any]] = {"setting": {}, "option": {}, "value": {}, "error": {}}
    for column, cell in zip(columns, cells, strict=True):
        if cell:
            parts[column.kind][column.name] = _value(table, cell, column)
    for measure, value in parts["value"].items():
        options = parts["option"]
        error = parts["error"].get(measure)
        yield observe(measure, value, changes=parts["setting"], error=error, **options)


def _value(table: TextTable, cell: str, column: _Column) -> object:
    if column.name == _TRACK:
        return cell
    try:
        number = table.number(cell)
    except ValueError as error:
        if not column.unit and "decimal point" not in str(error):
            return cell  # text with its own unit, or the name of a choice
        raise ValueError(f"{column.name} {error}") from None
    if column.unit:
        return f"{number!r} {column.unit}"
    unit = _dimension(column)
    if unit != "1" and number != 0.0:
        example = column_unit(units.QUANTITIES[unit].unit)
        raise ValueError(f"{column.name} must have its unit, in the heading as in _{example}")
    return int(number) if number.is_integer() else number


def _dimension(column: _Column) -> str:
    """Return the SI unit of a column's numbers; `1` for a ratio, a count or a choice."""
    if column.kind == "option":
        return _OPTIONS[column.name]
    if column.kind == "setting":
        field = field_table.field_of(column.name)
        return field.unit if field.kind == "number" else "1"
    return measure_unit(column.name)
