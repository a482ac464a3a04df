"""The values of an axis, as stored numbers."""

import operator
from typing import Any

import numpy as np

from layshaft.quantities.refused import cut, shown
from layshaft.setup import field_table

#: What fits into memory; more would also take weeks.
MOST_RUNS = 20_000_000


def axis_values(path: str, values: object) -> list[float]:
    """Turn the values of an axis as people write them into stored numbers.

    Raises
    ------
    ValueError
        For an unknown path, no value, a value twice, or one that the field does not take.

    Examples
    --------
    >>> axis_values("two_speed.gap", ["4.3 mm", 0.0045])
    [0.0043, 0.0045]
    """
    field = field_table.find_field(path)
    if field is None:
        raise ValueError(f"cannot sweep {cut(path)}: {field_table.unknown(path)}")
    given: Any = [values] if isinstance(values, str) or not np.iterable(values) else values
    if operator.length_hint(given) > MOST_RUNS:
        raise ValueError(f"{path}: an axis must have at most {MOST_RUNS} values")
    numbers = []
    for value in given:
        try:
            numbers.append(field_table.to_number(field, value))
        except ValueError as error:
            raise ValueError(f"{path} = {shown(value)} {error}") from None
    if not numbers:
        raise ValueError(f"{path}: an axis needs at least one value")
    if len(set(numbers)) < len(numbers):
        raise ValueError(f"{path}: an axis must not hold a value twice")
    return numbers
