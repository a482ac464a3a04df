"""A logbook as a table: a line for all that was heard or timed, and for each sample of a log."""

import importlib.util
import itertools
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layshaft.fitting.observations import measure_unit
from layshaft.logbook.book import Logbook
from layshaft.logbook.entries import Day
from layshaft.runs.lap_options import LapOptions
from layshaft.setup.handed_over import checked, checked_path
from layshaft.setup.settings import as_written
from layshaft.storage.atomic import atomic_write

if TYPE_CHECKING:
    import pandas

    from layshaft.fitting.logs import Log
    from layshaft.fitting.observations import Observation
    from layshaft.logbook.entries import LoggedRun

_FORMS = (".csv", ".parquet")


def season_table(book: Logbook) -> "pandas.DataFrame":
    """Return all that was seen in a season as one table, for pandas and spreadsheets.

    Parameters
    ----------
    book
        The logbook.

    Returns
    -------
    pandas.DataFrame
        A line for each observation and for each sample of a log: day with track and weather, run,
        set-up, `measure`, its `value` and `error` in the SI `unit`, the settings that differed from
        the set-up's, and how it was driven. A sample has the number of its `log` in the run, and
        the time since the throttle opened or the distance from the line. Columns have their SI unit
        in their name; what was not noted is empty. A run in which nothing was seen has one line.

    Raises
    ------
    ValueError
        If the logbook is damaged.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with layshaft.open_logbook(pathlib.Path(folder, "s.db"), create=True) as book:
    ...         book.add_setup("dry", layshaft.demo_car())
    ...         _ = book.add_day("2026-05-02", air_temperature="24 degC")
    ...         _ = book.add_run("2026-05-02", "dry", [layshaft.observe("time", "3.2 s")])
    ...         table = layshaft.season_table(book)
    >>> table[["day", "air_temperature_K", "measure", "value", "unit"]].values.tolist()
    [['2026-05-02', 297.15, 'time', 3.2, 's']]
    """
    import pandas

    days = {day.date: day for day in checked("book", book, Logbook, "layshaft.open_logbook").days()}
    lines = [line for run in book.runs() for line in _lines(days[run.date], run)]
    table = pandas.DataFrame(lines, columns=list(_COLUMNS))
    return table.astype(_COLUMNS)


#: Kinds that hold an empty cell in CSV and in Parquet alike.
_COLUMNS = {
    "day": "string",
    "track": "string",
    "air_temperature_K": "float64",
    "track_temperature_K": "float64",
    "air_pressure_Pa": "float64",
    "relative_humidity": "float64",
    "day_note": "string",
    "run": "int64",
    "setup": "string",
    "run_note": "string",
    "log": "Int64",
    "log_time_s": "float64",
    "log_distance_m": "float64",
    "measure": "string",
    "value": "float64",
    "error": "float64",
    "unit": "string",
    "changes": "string",
    "driven_track": "string",
    "driven_distance_m": "float64",
    "start_speed_m_per_s": "float64",
}


def export_season(book: Logbook, path: str | os.PathLike[str]) -> None:
    """Write the table of `season_table` to a file: `.csv`, or `.parquet`, which needs pyarrow.

    The file is written aside and then moved into place, so that it is never half a file.

    Parameters
    ----------
    book
        The logbook.
    path
        File to write; one that is there is replaced.

    Raises
    ------
    ValueError
        For another ending, and for Parquet where pyarrow is not installed.
    """
    name = checked_path("path", path)
    form = Path(name).suffix
    if form not in _FORMS:
        raise ValueError(f"{name} must end in {' or '.join(_FORMS)}")
    if form == ".parquet" and importlib.util.find_spec("pyarrow") is None:
        raise ValueError(
            f"{name}: Parquet needs pyarrow, which is not installed (pip install pyarrow);"
            " a .csv needs nothing more"
        )
    table = season_table(book)
    with atomic_write(name) as aside:
        if form == ".csv":
            table.to_csv(aside, index=False)
        else:
            table.to_parquet(aside, engine="pyarrow", index=False)


def _lines(day: Day, run: "LoggedRun") -> Iterator[dict[str, Any]]:
    """Go through what was seen and logged in a run; without any it has one line."""
    head = {
        "day": day.date,
        "track": day.track,
        "air_temperature_K": day.air_temperature,
        "track_temperature_K": day.track_temperature,
        "air_pressure_Pa": day.air_pressure,
        "relative_humidity": day.relative_humidity,
        "day_note": day.note,
        "run": run.number,
        "setup": run.setup,
        "run_note": run.note,
    }
    seen = map(_observed, run.seen)
    logged = itertools.chain.from_iterable(map(_logged, itertools.count(1), run.logs))
    for line in (*seen, *logged) or ({},):
        yield head | line


def _observed(seen: "Observation") -> dict[str, Any]:
    unit = measure_unit(seen.measure, seen.options)
    return {"measure": seen.measure, "value": seen.value, "unit": unit} | _driven(seen)


def _logged(number: int, log: "Log") -> Iterator[dict[str, Any]]:
    along = "log_distance_m" if isinstance(log.options, LapOptions) else "log_time_s"
    driven = {"log": number, "measure": log.quantity, "unit": log.unit} | _driven(log)
    for place, value in zip(log.along, log.values, strict=True):
        yield driven | {along: place, "value": value}


def _driven(given: "Observation | Log") -> dict[str, Any]:
    options, changes = given.options, as_written(dict(given.changes))
    return {
        "error": given.error,
        "changes": "; ".join(f"{path} = {value}" for path, value in changes.items()),
        "driven_track": options.track.name if isinstance(options, LapOptions) else None,
        "driven_distance_m": options.distance,
        "start_speed_m_per_s": None if isinstance(options, LapOptions) else options.start_speed,
    }
