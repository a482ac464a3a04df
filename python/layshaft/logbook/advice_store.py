"""Advice in the file of a logbook, and whether it helped."""

import json
from typing import Any

from layshaft.logbook.entries import Advised
from layshaft.logbook.store import Store
from layshaft.setup.settings import Point

_ADVICE = """
    SELECT advice.id AS number, day.date AS date, setup.name AS setup, said, settings, helped,
      advice.note AS note
    FROM advice JOIN day ON day.id = advice.day_id JOIN setup ON setup.id = advice.setup_id
"""


def add_advice(store: Store, date: str, setup: str, said: str, settings: Point) -> int:
    """Write advice inside `Store.writing`; return its number."""
    day_id, setup_id = store.row_id("day", "date", date), store.row_id("setup", "name", setup)
    insert = "INSERT INTO advice (day_id, setup_id, said, settings, note) VALUES (?, ?, ?, ?, '')"
    return store.write(insert, day_id, setup_id, said, json.dumps(dict(settings)))


def judge(store: Store, number: int, helped: bool, note: str) -> None:
    """Write inside `Store.writing` whether an advice helped."""
    if not store.column("SELECT 1 FROM advice WHERE id = ?", number):
        raise ValueError(f"advice = {number} is not in the logbook")
    store.write("UPDATE advice SET helped = ?, note = ? WHERE id = ?", int(helped), note, number)


def advice_of(store: Store, date: str | None) -> tuple[Advised, ...]:
    """Read the advice of a day, or all."""
    where, values = ("", ()) if date is None else ("WHERE day.date = ?", (date,))
    rows = store.rows(f"{_ADVICE} {where} ORDER BY day.date, advice.id", *values)
    with store.reading():
        return tuple(map(_advised, rows))


def _advised(row: dict[str, Any]) -> Advised:
    helped = None if row["helped"] is None else bool(row["helped"])
    return Advised(**row | {"settings": json.loads(row["settings"]), "helped": helped})
