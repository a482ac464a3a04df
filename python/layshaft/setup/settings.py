"""Settings of a car by the paths of their fields."""

from collections.abc import Mapping
from typing import Any

from layshaft.setup import field_table

#: Path of a field to its stored number.
Point = Mapping[str, float]


def merged(*points: Point) -> dict[str, float]:
    """Lay points over each other; the later wins."""
    return {path: value for point in points for path, value in point.items()}


def as_written(settings: Mapping[str, float]) -> dict[str, Any]:
    """Turn stored numbers into values as `Car.replace` takes them."""
    return {
        path: field_table.as_stored(field_table.field_of(path), value)
        for path, value in settings.items()
    }
