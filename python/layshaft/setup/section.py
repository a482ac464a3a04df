"""A part of a car, such as `car.two_speed`, with its fields as attributes."""

from typing import TYPE_CHECKING, Any

from layshaft.quantities.refused import cut
from layshaft.setup import field_table
from layshaft.setup.field_table import Points, Value


class Section:
    """A part of a car, `car.two_speed`: read-only attributes, one a field or a part of it.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.Car({"two_speed.gap": "4.3 mm", "two_speed.slug_mass": "0.9 g"})
    >>> car.two_speed.shoe_1
    two_speed.shoe_1.gap = 0.0043 m
    two_speed.shoe_1.slug_mass = 0.0009 kg
    >>> car.two_speed.shoe_1.gap
    0.0043
    """

    __slots__ = ("_car", "_path")
    _car: Any  # the `Car`, which holds this class
    _path: str

    def __init__(self, car: Any, path: str, /) -> None:
        object.__setattr__(self, "_car", car)
        object.__setattr__(self, "_path", path)

    if not TYPE_CHECKING:  # a checker knows the fields by name

        def __getattr__(self, name: str) -> "Value | Points | Section":
            if name.startswith("_"):
                raise AttributeError(name)
            return member(self._car, self._path, name)

    def __setattr__(self, name: str, value: object) -> None:
        raise frozen(f"{self._path}.{name}")

    def __delattr__(self, name: str) -> None:
        raise frozen(f"{self._path}.{name}")

    def __dir__(self) -> list[str]:
        return [*object.__dir__(self), *field_table.sections()[self._path]]

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Section):
            return NotImplemented
        return self._values() == other._values()

    def __hash__(self) -> int:
        return hash(tuple(self._values().items()))

    def __reduce__(self) -> tuple:
        return Section, (self._car, self._path)

    def _values(self) -> dict[str, Value | Points]:
        values = self._car.to_dict()
        return {p: value for p, value in values.items() if p.startswith(f"{self._path}.")}

    def __repr__(self) -> str:
        return "\n".join(_line(path, value) for path, value in self._values().items())


def member(car: Any, section: str, name: str) -> Any:
    """Return what a name stands for in a section of a car, or in the car with the section `""`."""
    members = field_table.sections()[section]
    if name in members:
        return car[members[name]]
    path = f"{section}.{name}" if section else name
    raise AttributeError(f"{cut(path)}: {field_table.unknown(path)}", name=name)


def _line(path: str, value: Value | Points) -> str:
    field = field_table.find_field(path)
    unit = "" if field is None or field.unit == "1" else f" {field.unit}"
    return f"{path} = {value}{unit}"


def frozen(name: str) -> AttributeError:
    """Say that a field cannot be set, and what to write instead."""
    return AttributeError(f'a car is immutable: use car.replace({{"{name}": ...}})')
