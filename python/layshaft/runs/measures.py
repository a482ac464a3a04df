"""Measures of one's own: functions of a run, whose values stand beside its scalars."""

import dataclasses
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from inspect import getdoc
from typing import Any

from layshaft import _core
from layshaft.quantities import units
from layshaft.quantities.possible import check_finite, check_possible
from layshaft.quantities.refused import shown
from layshaft.setup import field_table
from layshaft.setup.handed_over import checked_map

#: What stands beside the scalars of a run in a table.
_TAKEN = ("time", "status", "message", "time_to_distance", "speed_at_distance", "time_to_speed")


@dataclass(frozen=True, slots=True)
class Measure:
    """A function of a run that returns one number."""

    name: str
    unit: str  #: SI unit of the number
    function: Callable[[object], float] | None  #: `None`: read from a file, which holds none

    @property
    def scalar(self) -> tuple[str, str, str]:
        """Name, SI unit and meaning, as of any scalar of a run."""
        text = (getdoc(self.function) or "").partition("\n")[0].rstrip(".")
        return self.name, self.unit, text or "Measure of the user's own"

    def check(self) -> None:
        """Raise `ValueError` if there is no function."""
        if self.function is None:
            raise ValueError(f"{self.name}: a file holds the values of a measure, not its function")

    def of(self, run: object) -> float:
        """Return the number of a run.

        Raises
        ------
        TypeError
            If the function returns anything else.
        """
        if self.function is None:
            raise ValueError(f"{self.name}: a file holds the values of a measure, not its function")
        value = self.function(run)
        try:
            return float(value)
        except (TypeError, ValueError, OverflowError):
            text = f"measure {self.name} must return a number, not <{type(value).__name__}>"
            raise TypeError(text) from None


def read_measure(name: str, function: object, unit: str = "1") -> Measure:
    """Return a checked measure.

    Raises
    ------
    TypeError
        For what is no function.
    ValueError
        For an invalid name, one that is taken, or an unknown unit.

    Examples
    --------
    >>> read_measure("longest_slip", len, "s").scalar[:2]
    ('longest_slip', 's')
    >>> read_measure("shift_speed", len)
    Traceback (most recent call last):
    ValueError: measure 'shift_speed' must have a name that no scalar of a run has
    """
    told = f"measure {shown(name)}"
    if not callable(function):
        raise TypeError(f"{told} = {shown(function)} must be a function of a run")
    if not isinstance(name, str) or not name.isidentifier():
        raise ValueError(f"{told} must have a name of letters, digits and _")
    scalars = (scalar for scalar, _, _ in (*_core.scalars, *_core.lap_scalars))
    is_field = name in field_table.sections() or field_table.path_of(name) is not None
    if is_field or name in (*scalars, *_TAKEN):
        raise ValueError(f"{told} must have a name that no scalar of a run has")
    if not isinstance(unit, str) or unit not in units.QUANTITIES:
        raise ValueError(f"{told}: unit = {shown(unit)} must be one of {_known_units()}")
    return Measure(name, unit, function)


def read_measures(given: object) -> tuple[Measure, ...]:
    """Read measures as people write them: by name a function, or a function and its SI unit.

    Examples
    --------
    >>> [each.unit for each in read_measures({"events": len, "way": (len, "m")})]
    ['1', 'm']
    """
    pairs: Mapping[str, object] = checked_map("measures", given)
    return tuple(
        read_measure(name, *(what if isinstance(what, tuple) else (what,)))
        for name, what in pairs.items()
    )


def refuse_measures(what: str, given: Iterable[str]) -> None:
    """Refuse measures where nothing would come of them.

    Examples
    --------
    >>> refuse_measures("a launch", ["distance", "measures"])
    Traceback (most recent call last):
    TypeError: a launch takes no measures: give them to a sweep, or call them on a run
    """
    if "measures" in given:
        raise TypeError(f"{what} takes no measures: give them to a sweep, or call them on a run")


def check_value(
    name: str, number: float, unit: str, given: object, measures: Iterable[Measure]
) -> float:
    """Return a number that a scalar of a run can have; one of these measures can have any.

    Examples
    --------
    >>> check_value("events", -3.0, "1", -3, read_measures({"events": len}))
    -3.0
    """
    if name in {each.name for each in measures}:
        return check_finite(name, number, given)
    return check_possible(name, number, unit, given)


def plain_options(options: Any) -> dict[str, Any]:
    """Return options as plain data; of measures their names and units, and no word of none."""
    values = dataclasses.asdict(options)
    values["measures"] = [(each.name, each.unit) for each in options.measures]
    return values if options.measures else {n: v for n, v in values.items() if n != "measures"}


def measures_of(values: Mapping[str, Any]) -> tuple[Measure, ...]:
    """Return the measures that plain options name, without their functions."""
    return tuple(Measure(name, unit, None) for name, unit in values.get("measures", ()))


def _known_units() -> str:
    return ", ".join(units.QUANTITIES)
