"""Rows of a logbook's file, written and read by name."""

import contextlib
import sqlite3
from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from typing import Any

from layshaft.logbook.book_file import told_errors, writing
from layshaft.quantities.refused import shown
from layshaft.storage.damage import told_as_damage


class Store:
    """The open file of a logbook. What comes from outside goes in as values, never as SQL."""

    def __init__(self, path: str, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    @contextlib.contextmanager
    def writing(self) -> Iterator[None]:
        """Make what is written inside one whole; see `book_file.writing`."""
        with writing(self._connection, self.path):
            yield

    @contextlib.contextmanager
    def reading(self) -> Iterator[None]:
        """Turn content that is not as it was written into an error that names the file."""
        with told_as_damage(self.path, "logbook"):
            yield

    def write(self, statement: str, *values: object) -> int:
        """Carry out a statement inside `writing`; return the number of the row it added."""
        return int(self._connection.execute(statement, values).lastrowid or 0)

    def rows(self, query: str, *values: object) -> list[dict[str, Any]]:
        """Return the rows of a query, each by the names of its columns."""
        with told_errors(self.path):
            cursor = self._connection.execute(query, values)
            names = [column for column, *_ in cursor.description]
            return [dict(zip(names, row, strict=True)) for row in cursor]

    def column(self, query: str, *values: object) -> tuple[Any, ...]:
        """Return the one column of a query."""
        return tuple(next(iter(row.values())) for row in self.rows(query, *values))

    def row_id(self, table: str, column: str, name: str) -> int:
        """Find a row by its name; `table` and `column` are words of this package."""
        found = self.column(f"SELECT id FROM {table} WHERE {column} = ?", name)
        if not found:
            raise unknown(table, name, self.column(f"SELECT {column} FROM {table} ORDER BY id"))
        return found[0]


def unknown(what: str, name: str, known: Iterable[str]) -> ValueError:
    """Return the error for a name that the logbook does not have; it tells the nearest.

    Examples
    --------
    >>> unknown("setup", "wte", ["dry", "wet"])
    ValueError("setup = 'wte' is not in the logbook; the nearest name there is wet")
    """
    near = get_close_matches(name, list(known), n=1, cutoff=0.0)
    hint = f"; the nearest name there is {near[0]}" if near else f", which has no {what} yet"
    return ValueError(f"{what} = {shown(name)} is not in the logbook{hint}")
