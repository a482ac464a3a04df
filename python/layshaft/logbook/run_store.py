"""Runs in the file of a logbook, with what was seen in each."""

import hashlib
import json
from collections.abc import Iterator, Sequence
from typing import Any

from layshaft.fitting.observation_json import observation_of, plain_observation
from layshaft.fitting.observations import Observation
from layshaft.logbook.entries import LoggedRun
from layshaft.logbook.store import Store

_RUNS = """
    SELECT run.id AS number, day.date AS date, setup.name AS setup, run.note AS note
    FROM run JOIN day ON day.id = run.day_id JOIN setup ON setup.id = run.setup_id
"""
_SEEN = """
    SELECT run_id, options, measure, value, error, changes
    FROM seen JOIN drive ON drive.id = seen.drive_id ORDER BY seen.id
"""


def add_run(
    store: Store, date: str, setup: str, seen: Sequence[Observation], note: str = ""
) -> int:
    """Write a run inside `Store.writing`; return its number."""
    day_id, setup_id = store.row_id("day", "date", date), store.row_id("setup", "name", setup)
    insert = "INSERT INTO run (day_id, setup_id, note) VALUES (?, ?, ?)"
    number = store.write(insert, day_id, setup_id, note)
    for each in seen:
        plain = plain_observation(each)
        options, changes = (json.dumps(plain[name]) for name in ("options", "changes"))
        store.write("INSERT OR IGNORE INTO drive (options) VALUES (?)", options)
        (drive,) = store.column("SELECT id FROM drive WHERE options = ?", options)
        store.write(
            "INSERT INTO seen (run_id, drive_id, measure, value, error, changes)"
            " VALUES (?, ?, ?, ?, ?, ?)",
            *(number, drive, each.measure, each.value, each.error, changes),
        )
    return number


def add_lines(
    store: Store, date: str, setup: str, lines: Sequence[Sequence[Observation]]
) -> tuple[int, ...]:
    """Write those lines of a list as runs that were not taken in for that day before."""
    numbers = []
    for digest, seen in _marked(date, lines):
        if not store.column("SELECT 1 FROM taken_line WHERE digest = ?", digest):
            store.write("INSERT INTO taken_line (digest) VALUES (?)", digest)
            numbers.append(add_run(store, date, setup, seen))
    return tuple(numbers)


def _marked(
    date: str, lines: Sequence[Sequence[Observation]]
) -> Iterator[tuple[str, Sequence[Observation]]]:
    """Go through the lines, each with its mark; of lines alike the second has another."""
    count: dict[str, int] = {}
    for seen in lines:
        text = json.dumps([date, *map(plain_observation, seen)])
        count[text] = count.get(text, 0) + 1
        yield hashlib.sha256(f"{count[text]} {text}".encode()).hexdigest(), seen


def runs_of(store: Store, date: str | None) -> tuple[LoggedRun, ...]:
    """Read the runs of a day, or all."""
    where, values = ("", ()) if date is None else ("WHERE day.date = ?", (date,))
    heads = store.rows(f"{_RUNS} {where} ORDER BY day.date, run.id", *values)
    seen: dict[int, list[Observation]] = {head["number"]: [] for head in heads}
    for row in store.rows(_SEEN):
        run = row.pop("run_id")
        if run in seen:
            seen[run].append(_observation(store, row))
    return tuple(LoggedRun(**head, seen=tuple(seen[head["number"]])) for head in heads)


def _observation(store: Store, row: dict[str, Any]) -> Observation:
    with store.reading():
        texts = {name: json.loads(row[name]) for name in ("options", "changes")}
        return observation_of(row | texts)
