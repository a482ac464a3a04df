"""What a logbook holds, as plain values, and what each of them must be."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypedDict, TypeVar

from layshaft.fitting.logs import Log
from layshaft.fitting.observations import Observation
from layshaft.quantities import units
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.setup import field_table
from layshaft.setup.handed_over import checked
from layshaft.setup.settings import Point

_Seen = TypeVar("_Seen", bound=Observation | Log)
_LONGEST_NAME = 80
_LONGEST_NOTE = 1000
#: Weather by its field in the car's air; the track's own heat is in no law and only kept.
_AIR = {
    "air_temperature": "air.temperature",
    "air_pressure": "air.pressure",
    "relative_humidity": "air.relative_humidity",
}
_COLDEST_TRACK, _HOTTEST_TRACK = 230.0, 370.0  # [K]


class Weather(TypedDict, total=False):
    """What may be noted of a day's weather: text with a unit, or a number in the SI unit."""

    air_temperature: Given
    track_temperature: Given  # of the surface
    air_pressure: Given  # at the track, not reduced to sea level
    relative_humidity: Given


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day at a track, and its weather; `None`: not noted. SI units."""

    date: str  #: as 2026-05-02
    track: str | None
    air_temperature: float | None  #: [K]
    track_temperature: float | None  #: of the surface [K]
    air_pressure: float | None  #: at the track, not reduced to sea level [Pa]
    relative_humidity: float | None  #: [-]
    note: str

    @property
    def changes(self) -> dict[str, float]:
        """The day's air as settings of a car."""
        noted = {path: getattr(self, name) for name, path in _AIR.items()}
        return {path: number for path, number in noted.items() if number is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedRun:
    """A run as the logbook has it."""

    number: int
    date: str
    setup: str  #: its name
    seen: tuple[Observation, ...]
    logs: tuple[Log, ...]
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Advised:
    """What was advised on a day, and whether it helped."""

    number: int
    date: str
    setup: str  #: that it was advised for
    said: str
    settings: Point  #: path of a field to its number in the SI unit
    helped: bool | None  #: `None`: not tried, or not told
    note: str


def read_date(given: object) -> str:
    """Return a date as 2026-05-02; refuse what is none.

    Examples
    --------
    >>> read_date("2026-05-02")
    '2026-05-02'
    >>> read_date("2.5.2026")
    Traceback (most recent call last):
    ValueError: day = '2.5.2026' must be a date such as 2026-05-02
    """
    if isinstance(given, datetime.date):
        given = given.isoformat()[:10]
    try:
        # `fromisoformat` alone takes 20260502 too.
        is_date = isinstance(given, str) and str(datetime.date.fromisoformat(given)) == given
    except ValueError:
        is_date = False
    if not is_date:
        raise ValueError(f"day = {shown(given)} must be a date such as 2026-05-02")
    return str(given)


def read_name(what: str, given: object) -> str:
    """Return a name: some printable letters in one line, without blanks around them.

    Examples
    --------
    >>> read_name("setup", " wet ")
    'wet'
    >>> read_name("setup", "")
    Traceback (most recent call last):
    ValueError: setup = '' must be a name of 1 to 80 printable letters
    """
    name = given.strip() if isinstance(given, str) else ""
    if not (0 < len(name) <= _LONGEST_NAME and name.isprintable()):
        must = f"must be a name of 1 to {_LONGEST_NAME} printable letters"
        raise ValueError(f"{what} = {shown(given)} {must}")
    return name


def read_note(given: object, what: str = "note") -> str:
    """Return a note: printable letters in one line, or none."""
    text = given.strip() if isinstance(given, str) else None
    if text is None or len(text) > _LONGEST_NOTE or not text.isprintable():
        must = f"must be text in one line of at most {_LONGEST_NOTE} letters"
        raise ValueError(f"{what} = {shown(given)} {must}")
    return text


def read_weather(name: str, given: Given) -> float:
    """Read a number of the weather in the SI unit.

    Examples
    --------
    >>> read_weather("air_pressure", "980 hPa"), read_weather("relative_humidity", "40 %")
    (98000.0, 0.4)
    >>> read_weather("track_temperature", "300 degC")
    Traceback (most recent call last):
    ValueError: track_temperature = '300 degC' must be from -43.15 degC to 96.85 degC
    """
    if name not in _AIR:
        number = units.read(name, given, "K")
        if not _COLDEST_TRACK <= number <= _HOTTEST_TRACK:
            ends = (units.si_text(end, "K") for end in (_COLDEST_TRACK, _HOTTEST_TRACK))
            raise ValueError(f"{name} = {shown(given)} must be from {' to '.join(ends)}")
        return number
    try:
        return field_table.to_number(field_table.field_of(_AIR[name]), given)
    except ValueError as error:
        raise ValueError(f"{name} = {shown(given)} {error}") from None


def read_seen(given: Iterable[_Seen]) -> tuple[_Seen, ...]:
    """Return what was seen in a run; refuse what a file cannot hold."""
    is_many = isinstance(given, Iterable) and not isinstance(given, str)
    either: Any = Observation | Log
    seen = tuple(
        checked("seen", each, either, "layshaft.observe")
        for each in (given if is_many else [given])
    )
    for each in seen:
        if each.options.measures:
            name = each.options.measures[0].name
            raise ValueError(f"seen: {name} is a function of your own, which no file can hold")
    return seen
