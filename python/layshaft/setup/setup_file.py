"""Set-up files: a car as TOML text, with the units of the workshop.

Every key may be left out and then has the value of the demo car; an empty file is the demo car. A
value is a number in the field's SI unit or text with a unit (`gap = "4.3 mm"`).
"""

import os
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layshaft import _core
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car
from layshaft.setup.field_table import CURVE
from layshaft.setup.handed_over import checked_path
from layshaft.setup.toml_lines import MOST_PARTS, KeyPath, key_lines, line_of_endless_key
from layshaft.setup.toml_text import shown, shown_key
from layshaft.storage.atomic import atomic_write

_LONGEST_SHOWN = 60
_MOST_BYTES = 64_000  # some five times a full set-up; more is none, and slow to refuse
_DEEPEST = 50
_MOST_NEAREST = 100  # faults that name the nearest known name, which takes a search each


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a set-up file."""

    file: str
    line: int | None  #: counted from 1; `None`: it concerns the whole file
    setting: str  #: `key = value` as read; empty: it concerns the whole file
    must: str  #: what it must be

    def __str__(self) -> str:
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        text = ": ".join(part for part in (where, self.setting, self.must) if part)
        # One line, whatever the file holds.
        return "".join(c if c.isprintable() else repr(c)[1:-1] for c in text)


class SetupError(ValueError):
    """A set-up file could not be read; `faults` lists everything wrong in it.

    Examples
    --------
    >>> import layshaft
    >>> try:
    ...     layshaft.read_car("no-such-file.toml")
    ... except layshaft.SetupError as error:
    ...     print(error.faults[0])
    no-such-file.toml: cannot be read: No such file or directory
    """

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__(faults)
        self.faults = faults

    def __str__(self) -> str:
        return "\n".join(map(str, self.faults))


def read_car(path: str | os.PathLike[str]) -> Car:
    r"""Read a car from a set-up file.

    Parameters
    ----------
    path
        TOML file in UTF-8. Keys left out have the value of the demo car, so an empty file is the
        demo car. `gap` or `slug_mass` under `[two_speed]` sets both shoes; under
        `[two_speed.shoe_1]` or `[two_speed.shoe_2]` it sets that shoe and wins over the former.

    Returns
    -------
    Car
        The car; its fields are in SI units.

    Raises
    ------
    SetupError
        With all faults of the file at once, each with its line. What parts must fulfil together is
        checked once every single value is right.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "car.toml")
    ...     _ = file.write_text('[two_speed]\ngap = "4.3 mm"\n')
    ...     layshaft.read_car(file)
    layshaft.Car({'two_speed.gap': 0.0043})
    """
    name = checked_path("path", path)
    content, lines = parsed(name, text_of(name))
    reading = _Reading(name, lines)
    reading.table(content, ())
    reading.stop_if_faulty()
    try:
        return Car(reading.changes)
    except ValueError as error:
        raise SetupError([Fault(name, None, "", str(error))]) from None


def text_of(name: str) -> str:
    """Return the text of a file in UTF-8; raise `SetupError` where there is none."""
    try:
        with Path(name).open("rb") as file:
            content = file.read(_MOST_BYTES + 1)
    except OSError as error:
        must = f"cannot be read: {error.strerror}"
        raise SetupError([Fault(name, None, "", must)]) from None
    if len(content) > _MOST_BYTES:
        must = f"must not be longer than {_MOST_BYTES // 1000} kB"
        raise SetupError([Fault(name, None, "", must)])
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        must = f"must be text in UTF-8; byte 0x{error.object[error.start]:02x} is not"
        raise SetupError([Fault(name, line, "", must)]) from None


def parsed(name: str, text: str) -> tuple[dict[str, Any], dict[KeyPath, int]]:
    """Parse TOML text and find the line of each key; raise `SetupError` where it is none."""
    endless = line_of_endless_key(text)
    if endless is not None:
        must = f"must not have a key of more than {MOST_PARTS} parts"
        raise SetupError([Fault(name, endless, "", must)])
    try:
        content = tomllib.loads(text)
        if _is_deep(content):
            raise _too_deep(name)
        return content, key_lines(text)
    except tomllib.TOMLDecodeError as error:
        found = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", str(error))
        reason = str(error)[: found.start()] if found else str(error)
        lines = text.split("\n")
        line = int(found[1]) if found and found[1] else max(len(text.splitlines()), 1)
        must = f"must be TOML: {reason[:1].lower()}{reason[1:]}"
        if re.search("overwrite|twice|namespace", reason):
            must = "must stand only once in a file"
        start = lines[line - 1].strip()[:_LONGEST_SHOWN]
        raise SetupError([Fault(name, line, start, must)]) from None
    except RecursionError:
        raise _too_deep(name) from None
    except ValueError:  # Python refuses to read an integer of thousands of digits
        must = "must not hold an integer of thousands of digits"
        raise SetupError([Fault(name, None, "", must)]) from None


def _is_deep(content: object) -> bool:
    """Whether lists and tables nest too deeply for those that go through them."""
    level = [content]
    for _ in range(_DEEPEST):
        level = [inner for each in level for inner in _members(each)]
        if not level:
            return False
    return True


def _members(value: object) -> Iterable[object]:
    if isinstance(value, dict):
        return value.values()
    return value if isinstance(value, list) else ()


def _too_deep(name: str) -> SetupError:
    return SetupError([Fault(name, None, "", "must not nest lists or tables so deeply")])


class _Reading:
    """Walks through a parsed file; gathers changes to the demo car, and faults."""

    def __init__(self, file: str, lines: dict[KeyPath, int]) -> None:
        self.changes: dict[str, Any] = {}
        self._file = file
        self._lines = lines
        self._faults: list[Fault] = []

    def stop_if_faulty(self) -> None:
        if self._faults:
            raise SetupError(sorted(self._faults, key=lambda fault: fault.line or 0))

    def table(self, table: dict[str, Any], above: KeyPath) -> None:
        for name, value in table.items():
            key = (*above, name)
            path = shown_key(key)
            field = field_table.find_field(path)
            if path == CURVE:
                self._curve(key, value)
            elif field is not None:
                self._number(key, field, value)
            elif isinstance(value, dict) and (value or path in field_table.sections()):
                self.table(value, key)
            elif path in field_table.sections():
                self._fault(key, value, f"must be a table of settings: [{path}]")
            else:
                self._fault(key, value, self._known_name(path))

    def _known_name(self, path: str) -> str:
        if len(self._faults) >= _MOST_NEAREST:
            return "must be a known name"
        return f"must be a known name: {field_table.unknown(path[:_LONGEST_SHOWN])}"

    def _number(self, key: KeyPath, field: _core.Field, value: object) -> None:
        try:
            number = field_table.to_number(field, value)
            self.changes[shown_key(key)] = field_table.as_stored(field, number)
        except ValueError as error:
            self._fault(key, value, str(error))

    def _curve(self, key: KeyPath, value: object) -> None:
        points, faults = field_table.to_points(value)
        self.changes[CURVE] = points
        for position, must in faults:
            if position is None:
                self._fault(key, value, must)
            elif isinstance(value, list):
                self._fault((*key, position), value[position], must)

    def _fault(self, key: KeyPath, value: object, must: str) -> None:
        setting = f"{shown_key(key)} = {shown(value)}"
        self._faults.append(Fault(self._file, self._lines.get(key), setting, must))


def write_car(car: Car, path: str | os.PathLike[str]) -> None:
    """Write a car as a full set-up file: every field with its unit and meaning.

    The file is written aside and then moved into place, so that it is never half a file. Read back
    by `read_car` it gives the same car, bit for bit.

    Parameters
    ----------
    car
        The car.
    path
        File to write; one that is there is replaced.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "car.toml")
    ...     layshaft.write_car(layshaft.demo_car(), file)
    ...     layshaft.read_car(file) == layshaft.demo_car()
    True
    """
    text = checked_car(car).to_toml()
    with atomic_write(checked_path("path", path)) as aside:
        aside.write_text(text, encoding="utf-8", newline="\n")


def write_lines(car: Car, path: str | os.PathLike[str]) -> None:
    """Write a car with one setting a line by its full path, numbers in SI units.

    This is a set-up file too, and the only form that the C interface reads.
    """
    with atomic_write(checked_path("path", path)) as aside:
        aside.write_text(_core.setup_text(checked_car(car)._core), encoding="utf-8", newline="\n")
