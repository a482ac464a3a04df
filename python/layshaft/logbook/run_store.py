"""Runs in the file of a logbook, with what was seen and logged in each."""

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, TypeVar

from layshaft.fitting.logs import Log, log_of, plain_log
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
_LOGS = """
    SELECT run_id, options, quantity, along, samples AS "values", error, changes
    FROM log JOIN drive ON drive.id = log.drive_id ORDER BY log.id
"""
_Entry = TypeVar("_Entry")


def add_run(
    store: Store, date: str, setup: str, seen: Sequence[Observation | Log], note: str = ""
) -> int:
    """Write a run inside `Store.writing`; return its number."""
    day_id, setup_id = store.row_id("day", "date", date), store.row_id("setup", "name", setup)
    insert = "INSERT INTO run (day_id, setup_id, note) VALUES (?, ?, ?)"
    number = store.write(insert, day_id, setup_id, note)
    own: dict[str, object]
    for each in seen:
        if isinstance(each, Log):
            plain = plain_log(each)
            along, values = (json.dumps(plain[name]) for name in ("along", "values"))
            own = {"quantity": each.quantity, "along": along, "samples": values}
            _add(store, "log", number, plain, own | {"error": each.error})
        else:
            own = {"measure": each.measure, "value": each.value, "error": each.error}
            _add(store, "seen", number, plain_observation(each), own)
    return number


def _add(store: Store, table: str, run: int, plain: dict[str, Any], own: dict[str, object]) -> None:
    """Add a row with how it was driven and what was changed; all names are words of this file."""
    options, changes = (json.dumps(plain[name]) for name in ("options", "changes"))
    store.write("INSERT OR IGNORE INTO drive (options) VALUES (?)", options)
    (drive,) = store.column("SELECT id FROM drive WHERE options = ?", options)
    row = {"run_id": run, "drive_id": drive, **own, "changes": changes}
    marks = ", ".join("?" * len(row))
    store.write(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", *row.values())


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
    numbers = [head["number"] for head in heads]
    seen = _of_runs(store, numbers, _SEEN, ("options", "changes"), observation_of)
    logs = _of_runs(store, numbers, _LOGS, ("options", "changes", "along", "values"), log_of)
    return tuple(
        LoggedRun(**head, seen=tuple(seen[number]), logs=tuple(logs[number]))
        for number, head in zip(numbers, heads, strict=True)
    )


def _of_runs(
    store: Store,
    runs: Iterable[int],
    query: str,
    texts: Iterable[str],
    made: Callable[[dict[str, Any]], _Entry],
) -> dict[int, list[_Entry]]:
    """Read what belongs to each run; `texts` are JSON."""
    found: dict[int, list[_Entry]] = {run: [] for run in runs}
    for row in store.rows(query):
        run = row.pop("run_id")
        if run in found:
            with store.reading():
                found[run].append(made(row | {name: json.loads(row[name]) for name in texts}))
    return found
