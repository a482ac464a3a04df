"""Which setting of a sweep is best, how wide its plateau is, and the way there from here."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from layshaft.mounting.setting_moves import turns_in
from layshaft.quantities import units
from layshaft.quantities.units import Given
from layshaft.runs.failed_runs import Reasons
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked_table

if TYPE_CHECKING:
    import xarray


@dataclass(frozen=True, slots=True)
class SettingAdvice:
    """Judgement of a sweep over one field by the time to its last distance; SI units."""

    path: str
    distance: float  #: judged over [m]
    within: float  #: time loss that counts as none [s]
    best: float  #: setting with the least time
    best_time: float  #: [s]
    low: float  #: least setting of the plateau around the best
    high: float  #: greatest setting of it
    low_is_end: bool  #: the sweep ends there, the plateau may not
    high_is_end: bool
    present: float | None  #: the car's own setting, where it is among those swept
    present_time: float | None  #: [s]
    is_lap: bool  #: of a track, which goes on where it ends
    shifts: bool  #: whether any setting of the sweep shifts
    shift_slope: float  #: change of the shift speed with the setting at the best [m/s per unit]

    @property
    def gain(self) -> float | None:
        """Time gained by going from the present setting to the best [s]."""
        return None if self.present_time is None else self.present_time - self.best_time

    @property
    def is_worth_it(self) -> bool:
        """Whether it gains more than what counts as none, as far as is known."""
        return self.gain is None or not self.gain <= self.within


def swept_axes(table: "xarray.Dataset", count: int) -> tuple[str, ...]:
    """Return the axes of a sweep over so many fields that are numbers.

    Raises
    ------
    ValueError
        If it went over another number of fields that are numbers.
    """
    checked_table("table", table, ("status", "time_to_distance"), "layshaft.sweep")
    axes = tuple(str(name) for name in table.status.dims)
    if len(axes) != count or any(table[name].dtype.kind not in "fi" for name in axes):
        raise ValueError(f"needs a sweep over {count} numeric field(s), not {axes}")
    return axes


def best_setting(
    table: "xarray.Dataset", car: "Car | None" = None, *, within: Given = 0.01
) -> SettingAdvice:
    """Judge a sweep over one field by the time to its last distance.

    Nothing is put between the points: best setting and ends of the plateau are settings of the
    sweep, so that the true ones lie within a step of them; the slope is that between the two points
    beside the best. `layshaft.recommend` searches between points.

    Parameters
    ----------
    table
        A sweep over one numeric field.
    car
        The car as it is now.
    within
        Time loss that counts as none [s], >= 0: it bounds the plateau.

    Returns
    -------
    SettingAdvice
        Best setting and plateau in the SI unit of the field, times [s], slope of the shift speed
        [m/s per unit].

    Raises
    ------
    ValueError
        If no run reached the last distance.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.demo_car()
    >>> table = layshaft.sweep(car, {"two_speed.gap": ["4.4 mm", "4.6 mm", "4.8 mm"]})
    >>> advice = best_setting(table, car)
    >>> bool(advice.low <= advice.best <= advice.high)
    True
    """
    (axis,) = swept_axes(table, 1)
    present = None if car is None else checked_car(car)
    loss = units.read_loss("within", within, "s")
    path = str(field_table.path_of(axis))
    order = np.argsort(table[axis].values, kind="stable")
    settings = table[axis].values[order].astype(float)
    times = table.time_to_distance.isel(distance=-1).values[order]
    shift_speeds = table.shift_speed.values[order]
    distance = float(table.distance.values[-1])
    if not np.isfinite(times).any():
        told = Reasons(map(str, table.message.values.ravel())).describe()
        raise ValueError(f"no run reached {distance:g} m{': ' if told else ''}{told}")
    best = int(np.nanargmin(times))
    alike = times <= times[best] + loss
    low = high = best
    while low > 0 and alike[low - 1]:
        low -= 1
    while high < len(times) - 1 and alike[high + 1]:
        high += 1
    own = None if present is None else present_setting(present, path)
    here = np.flatnonzero(settings == own) if own is not None else np.array([], dtype=int)
    return SettingAdvice(
        path=path,
        distance=distance,
        within=loss,
        best=float(settings[best]),
        best_time=float(times[best]),
        low=float(settings[low]),
        high=float(settings[high]),
        low_is_end=low == 0,
        high_is_end=high == len(times) - 1,
        present=own if len(here) else None,
        present_time=float(times[here[0]]) if len(here) else None,
        is_lap="lap_time" in table,
        shifts=bool(np.isfinite(shift_speeds).any()),
        shift_slope=_slope(settings, shift_speeds, best),
    )


def present_setting(car: "Car", path: str) -> float | None:
    """Return the stored number of a field; `None` where two shoes differ."""
    try:
        return car._core.get(path)
    except ValueError:
        return None


def screw_turns(car: "Car", gap: float) -> float:
    """Return the turns of the set screws from the present gap to another; positive is in.

    Parameters
    ----------
    car
        The car as it is now, both shoes alike.
    gap
        Caliper reading to reach [m].

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.Car({"two_speed.gap": "4.5 mm", "two_speed.screw_pitch": "0.5 mm"})
    >>> round(screw_turns(car, 0.0044), 9)  # this car's reading falls as the screw goes in
    0.2
    """
    return turns_in(car, car["two_speed.gap"], gap)


def _slope(settings: np.ndarray, speeds: np.ndarray, at: int) -> float:
    known = np.isfinite(speeds)
    if not known[at] or known.sum() < 2:
        return float("nan")
    positions = np.flatnonzero(known)
    place = int(np.searchsorted(positions, at))
    left = positions[max(place - 1, 0)]
    right = positions[min(place + 1, len(positions) - 1)]
    return float((speeds[right] - speeds[left]) / (settings[right] - settings[left]))
