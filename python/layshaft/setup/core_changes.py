"""Changes of a car as people write them, made to its core."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from layshaft._core import Car as CoreCar
from layshaft.quantities import units
from layshaft.quantities.refused import cut, shown
from layshaft.setup import curve_points, field_table
from layshaft.setup.field_table import CURVE
from layshaft.setup.handed_over import checked_map

if TYPE_CHECKING:
    from layshaft.setup.car_fields import CarFields
else:
    CarFields = object  # its fields are found by name


def changed_core(core: CoreCar, changes: Mapping[str, object]) -> CoreCar:
    """Return a core with some fields changed and checked; see `Car`."""
    numbers: dict[str, float] = {}
    for path, value in checked_map("changes", changes).items():
        if path == CURVE:
            core = core.with_torque_curve(*_curve(value))
            continue
        field = field_table.find_field(path)
        if field is None:
            raise ValueError(f"unknown field {cut(str(path))}: {field_table.unknown(str(path))}")
        try:
            numbers[path] = field_table.to_number(field, value)
        except ValueError as error:
            raise ValueError(f"{path} = {shown(value)} {error}") from None
    # Pairs first, so that a shoe named beside them keeps its own value.
    ordered = sorted(numbers.items(), key=lambda change: change[0] not in field_table.pairs())
    core = core.replace(ordered)
    try:
        core.validate()
    except ValueError as error:
        raise ValueError(_in_usual_unit(str(error))) from None
    return core


def _in_usual_unit(message: str) -> str:
    """Write the number of a field that is refused with its unit; the core tells it in SI."""
    path, _, rest = message.partition(" = ")
    number, _, bound = rest.partition(" must be ")
    field = field_table.find_field(path)
    if field is None or field.kind != "number" or field.unit == "1" or not bound:
        return message
    return f"{path} = {units.si_text(float(number), field.unit)} must be {bound}"


def _curve(value: object) -> tuple[list[float], list[float]]:
    points, faults = field_table.to_points(curve_points.fewer(curve_points.rows(value)))
    for position, must in faults:
        where = CURVE if position is None else f"{CURVE}[{position}]"
        raise ValueError(f"{where} {must}")
    return [speed for speed, _ in points], [torque for _, torque in points]
