"""What meshes: every pair of gear pairs from the parts at hand that fits one centre distance."""

import itertools
import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from layshaft import _core
from layshaft.quantities import units
from layshaft.quantities.units import Given
from layshaft.setup.car import Car, checked_car
from layshaft.setup.parts_at_hand import Parts, checked_parts

if TYPE_CHECKING:
    import xarray

_GEARS = ("first", "second")
_TEETH = tuple(f"{gear}.{part}" for gear in _GEARS for part in ("spur", "pinion"))


#: Far beyond any box of gears; looking through more takes minutes.
_MOST_COMBINATIONS = 1_000_000


class GearSet(NamedTuple):
    """Two pairs of gears that run on one centre distance."""

    first: _core.GearPair
    second: _core.GearPair
    centres: _core.CentreRange

    @property
    def middle(self) -> float:
        """Centre distance in the middle of its range [m]."""
        return 0.5 * (self.centres.lowest + self.centres.highest)


def gear_sets(car: Car, parts: Parts) -> Iterator[GearSet]:
    """Go through all sets of gears that mesh, the shorter first gear first.

    Teeth not named in the parts are those of the car, as are module and tooth shape. First gear is
    the shorter one; equal or crossed ratios are left out.

    Raises
    ------
    ValueError
        For more gears than can be looked through.
    """
    _check_count(car, parts)
    pairs = {gear: list(_pairs(car, parts, gear)) for gear in _GEARS}
    for first, second in itertools.product(pairs["first"], pairs["second"]):
        if not first.ratio > second.ratio:
            continue
        centres = _core.shared_centres(first, second, parts.least_backlash, parts.most_backlash)
        if not centres.is_empty:
            yield GearSet(first, second, centres)


def present_teeth(car: Car) -> tuple[int, ...]:
    """Return the teeth in the car: first spur and pinion, second spur and pinion."""
    return tuple(car[path] for path in _TEETH)


def meshing_sets(car: Car, parts: Parts) -> list[dict[str, float]]:
    """Return the gears of each set that meshes as changes of the car; empty if none are at hand.

    Raises
    ------
    ValueError
        If there are gears at hand and none of them mesh.
    """
    if not any((parts.first_pinions, parts.first_spurs, parts.second_pinions, parts.second_spurs)):
        return []
    sets = [
        dict(
            zip(
                _TEETH,
                (each.first.spur, each.first.pinion, each.second.spur, each.second.pinion),
                strict=True,
            )
        )
        for each in gear_sets(car, parts)
    ]
    if not sets:
        raise ValueError("no two pairs of these gears fit one centre distance with that backlash")
    return sets


def mesh(
    car: Car,
    parts: Parts,
    *,
    engine_speeds: Iterable[Given] = ("20 krpm", "30 krpm", "40 krpm"),
) -> "xarray.Dataset":
    """Chart every set of gears that meshes.

    Parameters
    ----------
    car
        The car: module and shape of the teeth, belts and tyres.
    parts
        Parts at hand; teeth not named are those of the car.
    engine_speeds
        Speeds at which the car speed is given [rad/s].

    Returns
    -------
    xarray.Dataset
        Over `set` and `engine_speed`, in SI units, the greatest step last. Car speeds are those
        without slip on tyres that have not grown. `rollout` is the way of the car per engine turn.

    Raises
    ------
    ValueError
        If nothing meshes.

    Examples
    --------
    >>> import layshaft
    >>> chart = mesh(layshaft.demo_car(), Parts(first_pinions=(16, 17), first_spurs=(50, 51)))
    >>> sorted(zip(chart.first_spur.values.tolist(), chart.first_pinion.values.tolist()))
    [(50, 17), (51, 16)]
    """
    import xarray

    speeds = units.read_list("engine_speeds", engine_speeds, "rad/s")
    sets = sorted(gear_sets(checked_car(car), checked_parts(parts)), key=_step)
    if not sets:
        raise ValueError("no two pairs of these gears fit one centre distance with that backlash")
    columns: dict[str, list[float]] = {name: [] for name in _COLUMNS}
    for each in sets:
        for name, value in _row(car, each).items():
            columns[name].append(value)
    variables: dict[str, tuple] = {
        name: ("set", columns[name], {"units": unit, "long_name": meaning})
        for name, (unit, meaning) in _COLUMNS.items()
    }
    for gear in _GEARS:
        rollout = np.array(columns[f"{gear}_rollout"])
        labels = {"units": "m/s", "long_name": f"Car speed in {gear} gear, without slip"}
        values = np.outer(rollout, speeds) / (2.0 * math.pi)
        variables[f"{gear}_speed"] = (("set", "engine_speed"), values, labels)
    labels = {"units": "rad/s", "long_name": "Engine speed"}
    return xarray.Dataset(variables, {"engine_speed": ("engine_speed", speeds, labels)})


