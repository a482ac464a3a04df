"""Names of a package that are imported at first use, so that the package itself is quick."""

from collections.abc import Callable, Mapping
from importlib import import_module


def late_names(
    package: str, homes: Mapping[str, str], held: dict[str, object]
) -> Callable[[str], object]:
    """Return the `__getattr__` of a package.

    Parameters
    ----------
    package
        Its full name.
    homes
        Each of its names with the module in it that holds it.
    held
        The package's `globals()`, which keep what was imported.

    Examples
    --------
    >>> named = late_names("layshaft.quantities", {"KMH": "pit_units"}, {})
    >>> named("KMH")
    3.6
    >>> named("MPH")
    Traceback (most recent call last):
    AttributeError: module 'layshaft.quantities' has no attribute 'MPH'
    """

    def named(name: str) -> object:
        if name not in homes:
            raise AttributeError(f"module {package!r} has no attribute {name!r}", name=name)
        held[name] = getattr(import_module(f"{package}.{homes[name]}"), name)
        return held[name]

    return named
