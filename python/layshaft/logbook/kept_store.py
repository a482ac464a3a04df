"""Set-ups and tracks, each kept as it is under a name of its own."""

import datetime

from layshaft.logbook.entries import read_name
from layshaft.logbook.store import Store, unknown
from layshaft.quantities.refused import shown


def keep(store: Store, what: str, name: str, content: str) -> None:
    """Write a set-up or track, unless it is there; refuse a name that another has."""
    with store.writing():
        there = store.column(f"SELECT content FROM {what} WHERE name = ?", name)
        if there and there[0] != content:
            raise ValueError(f"{what} = {shown(name)} is another's name here; take a new one")
        if not there:
            insert = f"INSERT INTO {what} (name, saved, content) VALUES (?, ?, ?)"
            now = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
            store.write(insert, name, now, content)


def kept(store: Store, what: str, name: str) -> str:
    """Return what was written under a name."""
    name = read_name(what, name)
    found = store.column(f"SELECT content FROM {what} WHERE name = ?", name)
    if not found:
        known = store.column(f"SELECT name FROM {what} ORDER BY id")
        raise unknown(what, name, known)
    return found[0]
