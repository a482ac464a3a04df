"""What is handed to a function: of the kind it takes, or refused by its name at once."""

import contextlib
import difflib
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from numbers import Real
from typing import Any, TypeVar, cast, get_args

from layshaft.quantities import units
from layshaft.quantities.refused import shown

_Kind = TypeVar("_Kind")
_NUMBER = re.compile(r"[0-9.]+(?:e[-+]?[0-9]+)?")
_MOST_COUNT = 2**31  # of a count, as the core holds it
_LONGEST_NAME, _LONGEST_PATH = 255, 1024  # letters that the usual file systems take
_SHORT = str | int | float | None  # what is shown as it is


def checked(name: str, given: object, kind: type[_Kind], source: str) -> _Kind:
    """Return what was handed over; refuse what is of another kind.

    Parameters
    ----------
    name
        Of the argument.
    given
        What was handed over.
    kind
        What it must be.
    source
        What returns one.

    Raises
    ------
    TypeError
        Naming the argument, what it is, and where to get what it must be.

    Examples
    --------
    >>> checked("laps", 3, int, "len")
    3
    >>> checked("laps", "3", int, "len")
    Traceback (most recent call last):
    TypeError: laps = '3' must be a int, such as len returns
    """
    if isinstance(given, kind):
        return given
    told = shown(given) if isinstance(given, _SHORT) else f"<{type(given).__name__}>"
    wanted = " or ".join(each.__name__ for each in get_args(kind) or (kind,))
    raise TypeError(f"{name} = {told} must be a {wanted}, such as {source} returns")


def checked_table(name: str, given: object, holds: Iterable[str], source: str) -> Any:
    """Return a table with certain variables; refuse anything else.

    Examples
    --------
    >>> checked_table("table", "gaps.nc", ["status"], "layshaft.sweep")
    Traceback (most recent call last):
    TypeError: table = 'gaps.nc' must be a table, such as layshaft.sweep returns
    """
    if hasattr(given, "data_vars") and all(each in given.variables for each in holds):  # type: ignore[attr-defined]
        return given
    told = shown(given) if isinstance(given, _SHORT) else f"<{type(given).__name__}>"
    raise TypeError(f"{name} = {told} must be a table, such as {source} returns")


def checked_map(name: str, given: object) -> Mapping:
    """Return what maps names to values; refuse anything else.

    Examples
    --------
    >>> checked_map("changes", ["first.pinion"])
    Traceback (most recent call last):
    TypeError: changes = <list> must be a Mapping, such as dict returns
    """
    found = checked(name, given, cast("type[Mapping]", Mapping), "dict")
    for key in found:
        if not isinstance(key, str):
            raise TypeError(f"{name} = <dict> must have names, not {shown(key)}")
    return found


def checked_names(name: str, given: object) -> list[str]:
    """Return names that were handed over; refuse what is no list of them.

    Examples
    --------
    >>> checked_names("settings", ("body.mass",))
    ['body.mass']
    >>> checked_names("settings", "body.mass")
    Traceback (most recent call last):
    TypeError: settings = 'body.mass' must be a list of names, such as ["body.mass"]
    """
    if isinstance(given, Iterable) and not isinstance(given, str | bytes):
        names = list(given)
        if all(isinstance(each, str) for each in names):
            return names
    is_short = isinstance(given, str | int | float | None)
    told = shown(given) if is_short else f"<{type(given).__name__}>"
    raise TypeError(f'{name} = {told} must be a list of names, such as ["body.mass"]')


def checked_path(name: str, given: object) -> str:
    """Return the name of a file as text; refuse what names none.

    Examples
    --------
    >>> checked_path("path", 3)
    Traceback (most recent call last):
    TypeError: path = 3 must be the name of a file
    """
    path = given.__fspath__() if isinstance(given, os.PathLike) else given
    if not isinstance(path, str):
        raise TypeError(f"{name} = {shown(given)} must be the name of a file")
    if not path or "\0" in path:
        raise ValueError(f"{name} = {shown(path)} must be the name of a file")
    if len(path) > _LONGEST_PATH or max(map(len, path.split(os.sep))) > _LONGEST_NAME:
        most = f"at most {_LONGEST_NAME} letters, {_LONGEST_PATH} with its folders"
        raise ValueError(f"{name} = {shown(path)} must be the name of a file, of {most}")
    return path


