"""A measured curve as the points that a car can hold, in whatever form it comes."""

import warnings
from collections.abc import Sequence
from typing import Any

from layshaft import _core
from layshaft.quantities import known_units, units
from layshaft.quantities.column_units import unit_of_column

_COLUMNS = 2


def rows(value: Any) -> Any:
    """Return the points of an array, a DataFrame, a Series or a pair of arrays as a list.

    Anything else is returned as it is. A column of a DataFrame may end in its unit,
    `speed_rpm`; else numbers are in SI units.

    Examples
    --------
    >>> import numpy as np
    >>> rows(np.array([[1000.0, 0.2], [2000.0, 0.3]]))
    [(1000.0, 0.2), (2000.0, 0.3)]
    >>> rows((np.array([1000.0, 2000.0, 3000.0]), np.array([0.2, 0.3, 0.2])))[0]
    (1000.0, 0.2)
    """
    if hasattr(value, "iloc"):
        return _of_pandas(value)
    if getattr(value, "ndim", None) == _COLUMNS and value.shape[1] == _COLUMNS:
        return [tuple(point) for point in value.tolist()]
    if _is_pair_of_arrays(value):
        speeds, torques = value
        if len(speeds) == len(torques):
            return list(zip(_each(speeds), _each(torques), strict=True))
    return value


def _of_pandas(value: Any) -> Any:
    if value.ndim == 1:
        return list(zip(value.index.tolist(), value.tolist(), strict=True))
    if value.shape[1] != _COLUMNS:
        return value
    heads = (str(head) for head in value.columns)
    return list(zip(*(_with_unit(h, value.iloc[:, n]) for n, h in enumerate(heads)), strict=True))


def _with_unit(head: str, cells: Any) -> list[object]:
    """Return the cells of a column, with the unit that its head ends in."""
    numbers = cells.tolist()
    parts = head.split("_")
    for start in range(1, len(parts)):
        unit = unit_of_column("_".join(parts[start:]))
        if known_units.is_unit(unit):
            return [f"{cell} {unit}" for cell in numbers]
    return numbers


def _is_pair_of_arrays(value: Any) -> bool:
    is_pair = isinstance(value, Sequence) and len(value) == _COLUMNS
    return is_pair and all(getattr(each, "ndim", 0) == 1 for each in value)


def _each(values: Any) -> list[object]:
    """Return the numbers of an array; of one with a unit, each with it."""
    return list(values) if hasattr(values, "units") else values.tolist()


def fewer(value: Any) -> Any:
    """Return a list of points; of more than a car can hold those that describe the curve best.

    Points are added where the curve through those kept is farthest off, until there are as many as
    a car can hold. A warning says how far off the curve through them is at the points left out.
    """
    most = _core.max_curve_points
    if not isinstance(value, list | tuple) or len(value) <= most:
        return value
    field = _core.torque_curve_field()
    try:
        pairs = [
            (units.read("speed", speed, field.x_unit), units.read("torque", torque, field.y_unit))
            for speed, torque in value
        ]
    except (TypeError, ValueError):
        return value  # what is wrong with it is said where a list is read
    speeds, torques = zip(*pairs, strict=True)
    try:
        kept, off = _core.keep_points(speeds, torques)
    except ValueError:
        return value
    text = f"torque curve of {len(value)} points: {len(kept)} are kept"
    far = units.from_si(off, field.y_unit, "mN*m")
    warnings.warn(f"{text}, the others are off by at most {far:.2g} mN*m", stacklevel=5)
    return [pairs[at] for at in kept]
