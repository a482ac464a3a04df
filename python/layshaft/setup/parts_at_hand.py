"""Parts at hand: a TOML document, read with the same care as a set-up file."""

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, NamedTuple

from layshaft.quantities import units
from layshaft.setup.handed_over import checked, checked_path
from layshaft.setup.setup_file import Fault, SetupError, parsed, text_of
from layshaft.setup.toml_lines import KeyPath
from layshaft.setup.toml_text import shown, shown_key


class Entry(NamedTuple):
    """What a key of the document holds."""

    name: str  #: field of `Parts`
    unit: str  #: SI unit; empty for a count of teeth
    minimum: float
    maximum: float
    meaning: str
    is_list: bool = True


def _teeth(name: str, wheels: str) -> Entry:
    return Entry(name, "", 8, 200, f"Teeth of the {wheels} at hand")


#: By path in the document.
ENTRIES = {
    "first.pinions": _teeth("first_pinions", "pinions for first gear"),
    "first.spurs": _teeth("first_spurs", "spurs for first gear"),
    "second.pinions": _teeth("second_pinions", "pinions for second gear"),
    "second.spurs": _teeth("second_spurs", "spurs for second gear"),
    "belts.rear_in_teeth": _teeth("rear_in_teeth", "driving pulleys of the rear belt"),
    "belts.rear_out_teeth": _teeth("rear_out_teeth", "rear axle's pulleys"),
    "belts.front_in_teeth": _teeth("front_in_teeth", "driving pulleys of the front belt"),
    "belts.front_out_teeth": _teeth("front_out_teeth", "front axle's pulleys"),
    "tyres.rear_diameters": Entry(
        "rear_diameters", "m", 0.04, 0.12, "Diameters of the rear tyres at hand"
    ),
    "tyres.front_diameters": Entry(
        "front_diameters", "m", 0.04, 0.12, "Diameters of the front tyres at hand"
    ),
    "slugs.masses": Entry("slugs", "kg", 0.0, 0.01, "Masses of the slugs at hand, a pair of each"),
    "mesh.least_backlash": Entry(
        "least_backlash", "m", 0.0, 0.001, "Least play between teeth", is_list=False
    ),
    "mesh.most_backlash": Entry(
        "most_backlash", "m", 0.0, 0.001, "Most play between teeth", is_list=False
    ),
}
_FaultSink = Callable[[KeyPath, object, str], None]
_SECTIONS = {path.partition(".")[0] for path in ENTRIES}


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """Parts at hand; an empty list: only what is in the car. SI units."""

    first_pinions: tuple[int, ...] = ()
    first_spurs: tuple[int, ...] = ()
    second_pinions: tuple[int, ...] = ()
    second_spurs: tuple[int, ...] = ()
    rear_in_teeth: tuple[int, ...] = ()
    rear_out_teeth: tuple[int, ...] = ()
    front_in_teeth: tuple[int, ...] = ()
    front_out_teeth: tuple[int, ...] = ()
    rear_diameters: tuple[float, ...] = ()  #: [m]
    front_diameters: tuple[float, ...] = ()  #: [m]
    slugs: tuple[float, ...] = ()  #: masses of slugs, a pair of each [kg]
    least_backlash: float = 0.05e-3  #: between the teeth along the pitch circle [m]
    most_backlash: float = 0.30e-3  #: [m]

    @property
    def slug_step(self) -> float | None:
        """Least difference between two slugs [kg]; `None` for fewer than two."""
        return min((b - a for a, b in zip(self.slugs, self.slugs[1:], strict=False)), default=None)


def checked_parts(given: object) -> Parts:
    """Return parts at hand; refuse anything else, such as the name of a file.

    Raises
    ------
    TypeError
        For anything else.

    Examples
    --------
    >>> checked_parts("parts.toml")
    Traceback (most recent call last):
    TypeError: parts = 'parts.toml' must be a Parts, such as layshaft.read_parts returns
    """
    return checked("parts", given, Parts, "layshaft.read_parts")


