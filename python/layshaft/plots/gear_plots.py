"""Pictures of gears: car speed against engine speed, with the shift drawn in."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.plots.style import DASHES, Look, Theme, drawn_on, dress, legend
from layshaft.quantities import units
from layshaft.quantities.pit_units import KMH
from layshaft.quantities.refused import shown
from layshaft.quantities.units import Given
from layshaft.setup.car import checked_car
from layshaft.setup.handed_over import checked_list, checked_table, whole

if TYPE_CHECKING:
    import xarray
    from matplotlib.axes import Axes

    from layshaft.setup.car import Car

_KRPM = 2.0 * np.pi / 60.0 * 1e3  #: [rad/s]
_MOST_SETS = 3


def gear_speeds(
    chart: "xarray.Dataset",
    axes: "Axes | None" = None,
    *,
    car: "Car",
    shift_speed: Given | None = None,
    sets: "list[int] | None" = None,
    theme: Theme = "light",
) -> "Axes":
    """Draw the car speed over the engine speed in both gears, and the drop at the shift.

    Parameters
    ----------
    chart
        From `layshaft.mesh`.
    axes
        To draw on; new ones if left out.
    car
        The car: its engine's limit, and where it shifts if `shift_speed` is left out.
    shift_speed
        Speed of the car at which the shift is drawn [m/s].
    sets
        Positions of sets to draw, three at most; by default the car's own and those with the
        shortest and the longest second gear.
    theme
        `light` or `dark`.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked_car(car)
    checked_table("chart", chart, _TEETH, "layshaft.mesh")
    axes, colours = drawn_on(axes, theme)
    limit = car["engine.speed_limit"]
    if shift_speed is None:
        from layshaft.runs.point_runs import run_points
        from layshaft.runs.run_options import read_options

        shift_speed = float(run_points(car, [{}], read_options())["shift_speed"][0])
    shift = units.read("shift_speed", shift_speed, "m/s")
    drawn = _usual_sets(chart, car) if sets is None else _places(sets, chart.sizes["set"])
    for number, row in enumerate(drawn[:_MOST_SETS]):
        look: Look = {
            "color": colours.lines[number],
            "linestyle": DASHES[number],
            "linewidth": 3.0,
        }
        _draw_set(axes, chart.isel(set=row), limit, shift, look)
    axes.axvline(limit / _KRPM, color=colours.faint, linewidth=2.0, linestyle=(0, (2, 2)))
    axes.annotate(
        "limit ",
        (limit / _KRPM, 0.03),
        xycoords=("data", "axes fraction"),
        ha="right",
        fontsize=14,
        color=colours.ink,
    )
    axes.set_xlim(left=0.0)
    axes.set_ylim(bottom=0.0)
    dress(axes, theme, x="Engine speed [1000 rpm]", title="Car speed [km/h], first and second gear")
    legend(axes, theme, loc="upper left")
    return axes


def _draw_set(axes: "Axes", each: "xarray.Dataset", limit: float, shift: float, look: Look) -> None:
    """Draw one set up its first gear, across the drop, up its second gear."""
    first, second = (float(each[f"{gear}_rollout"]) / (2.0 * np.pi) for gear in ("first", "second"))
    label = (
        f"{int(each.first_pinion)}/{int(each.first_spur)}"
        f" {int(each.second_pinion)}/{int(each.second_spur)}"
    )
    if np.isfinite(shift) and shift / first <= limit:
        engine = np.array([0.0, shift / first, shift / second, limit])
        speed = np.array([0.0, shift, shift, limit * second])
        drop = (shift / first - shift / second) / _KRPM
        axes.plot(
            engine / _KRPM,
            speed * KMH,
            **look,
            label=f"{label}: drops {round(drop * 1e3, -2):,.0f} rpm",
        )
        faint = look | {"linewidth": 1.2, "alpha": 0.6}
        axes.plot(
            np.array([shift / first, limit]) / _KRPM,
            np.array([shift, limit * first]) * KMH,
            **faint,
        )
        axes.plot(np.array([0.0, shift / second]) / _KRPM, np.array([0.0, shift]) * KMH, **faint)
        return
    ends = np.array([0.0, limit])
    axes.plot(ends / _KRPM, ends * first * KMH, **look, label=label)
    axes.plot(ends / _KRPM, ends * second * KMH, **look)


def _places(sets: "list[int]", count: int) -> list[int]:
    places = [whole("sets", each) for each in checked_list("sets", sets, "positions")]
    if not all(0 <= place < count for place in places):
        raise ValueError(f"sets = {shown(sets)} must be positions from 0 to {count - 1}")
    return places


def _usual_sets(chart: "xarray.Dataset", car: "Car") -> list[int]:
    from layshaft.mounting.gear_sets import present_teeth

    own = present_teeth(car)
    teeth = zip(*(chart[name].values for name in _TEETH), strict=True)
    present = [row for row, each in enumerate(teeth) if tuple(map(int, each)) == own]
    rollout = chart.second_rollout.values
    return list(dict.fromkeys([*present, int(np.argmax(rollout)), int(np.argmin(rollout))]))


_TEETH = ("first_spur", "first_pinion", "second_spur", "second_pinion")