def one_of(name: str, given: object, known: Sequence[str]) -> str:
    """Return a word; refuse one that is not known.

    Examples
    --------
    >>> one_of("fmi", 3, ("2.0", "3.0"))
    Traceback (most recent call last):
    ValueError: fmi = 3 must be "2.0" or "3.0"
    """
    if isinstance(given, str) and given in known:
        return given
    words = " or ".join(f'"{word}"' for word in known)
    raise ValueError(f"{name} = {shown(given)} must be {words}")


def checked_list(name: str, given: object, of: str) -> list:
    """Return what a list holds; refuse what is none, a text too.

    Examples
    --------
    >>> checked_list("goals", 3, "goals")
    Traceback (most recent call last):
    TypeError: goals = 3 must be a list of goals
    """
    if isinstance(given, Iterable) and not isinstance(given, str | bytes):
        return list(given)
    told = shown(given) if isinstance(given, _SHORT) else f"<{type(given).__name__}>"
    raise TypeError(f"{name} = {told} must be a list of {of}")


def checked_all(name: str, given: object, kind: type[_Kind], source: str) -> list[_Kind]:
    """Return a list of things of one kind; refuse any other, by its place.

    Examples
    --------
    >>> checked_all("runs", [3, "4"], int, "len")
    Traceback (most recent call last):
    TypeError: runs[1] = '4' must be a int, such as len returns
    """
    listed = checked_list(name, given, f"what {source} returns")
    return [checked(f"{name}[{k}]", each, kind, source) for k, each in enumerate(listed)]


def whole(name: str, value: Any) -> int:
    """Return a count; refuse what is no whole number.

    Examples
    --------
    >>> whole("most_steps", 1e5)
    100000
    """
    is_number = isinstance(value, Real) and not isinstance(value, bool)
    # Compared before the conversion: a great integer does not fit into a float.
    if is_number and abs(value) < _MOST_COUNT and value == int(value):
        return int(value)
    most = f" below {_MOST_COUNT}" if is_number and abs(value) >= _MOST_COUNT else ""
    raise ValueError(f"{name} = {shown(value)} must be a whole number{most}")


def check_names(given: Iterable[str], known: Iterable[str]) -> None:
    """Refuse an option that there is not; name the nearest one.

    Examples
    --------
    >>> check_names(["distnace"], ["distance", "grade"])
    Traceback (most recent call last):
    TypeError: unknown option 'distnace'; the nearest known one is 'distance'
    """
    names = list(known)
    for name in given:
        if name not in names:
            nearest = difflib.get_close_matches(name, names, n=1, cutoff=0.0)
            raise TypeError(
                f"unknown option {shown(name)}; the nearest known one is {nearest[0]!r}"
            )


#: Options by another name than the core's.
_OWN_NAMES = {"distance_marks": "distances", "time": "pedals: time", "throttle": "pedals: throttle"}
_OWN_NAMES["brake"] = "pedals: brake"


def without_owner(message: str) -> str:
    """Tell what the core refuses by the name that people know, without that of its struct.

    Examples
    --------
    >>> without_owner("Launch.distance_marks = -1 must be > 0")
    'distances = -1 must be > 0'
    """
    owner, dot, rest = message.partition(".")
    if not dot or not owner.isidentifier() or not owner[0].isupper():
        return message
    name, equals, value = rest.partition(" = ")
    return f"{_OWN_NAMES.get(name, name)}{equals}{value}"


@contextlib.contextmanager
def told_as_given(given: Mapping[str, object], si_units: Mapping[str, str]) -> Iterator[None]:
    """Tell what the core refuses as it was written, the bound with its unit.

    Examples
    --------
    >>> with told_as_given({"distance": "0 km"}, {"distance": "m"}):
    ...     raise ValueError("Launch.distance = 0 must be > 0 and < 100000")
    Traceback (most recent call last):
    ValueError: distance = '0 km' must be > 0 m and < 100000 m
    """
    try:
        yield
    except ValueError as error:
        name, _, rest = without_owner(str(error)).partition(" = ")
        _, _, bound = rest.partition(" must be ")
        if name not in given or not bound:
            raise ValueError(without_owner(str(error))) from None
        si_unit = si_units.get(name, "1")
        unit = "m" if si_unit == "m" else None  # no way of a car is told in millimetres
        written = _NUMBER.sub(lambda n: units.si_text(float(n[0]), si_unit, unit), bound)
        raise ValueError(
            f"{name} = {shown(units.as_text(given[name]))} must be {written}"
        ) from None