_COLUMNS = {
    "first_spur": ("1", "Teeth of the first spur"),
    "first_pinion": ("1", "Teeth of the first pinion"),
    "second_spur": ("1", "Teeth of the second spur"),
    "second_pinion": ("1", "Teeth of the second pinion"),
    "first_ratio": ("1", "Engine turns per shaft turn in first gear"),
    "second_ratio": ("1", "Engine turns per shaft turn in second gear"),
    "step": ("1", "First ratio over second ratio"),
    "speed_drop": ("1", "Share of its speed that the engine loses at the shift"),
    "first_rollout": ("m", "Way of the car per engine turn in first gear"),
    "second_rollout": ("m", "Way of the car per engine turn in second gear"),
    "lowest_centre": ("m", "Least centre distance at which both pairs keep their backlash"),
    "highest_centre": ("m", "Greatest centre distance of that kind"),
    "first_backlash": ("m", "Backlash of the first pair in the middle of them"),
    "second_backlash": ("m", "Backlash of the second pair there"),
    "first_contact": ("1", "Mean number of teeth in contact there, first pair"),
    "second_contact": ("1", "Mean number of teeth in contact there, second pair"),
}


def _row(car: Car, each: GearSet) -> dict[str, float]:
    row: dict[str, float] = {
        "step": _step(each),
        "speed_drop": 1.0 - 1.0 / _step(each),
        "lowest_centre": each.centres.lowest,
        "highest_centre": each.centres.highest,
    }
    for gear, pair in zip(_GEARS, (each.first, each.second), strict=True):
        row[f"{gear}_spur"] = int(pair.spur)
        row[f"{gear}_pinion"] = int(pair.pinion)
        row[f"{gear}_ratio"] = pair.ratio
        row[f"{gear}_rollout"] = rollout(car, pair.ratio)
        row[f"{gear}_backlash"] = _core.backlash(pair, each.middle)
        row[f"{gear}_contact"] = _core.contact_ratio(pair, each.middle)
    return row


def rollout(car: Car, ratio: float) -> float:
    """Return the way of the car per engine turn [m] at a gear ratio, on tyres that do not grow."""
    rear = _core.rear_axle(car._core)
    return 2.0 * math.pi * rear.radius / (ratio * rear.ratio)


def _check_count(car: Car, parts: Parts) -> None:
    counts = {
        f"{gear}.{wheels}": len(getattr(parts, f"{gear}_{wheels}")) or 1
        for gear in _GEARS
        for wheels in ("pinions", "spurs")
    }
    count = math.prod(counts.values())
    if count > _MOST_COMBINATIONS:
        named = ", ".join(f"{number} {name}" for name, number in counts.items() if number > 1)
        raise ValueError(
            f"these gears ({named}) make {count} combinations, which must be at most"
            f" {_MOST_COMBINATIONS}: name fewer of them"
        )


def _pairs(car: Car, parts: Parts, gear: str) -> Iterator[_core.GearPair]:
    spurs = getattr(parts, f"{gear}_spurs") or (car[f"{gear}.spur"],)
    pinions = getattr(parts, f"{gear}_pinions") or (car[f"{gear}.pinion"],)
    shape = {
        name: car[f"{gear}.{name}"] for name in ("module", "pressure_angle", "addendum", "friction")
    }
    for spur, pinion in itertools.product(spurs, pinions):
        yield _core.GearPair(spur=spur, pinion=pinion, **shape)


def _step(each: GearSet) -> float:
    return each.first.ratio / each.second.ratio
