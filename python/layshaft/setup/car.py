"""The car as one immutable value."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from layshaft import _core
from layshaft._core import Car as CoreCar
from layshaft.quantities import units
from layshaft.quantities.html_table import html_table
from layshaft.quantities.refused import cut, shown
from layshaft.setup import field_table
from layshaft.setup.core_changes import changed_core
from layshaft.setup.field_table import CURVE, Points, Value
from layshaft.setup.handed_over import checked, one_of
from layshaft.setup.section import Section, frozen, member
from layshaft.setup.toml_text import to_toml

if TYPE_CHECKING:
    from layshaft.setup.car_fields import CarFields
else:
    CarFields = object  # its fields are found by name

#: Engines of the demo car; invented.
DEMO_ENGINES = ("piped", "broad")

_BROAD_TORQUE = [
    [f"{speed} krpm", f"{torque} N*m"]
    for speed, torque in (
        *((0, 0.05), (6, 0.136), (10, 0.25), (14, 0.341), (18, 0.409), (22, 0.454), (26, 0.477)),
        *((28, 0.48), (30, 0.477), (34, 0.454), (38, 0.409), (40, 0.32), (42, 0.19), (44, 0.06)),
        (46, -0.05),
    )
]


class Car(CarFields):
    """The demo car with some fields changed: an immutable value.

    Parameters
    ----------
    changes
        Path of a field to its new value: a number in the field's SI unit, text with a unit
        (`"4.3 mm"`), or the name of a choice. `two_speed.gap` and `two_speed.slug_mass` set both
        shoes; a shoe named beside them keeps its own value. `layshaft.fields()` lists all fields
        with unit, range and meaning; `engine.torque` is a list of (speed, torque) points, an array
        or DataFrame of two columns, a Series over the speed or a pair of arrays. Of more than 16
        points those are kept that describe the curve best, with a warning of how far off it is.

    Raises
    ------
    ValueError
        If a path is unknown, a value is outside its range, or parts do not fit together.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.Car({"two_speed.gap": "4.3 mm", "first.pinion": 16})
    >>> car.first.pinion, car["two_speed.gap"], car.clutch.design
    (16, 0.0043, 'axial')
    >>> car.replace({"first.pinion": layshaft.demo_car().first.pinion})
    layshaft.Car({'two_speed.gap': 0.0043})
    """

    __slots__ = ("_core",)
    _core: CoreCar
    __iter__ = None  # else Python would try car[0], car[1] ...

    def __init__(self, changes: Mapping[str, object] | None = None, /) -> None:
        object.__setattr__(
            self, "_core", changed_core(CoreCar.demo(), {} if changes is None else changes)
        )

    @classmethod
    def _of(cls, core: CoreCar) -> "Car":
        car = cls.__new__(cls)
        object.__setattr__(car, "_core", core)
        return car

    def replace(self, changes: Mapping[str, object], /) -> "Car":
        """Return a copy with some fields changed; `changes` as for `Car`.

        Examples
        --------
        >>> import layshaft
        >>> layshaft.demo_car().replace({"body.mass": "2.6 kg"}).body.mass
        2.6
        """
        return Car._of(changed_core(self._core, changes))

    def to_dict(self) -> dict[str, Value | Points]:
        """Return every field by its path, in SI units.

        Examples
        --------
        >>> import layshaft
        >>> layshaft.Car({"first.pinion": 16}).to_dict()["first.pinion"]
        16
        """
        numbers = zip(field_table.fields(), self._core.values(), strict=True)
        values = {field.path: field_table.as_stored(field, number) for field, number in numbers}
        return {CURVE: self[CURVE]} | values

    def warnings(self) -> tuple[tuple[str, str, str], ...]:
        """Return what this car should be warned of before it runs.

        Returns
        -------
        tuple of (section, code, sentence)
            Parts that each are valid and together are not wise: gear pairs of unequal tooth sums,
            front tyres that lead, an idle at which the clutch drags. `torque_made_up_below`,
            `torque_made_up_above` and `full_throttle_hangs` say where a run would rest on torque
            that was not measured. A launch at full throttle tells what it did in 20 s: that it
            never shifts or locks, passes the engine's limit, makes a belt jump. The code
            `outside_published` marks an engine beyond what is published for small engines.

        Examples
        --------
        >>> import layshaft
        >>> layshaft.Car({"two_speed.gap": "3 mm"}).warnings()[0][:2]
        ('two_speed', 'never_shifts')
        """
        return tuple((part, code, sentence) for part, code, sentence in self._core.warnings())

    def to_toml(self) -> str:
        """Return the text of a full set-up file, in the units of the workshop.

        `layshaft.read_car` reads it back as the same car, bit for bit.

        Examples
        --------
        >>> import layshaft
        >>> text = layshaft.Car({"first.pinion": 16}).to_toml()
        >>> next(line for line in text.splitlines() if line.startswith("pinion"))
        'pinion = 16  # Teeth of the pinion on the clutch bell'
        """
        return to_toml(self.to_dict())

    if not TYPE_CHECKING:  # a checker knows the fields by name

        def __getitem__(self, path: str) -> "Value | Points | Section":
            if not isinstance(path, str):
                raise KeyError(f"{shown(path)} must be the path of a field")
            if path == CURVE:
                return tuple(zip(self._core.torque_speeds, self._core.torque_values, strict=True))
            field = field_table.find_field(path)
            if field is not None:
                return field_table.as_stored(field, self._core.get(path))
            if path in field_table.sections() and path:
                return Section(self, path)
            raise KeyError(f"{cut(str(path))}: {field_table.unknown(str(path))}")

        def __getattr__(self, name: str) -> "Value | Points | Section":
            if name.startswith("_"):
                raise AttributeError(name)
            return member(self, "", name)

    def __setattr__(self, name: str, value: object) -> None:
        raise frozen(name)

    def __delattr__(self, name: str) -> None:
        raise frozen(name)

    def __dir__(self) -> list[str]:
        return [*object.__dir__(self), *field_table.sections()[""]]

    def __eq__(self, other: object) -> bool:
        return self._core == other._core if isinstance(other, Car) else NotImplemented

    def __hash__(self) -> int:
        return hash((tuple(self._core.values()), self[CURVE]))

    def __reduce__(self) -> tuple:
        return Car._of, (self._core,)

    def __repr__(self) -> str:
        changes = _differences(self)
        return f"layshaft.Car({changes!r})" if changes else "layshaft.Car()"

    def _repr_html_(self) -> str:
        return html_table("The demo car with", ("field", "value", "meaning"), _shown(self))


def demo_car(engine: str = "piped") -> Car:
    """Return the built-in car. Its numbers are invented: they are no advice for a real car.

    Parameters
    ----------
    engine
        `piped`: little torque low down, a steep rise to a peak at 31 to 34 krpm. `broad`: as much
        torque, at 28 krpm, and most of it from 18 to 38 krpm.

    Returns
    -------
    Car
        With the piped engine every field as `layshaft.fields()` gives its fallback.

    Raises
    ------
    ValueError
        For another engine.

    Examples
    --------
    >>> import layshaft
    >>> layshaft.demo_car()
    layshaft.Car()
    """
    is_broad = one_of("engine", engine, DEMO_ENGINES) == "broad"
    return Car({CURVE: _BROAD_TORQUE} if is_broad else {})


def checked_car(given: object) -> Car:
    """Return a car that was handed over; refuse what is none.

    Raises
    ------
    TypeError
        For anything else, such as the name of a file.

    Examples
    --------
    >>> import layshaft
    >>> checked_car(layshaft.demo_car())
    layshaft.Car()
    >>> checked_car("car.toml")
    Traceback (most recent call last):
    TypeError: car = 'car.toml' must be a Car, such as layshaft.read_car returns
    """
    return checked("car", given, Car, "layshaft.read_car")


def _differences(car: Car) -> dict[str, Value | Points]:
    demo = demo_car().to_dict()
    changes = {path: value for path, value in car.to_dict().items() if value != demo[path]}
    for pair, shoes in field_table.pairs().items():
        if all(shoe in changes for shoe in shoes) and changes[shoes[0]] == changes[shoes[1]]:
            changes[pair] = changes.pop(shoes[0])
            del changes[shoes[1]]
    return changes


def _shown(car: Car) -> list[tuple[str, str, str]]:
    """List the fields that differ from the demo car, in the units of the workshop."""
    rows = []
    value: Any
    for path, value in _differences(car).items():
        field = field_table.find_field(path)
        if field is None:
            rows.append((path, f"{len(value)} points", _core.torque_curve_field().meaning))
        else:
            text = units.si_text(value, field.unit) if field.kind == "number" else str(value)
            rows.append((path, text, field.meaning))
    return rows or [("every field", "as in the demo car", "")]
