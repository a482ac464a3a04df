"""The logbook of a season: what was saved, run, seen, in one file."""

import datetime
import os
from collections.abc import Iterable, Mapping
from typing import Any, Unpack

from layshaft.fitting.logs import Log
from layshaft.fitting.observation_file import read_observation_lines
from layshaft.fitting.observations import Observation, stored_changes
from layshaft.logbook.advice_store import add_advice, advice_of, judge
from layshaft.logbook.book_file import opened
from layshaft.logbook.day_store import day_of, days_of, write_day
from layshaft.logbook.entries import (
    Advised,
    Day,
    LoggedRun,
    Weather,
    read_date,
    read_name,
    read_note,
    read_seen,
    read_weather,
)
from layshaft.logbook.kept_store import keep, kept
from layshaft.logbook.run_store import add_lines, add_run, runs_of
from layshaft.logbook.store import Store
from layshaft.runs.lap_options import AnyTrack, LapOptions, read_lap_options
from layshaft.runs.result_file import car_of
from layshaft.setup.car import Car, checked_car
from layshaft.setup.csv_text import AnyTable
from layshaft.setup.handed_over import check_names, checked, whole
from layshaft.tracks.track import Track

Date = str | datetime.date


def open_logbook(path: str | os.PathLike[str], *, create: bool = False) -> "Logbook":
    """Open the logbook of a season: one file of SQLite.

    Parameters
    ----------
    path
        The file. One of an older version is brought to the present one.
    create
        Begin one where there is none.

    Returns
    -------
    Logbook
        To be closed when done: use it in a `with` statement.

    Raises
    ------
    OSError
        If the file is not there, or may not be read and written.
    ValueError
        If it is damaged, no logbook, or one of a later version.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> heard = layshaft.observe("shift_speed", "65 km/h", changes={"two_speed.gap": "4.4 mm"})
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with layshaft.open_logbook(pathlib.Path(folder, "season.db"), create=True) as book:
    ...         book.add_setup("dry", layshaft.demo_car())
    ...         _ = book.add_day("2026-05-02", air_temperature="24 degC")
    ...         _ = book.add_run("2026-05-02", "dry", [heard], note="after the rain")
    ...         (run,) = book.runs()
    >>> run.number, run.setup, round(run.seen[0].value * 3.6, 6)
    (1, 'dry', 65.0)
    """
    checked("create", create, bool, "bool")
    connection = opened(path, create=create)
    return Logbook(Store(os.fspath(path), connection))