def read_parts(path: str | os.PathLike[str]) -> Parts:
    r"""Read the parts at hand.

    Parameters
    ----------
    path
        TOML file in UTF-8 with any of these lists, a number each or text with a unit:
        `[first]` and `[second]` with `pinions` and `spurs` (teeth); `[belts]` with `rear_in_teeth`,
        `rear_out_teeth`, `front_in_teeth`, `front_out_teeth`; `[tyres]` with `rear_diameters` and
        `front_diameters`; `[slugs]` with `masses`. And `[mesh]` with `least_backlash` and
        `most_backlash`, the play between teeth with which gears may run.

    Returns
    -------
    Parts
        Teeth as counts, diameters in m, slugs in kg.

    Raises
    ------
    SetupError
        With all faults of the file at once, each with its line.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "parts.toml")
    ...     _ = file.write_text('[first]\npinions = [16, 17]\n[slugs]\nmasses = ["1 g", "0.8 g"]\n')
    ...     parts = read_parts(file)
    >>> parts.first_pinions, parts.slugs
    ((16, 17), (0.0008, 0.001))
    """
    name = checked_path("path", path)
    content, lines = parsed(name, text_of(name))
    values: dict[str, Any] = {}
    faults: list[Fault] = []

    def fault(key: KeyPath, value: object, must: str) -> None:
        setting = f"{shown_key(key)} = {shown(value)}"
        faults.append(Fault(name, lines.get(key), setting, must))

    for section, table in content.items():
        if section not in _SECTIONS:
            fault((section,), table, f"must be a known name: {_nearest(section, _SECTIONS)}")
        elif not isinstance(table, dict):
            fault((section,), table, f"must be a table of parts: [{section}]")
        else:
            for key, value in table.items():
                _read_entry((section, key), value, values, fault)
    if not faults and "mesh" in content:
        _check_backlash(Parts(**values), fault)
    if faults:
        raise SetupError(sorted(faults, key=lambda each: each.line or 0))
    return Parts(**values)


def _read_entry(
    key: tuple[str, str], value: object, values: dict[str, Any], fault: _FaultSink
) -> None:
    entry = ENTRIES.get(".".join(key))
    if entry is None:
        fault(key, value, f"must be a known name: {_nearest('.'.join(key), ENTRIES)}")
        return
    if entry.is_list and not (isinstance(value, list) and value):
        fault(key, value, "must be a list with at least one part")
        return
    numbers: list[float] = []
    for place, single in _singles(key, value, entry.is_list):
        try:
            number = _number(single, entry)
        except ValueError as error:
            fault(place, single, str(error))
            continue
        if number in numbers:
            fault(place, single, "must stand only once in the list")
        numbers.append(number)
    values[entry.name] = tuple(sorted(numbers)) if entry.is_list else next(iter(numbers), 0.0)


def _singles(key: KeyPath, value: Any, is_list: bool) -> Iterator[tuple[KeyPath, object]]:
    if not is_list:
        yield key, value
        return
    for position, single in enumerate(value):
        yield (*key, position), single


def _number(value: Any, entry: Entry) -> float:
    is_plain = isinstance(value, int | float) and not isinstance(value, bool)
    if not entry.unit:
        if is_plain and entry.minimum <= value <= entry.maximum and value == int(value):
            return int(value)
        raise ValueError(f"must be a whole number from {entry.minimum:g} to {entry.maximum:g}")
    if not is_plain and not isinstance(value, str):
        raise ValueError(f"must be {units.expectation(entry.unit)}")
    number = float(value) if is_plain else units.to_si(value, entry.unit)
    if entry.minimum <= number <= entry.maximum:
        return number
    least = units.bound_text(entry.minimum, entry.unit, is_minimum=True)
    most = units.bound_text(entry.maximum, entry.unit, is_minimum=False)
    raise ValueError(f"must be from {least} to {most}")


def _check_backlash(parts: Parts, fault: _FaultSink) -> None:
    if parts.least_backlash > parts.most_backlash:
        key = ("mesh", "least_backlash")
        most = units.si_text(parts.most_backlash, "m")
        fault(
            key, units.si_text(parts.least_backlash, "m"), f"must not exceed most_backlash, {most}"
        )


def _nearest(name: str, known: Iterable[str]) -> str:
    return f"the nearest known name is {get_close_matches(name, list(known), 1, 0.0)[0]}"
