"""The settings that are in doubt: by how much, and the cars to either side of each."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from layshaft import _core
from layshaft.fitting.measuring_sheet import Way, measuring_sheet, spread_of
from layshaft.fitting.unknowns import followers
from layshaft.setup import field_table
from layshaft.setup.car import Car

GAP = "two_speed.gap"
_CLUTCHES = ("axial", "thrown_shoes")
_LEAST_STEP = 0.1  #: of a standard deviation: nearer to a bound that side tells nothing


@dataclass(frozen=True, slots=True)
class Side:
    """A car to one side of the present one."""

    changes: Mapping[str, float]
    steps: float  #: standard deviations that it is away


@dataclass(frozen=True, slots=True)
class InDoubt:
    """One setting, or a pair of them that one measures alike."""

    path: str
    way: Way
    is_measured: bool
    error: float  #: standard deviation now [SI unit]; 1 of a choice that nobody saw
    error_left: float  #: once it is measured [SI unit]
    sides: tuple[Side, ...]


def settings_in_doubt(
    car: Car, paths: Iterable[str] | None, measured: Iterable[str]
) -> list[InDoubt]:
    """Return the settings in doubt; those that nothing stirs are left out.

    Parameters
    ----------
    car
        The car.
    paths
        Fields or pairs; by default all, but the gap, which is what one sets, the torque curve, of
        which `engine.power_scale` is the doubt, and the clutch that is not in the car.
    measured
        Fields or pairs that were measured: their doubt is what the measuring leaves.

    Raises
    ------
    ValueError
        For an unknown path.
    """
    known = field_table.singles(measured)
    if paths is None:
        chosen = _all(car)
    else:
        chosen = list(dict.fromkeys(paths))
        for path in chosen:
            field_table.field_of(path)
            if field_table.singles([path]) <= field_table.singles([GAP]):
                raise ValueError(f"{path}: is what one sets, and no doubt of the car")
    found = (_in_doubt(car, path, field_table.singles([path]) <= known) for path in chosen)
    return [each for each in found if each.sides]


def _all(car: Car) -> list[str]:
    idle = next(design for design in _CLUTCHES if design != car["clutch.design"])
    pairs = field_table.pairs()
    inside = {single: pair for pair, both in pairs.items() for single in both}
    paths = dict.fromkeys(inside.get(path, path) for path in field_table.positions())
    return [path for path in paths if path != GAP and not path.startswith(f"clutch.{idle}.")]


def _in_doubt(car: Car, path: str, is_measured: bool) -> InDoubt:
    field = field_table.field_of(path)
    way = measuring_sheet()[field.path]
    if field.kind == "choice":
        sides = () if is_measured else _choices(path, field)
        return InDoubt(path, way, is_measured, float(bool(sides)), 0.0, sides)
    value = car._core.get(field.path)
    guess, left = (spread_of(field.path, value, given) for given in (way.guess, way.error))
    error = left if is_measured else guess
    sides = _both_sides(car, path, field, value, error) if error > 0.0 else ()
    return InDoubt(path, way, is_measured, error, left, sides)


def _choices(path: str, field: _core.Field) -> tuple[Side, ...]:
    """Return a car of each choice, its own among them: unseen, any is as likely."""
    return tuple(Side({path: float(index)}, 1.0) for index in range(len(field.choices)))


def _both_sides(
    car: Car, path: str, field: _core.Field, value: float, error: float
) -> tuple[Side, ...]:
    """Return a standard deviation less and more, as far as the field's bounds go."""
    sides = []
    for sign in (-1.0, 1.0):
        moved = min(max(value + sign * error, field.minimum), field.maximum)
        steps = abs(moved - value) / error
        if steps > _LEAST_STEP:
            follow = {name: ratio * moved for name, ratio in followers(car, field.path)}
            sides.append(Side({path: moved} | follow, steps))
    return tuple(sides)
