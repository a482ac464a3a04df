"""What may be chosen: lists of values, ranges, and sets of gears that mesh."""

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from layshaft.setup import field_table
from layshaft.setup.handed_over import checked_map
from layshaft.sweeps.swept_values import axis_values

_MOST_COMBINATIONS = 20_000


@dataclass(frozen=True, slots=True)
class Between:
    """Any value of a range: `Between("4.2 mm", "5.2 mm")`."""

    low: object
    high: object


@dataclass(frozen=True, slots=True, eq=False)
class Choices:
    """All that may be chosen, in SI units."""

    ranges: dict[str, tuple[float, float]]  #: by path; any value in between
    lists: dict[str, list[float]]  #: by path, in rising order
    sets: list[dict[str, float]]  #: values that only go together, such as gears that mesh

    @property
    def paths(self) -> list[str]:
        """All fields that may change."""
        return [*self.ranges, *self.lists, *(self.sets[0] if self.sets else ())]

    def combinations(self) -> list[dict[str, float]]:
        """Return every combination of all that is not a range; one empty one if there is none."""
        together = self.sets or [{}]
        picked = itertools.product(*self.lists.values())
        singles = [dict(zip(self.lists, values, strict=True)) for values in picked]
        return [single | gears for single, gears in itertools.product(singles, together)]

    def grid(self, counts: Sequence[int]) -> list[dict[str, float]]:
        """Return points evenly over all ranges, so many to each; one empty one without ranges."""
        axes = [
            np.linspace(low, high, count)
            for (low, high), count in zip(self.ranges.values(), counts, strict=True)
        ]
        return [
            dict(zip(self.ranges, map(float, values), strict=True))
            for values in itertools.product(*axes)
        ]


def read_choices(over: Mapping[str, object], sets: Sequence[Mapping[str, float]] = ()) -> Choices:
    """Read choices as people write them.

    Parameters
    ----------
    over
        Path of a field to `Between(low, high)`, or to its values as for `layshaft.sweep`.
    sets
        Values that only go together.

    Raises
    ------
    ValueError
        For what is no field or out of its range, and when there is too much to try.

    Examples
    --------
    >>> over = {"two_speed.gap": Between("4.2 mm", "5 mm"), "first.pinion": [16, 17]}
    >>> choices = read_choices(over)
    >>> choices.ranges, choices.lists
    ({'two_speed.gap': (0.0042, 0.005)}, {'first.pinion': [16.0, 17.0]})
    """
    ranges: dict[str, tuple[float, float]] = {}
    lists: dict[str, list[float]] = {}
    for path, values in checked_map("over", over).items():
        if isinstance(values, Between):
            ranges[path] = _range(path, values)
        else:
            lists[path] = sorted(axis_values(path, values))
    choices = Choices(ranges, lists, [dict(each) for each in sets])
    if not choices.paths:
        raise ValueError("there is nothing to choose")
    twice = {path for path in choices.paths if choices.paths.count(path) > 1}
    if twice:
        raise ValueError(f"{', '.join(sorted(twice))}: given by name and by the parts at hand")
    count = int(np.prod([len(each) for each in lists.values()])) * max(len(choices.sets), 1)
    if count > _MOST_COMBINATIONS:
        raise ValueError(f"{count} combinations are too many, {_MOST_COMBINATIONS} the most")
    return choices


def _range(path: str, values: Between) -> tuple[float, float]:
    field = field_table.find_field(path)
    if field is not None and field.kind != "number":
        raise ValueError(f"{path}: takes single values, not a range")
    low, high = (axis_values(path, [value])[0] for value in (values.low, values.high))
    if not low < high:
        raise ValueError(f"{path}: the range must lead from its lower end to its upper")
    return low, high


def rounded(settings: Mapping[str, float], ranges: Iterable[str]) -> dict[str, float]:
    """Round lengths of ranges to 0.01 mm and turns to 0.01: finer nobody can set.

    Examples
    --------
    >>> rounded({"two_speed.gap": 0.00461234}, ["two_speed.gap"])
    {'two_speed.gap': 0.00461}
    """
    digits = {"m": 5, "turn": 2, "kg": 5}
    result = dict(settings)
    for path in ranges:
        unit = field_table.field_of(path).unit
        if unit in digits:
            result[path] = round(result[path], digits[unit])
    return result
