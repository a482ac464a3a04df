"""What is handed to a function: of the kind it takes, or refused by its name at once."""

from collections.abc import Mapping
from typing import TypeVar

_Kind = TypeVar("_Kind")
_LONGEST_SHOWN = 60


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
    shown = repr(given) if isinstance(given, str | int | float | None) else ""
    if not shown or len(shown) > _LONGEST_SHOWN:
        shown = f"<{type(given).__name__}>"
    wanted = getattr(kind, "__name__", kind)
    raise TypeError(f"{name} = {shown} must be a {wanted}, such as {source} returns")


def checked_map(name: str, given: object) -> Mapping:
    """Return what maps names to values; refuse anything else.

    Examples
    --------
    >>> checked_map("changes", ["first.pinion"])
    Traceback (most recent call last):
    TypeError: changes = <list> must be a Mapping, such as dict returns
    """
    return checked(name, given, Mapping, "dict")
