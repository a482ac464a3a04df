"""Chart of every set of gears that meshes: ratios, car speeds, and the shift of a launch."""

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from layshaft import _core
from layshaft.mounting.gear_sets import GearSet, gear_sets, rollout
from layshaft.quantities import units
from layshaft.quantities.units import Given
from layshaft.runs.point_runs import run_points
from layshaft.runs.run_options import read_options
from layshaft.setup.car import Car, checked_car
from layshaft.setup.parts_at_hand import Parts, checked_parts

if TYPE_CHECKING:
    import xarray

_GEARS = ("first", "second")


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
        What the engine does at the shift is that of a launch; not a number where it has none.

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
    sets = sorted(gear_sets(checked_car(car), checked_parts(parts)), key=lambda each: each.step)
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
    variables |= _shifts(car, sets)
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
    "speed_drop": ("1", "Share of its speed that the engine loses at a shift in no time"),
    "first_rollout": ("m", "Way of the car per engine turn in first gear"),
    "second_rollout": ("m", "Way of the car per engine turn in second gear"),
    "lowest_centre": ("m", "Least centre distance at which both pairs keep their backlash"),
    "highest_centre": ("m", "Greatest centre distance of that kind"),
    "first_backlash": ("m", "Backlash of the first pair in the middle of them"),
    "second_backlash": ("m", "Backlash of the second pair there"),
    "first_contact": ("1", "Mean number of teeth in contact there, first pair"),
    "second_contact": ("1", "Mean number of teeth in contact there, second pair"),
}


#: Of a launch; long enough for any shift.
_SHIFT = ("shift_speed", "engine_speed_before", "engine_speed_after", "engine_speed_drop")
_LONG_WAY = "200 m"


def _shifts(car: Car, sets: list[GearSet]) -> dict[str, tuple]:
    """Launch the car with each set: what the engine does at its shift."""
    options = read_options(distance=_LONG_WAY)
    runs = run_points(car, [each.teeth for each in sets], options)
    meanings = {name: (unit, meaning) for name, unit, meaning in options.scalars}
    return {
        name: ("set", runs[name], dict(zip(("units", "long_name"), meanings[name], strict=True)))
        for name in _SHIFT
    }


def _row(car: Car, each: GearSet) -> dict[str, float]:
    row: dict[str, float] = {
        "step": each.step,
        "speed_drop": 1.0 - 1.0 / each.step,
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
