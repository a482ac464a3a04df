"""The file of a logbook: opened, checked, brought to the present version, written whole.

SQLite's write-ahead log lets others read while one writes, and one write after the other is done.
Each is a transaction that is on the disk before it counts: a killed process, or a power cut, leaves
what was there before.
"""

import contextlib
import errno
import os
import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path

from layshaft.logbook.schema import APPLICATION, VERSION, migrate
from layshaft.setup.handed_over import checked_path

_PATIENCE = 10.0  #: for another writer [s]
_MOMENT = 0.02  #: between two tries of what SQLite itself does not wait for [s]
_OF_THE_SYSTEM = {
    sqlite3.SQLITE_BUSY: (errno.EAGAIN, "another program has been writing it for too long"),
    sqlite3.SQLITE_LOCKED: (errno.EAGAIN, "another program has been writing it for too long"),
    sqlite3.SQLITE_READONLY: (errno.EACCES, "may not be written"),
    sqlite3.SQLITE_PERM: (errno.EACCES, "may not be written"),
    sqlite3.SQLITE_CANTOPEN: (errno.EACCES, "cannot be opened"),
    sqlite3.SQLITE_FULL: (errno.ENOSPC, "the disk is full"),
    sqlite3.SQLITE_IOERR: (errno.EIO, "the disk cannot be read or written"),
}


def opened(path: str | os.PathLike[str], *, create: bool = False) -> sqlite3.Connection:
    """Open the file of a logbook, of an older version too, which is brought to the present one.

    Parameters
    ----------
    path
        The file.
    create
        Begin one where there is none.

    Raises
    ------
    OSError
        If it is not there, or may not be read and written.
    ValueError
        If it is damaged, no logbook, or one of a later version.
    """
    name = checked_path("path", path)
    if not create and not Path(name).exists():
        raise FileNotFoundError(errno.ENOENT, "there is no such logbook", name)
    if not Path(name).absolute().parent.is_dir():
        raise FileNotFoundError(errno.ENOENT, "there is no such folder", str(Path(name).parent))
    if Path(name).is_dir():
        raise IsADirectoryError(errno.EISDIR, "is a folder", name)
    _refuse_cut(Path(name))
    with told_errors(name):
        address = f"{Path(name).absolute().as_uri()}?mode={'rwc' if create else 'rw'}"
        connection = sqlite3.connect(address, _PATIENCE, isolation_level=None, uri=True)
        try:
            _make_ready(connection, name)
        except BaseException:
            connection.close()
            raise
    return connection


@contextlib.contextmanager
def writing(connection: sqlite3.Connection, name: str) -> Iterator[None]:
    """Make all that is written inside one whole: nothing of it stays if anything is raised."""
    with told_errors(name):
        connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


@contextlib.contextmanager
def told_errors(name: str) -> Iterator[None]:
    """Turn what SQLite says of a file into an error that names it and says what is wrong."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF  # the rest is detail
        if code in _OF_THE_SYSTEM:
            number, reason = _OF_THE_SYSTEM[code]
            raise OSError(number, reason, name) from None
        if isinstance(error, sqlite3.ProgrammingError):
            reason = "the logbook is closed" if "closed" in str(error) else str(error)
            raise ValueError(f"{name}: {reason}") from None
        raise ValueError(f"{name} is damaged, or no logbook: {error}") from None


def _refuse_cut(file: Path) -> None:
    """Refuse a file that ends within a page: SQLite itself reads zeros there."""
    if not file.exists() or Path(f"{file}-wal").exists():  # the log may have the rest
        return
    with file.open("rb") as opened_file:
        head = opened_file.read(18)
    page = int.from_bytes(head[16:18], "big")
    if head.startswith(b"SQLite format 3") and page > 1 and file.stat().st_size % page:
        raise ValueError(f"{file} is damaged, or no logbook: its end is cut off")


def _make_ready(connection: sqlite3.Connection, name: str) -> None:
    connection.execute("PRAGMA trusted_schema = OFF")
    if _version(connection, name) != VERSION:
        _bring_up(connection, name)
    (verdict,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    if verdict != "ok":
        raise ValueError(f"{name} is damaged, or no logbook: {' '.join(verdict.split())}")
    _write_ahead(connection)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")


def _bring_up(connection: sqlite3.Connection, name: str) -> None:
    """Bring an older file, or an empty one, to the present version, at once or not at all."""
    with writing(connection, name):
        version = _version(connection, name)  # another may have done it meanwhile
        if version != VERSION:
            migrate(connection, version)


def _version(connection: sqlite3.Connection, name: str) -> int:
    """Return the version of a file; refuse what is no logbook, or a later one."""
    (application,) = connection.execute("PRAGMA application_id").fetchone()
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    if application != APPLICATION and (application, version, tables) != (0, 0, 0):
        raise ValueError(f"{name} is no logbook, but another program's file")
    if not 0 <= version <= VERSION:
        raise ValueError(
            f"{name} is a logbook of version {version}; this layshaft knows up to {VERSION}:"
            " install a newer one"
        )
    return version


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Turn the write-ahead log on; it stays on for the file.

    While another opens the file too, SQLite refuses this at once instead of waiting.
    """
    given_up = time.monotonic() + _PATIENCE
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > given_up:
                raise
            time.sleep(_MOMENT)
