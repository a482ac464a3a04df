"""Days in the file of a logbook, each with its track and weather."""

from collections.abc import Mapping

from layshaft.logbook.entries import Day
from layshaft.logbook.store import Store, unknown

_DAYS = """
    SELECT date, track.name AS track, air_temperature, track_temperature, air_pressure,
      relative_humidity, note
    FROM day LEFT JOIN track ON track.id = day.track_id
"""


def write_day(store: Store, date: str, values: Mapping[str, object], *, replace: bool) -> None:
    """Write a day inside `Store.writing`; `values` by column, of which none is from outside."""
    if not store.column("SELECT 1 FROM day WHERE date = ?", date):
        store.write("INSERT INTO day (date, note) VALUES (?, '')", date)
    elif not replace:
        raise ValueError(f"day = {date} is in the logbook already")
    for column, value in values.items():
        store.write(f"UPDATE day SET {column} = ? WHERE date = ?", value, date)


def days_of(store: Store) -> tuple[Day, ...]:
    """Read all days in their order."""
    return tuple(Day(**row) for row in store.rows(f"{_DAYS} ORDER BY date"))


def day_of(store: Store, date: str) -> Day:
    """Read one day."""
    found = store.rows(f"{_DAYS} WHERE date = ?", date)
    if not found:
        raise unknown("day", date, [each.date for each in days_of(store)])
    return Day(**found[0])
