"""The tables of a logbook, version by version, and the way from each version to the next.

A step that was once released is never changed: files of that version are about. Numbers are in SI
units, settings, options of runs and samples of logs are JSON, a set-up is the text of its file.
"""

import sqlite3

#: Marks the file as a logbook among all files of SQLite: `LYSH`.
APPLICATION = 0x4C595348

#: Each takes a file from the version before; an empty file is of version 0.
_STEPS = (
    """
    CREATE TABLE setup (
      id INTEGER PRIMARY KEY,
      name TEXT NOT NULL UNIQUE CHECK (name <> ''),
      saved TEXT NOT NULL,
      content TEXT NOT NULL
    ) STRICT;
    CREATE TABLE track (
      id INTEGER PRIMARY KEY,
      name TEXT NOT NULL UNIQUE CHECK (name <> ''),
      saved TEXT NOT NULL,
      content TEXT NOT NULL
    ) STRICT;
    CREATE TABLE day (
      id INTEGER PRIMARY KEY,
      date TEXT NOT NULL UNIQUE,
      track_id INTEGER REFERENCES track,
      air_temperature REAL,
      track_temperature REAL,
      air_pressure REAL,
      relative_humidity REAL CHECK (relative_humidity BETWEEN 0 AND 1),
      note TEXT NOT NULL
    ) STRICT;
    CREATE TABLE taken_line (digest TEXT PRIMARY KEY) STRICT;
    CREATE TABLE run (
      id INTEGER PRIMARY KEY AUTOINCREMENT,
      day_id INTEGER NOT NULL REFERENCES day,
      setup_id INTEGER NOT NULL REFERENCES setup,
      note TEXT NOT NULL
    ) STRICT;
    CREATE TABLE drive (
      id INTEGER PRIMARY KEY,
      options TEXT NOT NULL UNIQUE
    ) STRICT;
    CREATE TABLE seen (
      id INTEGER PRIMARY KEY,
      run_id INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,
      drive_id INTEGER NOT NULL REFERENCES drive,
      measure TEXT NOT NULL,
      value REAL NOT NULL,
      error REAL NOT NULL CHECK (error > 0),
      changes TEXT NOT NULL
    ) STRICT;
    CREATE INDEX run_of_day ON run (day_id);
    CREATE INDEX seen_of_run ON seen (run_id);
    """,
    """
    CREATE TABLE advice (
      id INTEGER PRIMARY KEY AUTOINCREMENT,
      day_id INTEGER NOT NULL REFERENCES day,
      setup_id INTEGER NOT NULL REFERENCES setup,
      said TEXT NOT NULL,
      settings TEXT NOT NULL,
      helped INTEGER CHECK (helped IN (0, 1)),
      note TEXT NOT NULL
    ) STRICT;
    """,
    """
    CREATE TABLE log (
      id INTEGER PRIMARY KEY,
      run_id INTEGER NOT NULL REFERENCES run ON DELETE CASCADE,
      drive_id INTEGER NOT NULL REFERENCES drive,
      quantity TEXT NOT NULL,
      along TEXT NOT NULL,
      samples TEXT NOT NULL,
      error REAL NOT NULL CHECK (error > 0),
      changes TEXT NOT NULL
    ) STRICT;
    CREATE INDEX log_of_run ON log (run_id);
    """,
)
VERSION = len(_STEPS)


def migrate(connection: sqlite3.Connection, version: int) -> None:
    """Take a file from a version to the present one; the caller holds the transaction."""
    for step in _STEPS[version:]:
        for statement in filter(str.strip, step.split(";")):
            connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION}")
    connection.execute(f"PRAGMA user_version = {VERSION}")