class Logbook:
    """A season in one file. Open it by `layshaft.open_logbook`, close it when done.

    Every entry is written whole or not at all, and is on the disk once the call returns. Others
    may read and write the same file meanwhile.
    """

    def __init__(self, store: Store) -> None:
        self._store = store

    def __enter__(self) -> "Logbook":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; nothing more can be read or written by this logbook."""
        self._store.close()

    def add_setup(self, name: str, car: Car) -> None:
        """Keep a set-up as it is, under a name of its own; it is never changed after.

        Raises
        ------
        ValueError
            If another car has that name already.
        """
        keep(self._store, "setup", read_name("setup", name), checked_car(car).to_toml())

    def setups(self) -> tuple[str, ...]:
        """Return the names of the set-ups, in the order they were saved."""
        return self._store.column("SELECT name FROM setup ORDER BY id")

    def setup(self, name: str) -> Car:
        """Return the car that was saved under a name."""
        content = kept(self._store, "setup", name)
        with self._store.reading():
            return car_of(content)

    def add_track(self, track: AnyTrack, name: str = "") -> str:
        """Keep a track, under its own name or another; return the name.

        Raises
        ------
        ValueError
            If another track has that name already.
        """
        options = read_lap_options(track)
        name = read_name("track", name or options.track.name)
        keep(self._store, "track", name, options.to_json())
        return name

    def tracks(self) -> tuple[str, ...]:
        """Return the names of the tracks."""
        return self._store.column("SELECT name FROM track ORDER BY id")

    def track(self, name: str) -> Track:
        """Return the track of a name."""
        content = kept(self._store, "track", name)
        with self._store.reading():
            return LapOptions.from_json(content).track

    def add_day(
        self,
        date: Date,
        *,
        track: str | None = None,
        note: str | None = None,
        replace: bool = False,
        **weather: Unpack[Weather],
    ) -> Day:
        """Begin a day; with `replace`, note more of one that is there.

        Parameters
        ----------
        date
            As 2026-05-02.
        track
            Name of a track of this logbook.
        note
            Anything else, in one line.
        replace
            Write what is given over what the day has; what is not given stays.
        weather
            `air_temperature`, `track_temperature`, `air_pressure` (at the track, not reduced to sea
            level), `relative_humidity`: text with a unit, or a number in the SI unit.

        Raises
        ------
        ValueError
            For a day that is there, unless it may be replaced, and weather that there is not.
        """
        check_names(weather, Weather.__annotations__)
        given: dict[str, Any] = dict(weather)
        values: dict[str, Any] = {name: read_weather(name, each) for name, each in given.items()}
        if note is not None:
            values["note"] = read_note(note)
        date = read_date(date)
        with self._store.writing():
            if track is not None:
                values["track_id"] = self._store.row_id("track", "name", read_name("track", track))
            write_day(self._store, date, values, replace=replace)
        return self.day(date)

    def days(self) -> tuple[Day, ...]:
        """Return all days in their order."""
        return days_of(self._store)

    def day(self, date: Date) -> Day:
        """Return one day."""
        return day_of(self._store, read_date(date))

    def add_run(
        self,
        date: Date,
        setup: str,
        seen: Iterable[Observation | Log] = (),
        *,
        note: str = "",
    ) -> int:
        """Keep a run: on which day, with which set-up, and what was heard and timed.

        Parameters
        ----------
        date, setup
            Of a day and a set-up of this logbook.
        seen
            From `layshaft.observe`, and logs from `layshaft.read_log`; their changes are those from
            the set-up.
        note
            Anything else, in one line.

        Returns
        -------
        int
            Number of the run.
        """
        checked_seen = read_seen(seen)
        note = read_note(note)
        date, setup = read_date(date), read_name("setup", setup)
        with self._store.writing():
            return add_run(self._store, date, setup, checked_seen, note)

    def import_list(self, given: AnyTable, date: Date, setup: str) -> tuple[int, ...]:
        """Take in a list of observations, as a phone writes it; each line is a run.

        A line that was taken in for that day before is left out, so that a list which grows over
        the day may be taken in again and again.

        Parameters
        ----------
        given
            CSV file or DataFrame, as for `layshaft.read_observations`.
        date, setup
            Of a day and a set-up of this logbook.

        Returns
        -------
        tuple of int
            Numbers of the new runs.

        Raises
        ------
        SetupError
            With all faults of the list at once; then nothing of it is taken in.
        """
        lines = [read_seen(line) for line in read_observation_lines(given)]
        date, setup = read_date(date), read_name("setup", setup)
        with self._store.writing():
            return add_lines(self._store, date, setup, lines)

    def remove_run(self, number: int) -> None:
        """Strike out a run, with what was seen in it."""
        with self._store.writing():
            if not self._store.column("SELECT 1 FROM run WHERE id = ?", whole("run", number)):
                raise ValueError(f"run = {number} is not in the logbook")
            self._store.write("DELETE FROM run WHERE id = ?", number)

    def runs(self, date: Date | None = None) -> tuple[LoggedRun, ...]:
        """Return the runs in the order they were noted: of one day, or of all."""
        return runs_of(self._store, None if date is None else self.day(date).date)

    def add_advice(
        self, date: Date, setup: str, said: str, settings: Mapping[str, object] | None = None
    ) -> int:
        """Keep what was advised, until `judge` tells whether it helped.

        Parameters
        ----------
        date, setup
            Of a day and a set-up of this logbook: for which it was advised.
        said
            The advice in a sentence.
        settings
            What was to be set, as for `Car.replace`; such as `Recommendation.settings`.

        Returns
        -------
        int
            Number of the advice.
        """
        said, stored = read_note(said, "said"), dict(stored_changes(settings))
        if not said:
            raise ValueError("said = '' must say what was advised")
        date, setup = read_date(date), read_name("setup", setup)
        with self._store.writing():
            return add_advice(self._store, date, setup, said, stored)

    def judge(self, number: int, helped: bool, *, note: str = "") -> None:
        """Note whether an advice helped; a later word counts."""
        helped, note = checked("helped", helped, bool, "bool"), read_note(note)
        with self._store.writing():
            judge(self._store, whole("advice", number), helped, note)

    def advice(self, date: Date | None = None) -> tuple[Advised, ...]:
        """Return what was advised, in the order it was: on one day, or on all."""
        return advice_of(self._store, None if date is None else self.day(date).date)
