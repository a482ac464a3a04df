"""In what one set-up differs from another, as changes of a car."""

from layshaft.quantities.refused import shown
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.setup.field_table import CURVE


def changed_fields(first: Car, second: Car) -> dict[str, float]:
    """Return the stored numbers of the second car's fields that the first has otherwise.

    Examples
    --------
    >>> changed_fields(Car(), Car({"first.pinion": 16}))
    {'first.pinion': 16.0}
    """
    both = zip(field_table.fields(), first._core.values(), second._core.values(), strict=True)
    return {field.path: number for field, own, number in both if number != own}


def setup_changes(car: Car, other: Car, name: str) -> dict[str, float]:
    """Return the same for a set-up that runs are to be told in; it must have the same engine.

    Raises
    ------
    ValueError
        If the torque curves differ, which no single number tells.
    """
    if other[CURVE] != car[CURVE]:
        raise ValueError(f"setup = {shown(name)} has another {CURVE} curve than the last run's")
    return changed_fields(car, other)
