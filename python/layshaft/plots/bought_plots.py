"""Panels of what a setting buys beside its time: revs, upset, heat, fuel, over the setting."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.setting_advice import swept_axes
from layshaft.advice.what_it_buys import upsets
from layshaft.plots.style import (
    DASHES,
    Look,
    Theme,
    dress,
    legend,
    palette,
    ticks_where_tried,
    widen,
)
from layshaft.quantities import pit_units, units
from layshaft.setup import field_table

if TYPE_CHECKING:
    import xarray
    from matplotlib.axes import Axes

    from layshaft.setup.car import Car

#: Narrower than these a panel shows noise: of what it is about, no driver tells less apart.
_LEAST_RPM, _LEAST_UPSET, _LEAST_HEAT, _LEAST_FUEL = 4.0, 0.2, 20.0, 5.0
_GRAMS_A_MINUTE = 6e4
_MOST_PULLS = 60  # settings whose upset is worked out, each in a run of its own


def engine_peak(table: "xarray.Dataset", axes: "Axes", *, theme: Theme, car: "Car | None") -> None:
    """Draw the engine's highest speed in the run, and at and after the shift, with its limit."""
    names = {
        "peak_engine_speed": "peak",
        "engine_speed_before": "shift",
        "engine_speed_after": "after",
    }
    lines = {
        text: units.from_si(table[name].values, "rad/s", "krpm") for name, text in names.items()
    }
    _lines(table, axes, theme, "Engine [1000 rpm]", lines, least=_LEAST_RPM)
    if car is not None:
        colours = palette(theme)
        limit = units.from_si(car["engine.speed_limit"], "rad/s", "krpm")
        low, high = axes.get_ylim()
        axes.set_ylim(low, max(high, limit + 0.14 * (limit - low)))
        axes.axhline(limit, color=colours.ink, linewidth=1.6, linestyle=(0, (6, 3)))
        axes.annotate(
            "limit ",
            (1.0, limit),
            xycoords=("axes fraction", "data"),
            ha="right",
            va="bottom",
            fontsize=13,
            color=colours.ink,
        )
        peaks = lines["peak"]
        axes.fill_between(
            _settings(table), limit, peaks, where=peaks > limit, color=colours.slips, alpha=0.35
        )


def engine_drop(table: "xarray.Dataset", axes: "Axes", *, theme: Theme) -> None:
    """Draw how far the engine's speed drops over the shift."""
    drop = units.from_si(table.engine_speed_drop.values, "rad/s", "krpm")
    _lines(table, axes, theme, "Drop over the shift [1000 rpm]", {"": drop}, least=_LEAST_RPM)


def upset(table: "xarray.Dataset", axes: "Axes", *, theme: Theme, car: "Car") -> None:
    """Draw the most that the drive force changes in 30 ms of a pull through the shift."""
    (axis,) = swept_axes(table, 1)
    path = str(field_table.path_of(axis))
    found = upsets(car, [{path: float(value)} for value in table[axis].values])
    _lines(table, axes, theme, "Upset by the shift [g in 30 ms]", {"": found}, least=_LEAST_UPSET)
    axes.set_ylim(0.0, 1.08 * axes.get_ylim()[1])


def heats(table: "xarray.Dataset", axes: "Axes", *, theme: Theme) -> None:
    """Draw the heat made in the two-speed's shoes and in the engine clutch."""
    lines = {
        text: np.maximum(table[name].values, 0.0)
        for name, text in (("shoe_loss", "shoes"), ("clutch_loss", "clutch"))
    }
    _lines(table, axes, theme, "Heat of a run [J]", lines, least=_LEAST_HEAT)
    axes.set_ylim(0.0, 1.08 * axes.get_ylim()[1])


def fuel_rate(table: "xarray.Dataset", axes: "Axes", *, theme: Theme) -> None:
    """Draw the fuel burnt by the minute."""
    times = table.time_to_distance.isel(distance=-1).values
    rate = table.fuel.values / times * _GRAMS_A_MINUTE
    _lines(table, axes, theme, "Fuel [g/min]", {"": rate}, least=_LEAST_FUEL)


def has_upsets(table: "xarray.Dataset") -> bool:
    """Tell whether the upset can be drawn: it takes a run for each setting that shifts."""
    shifts = np.isfinite(table.shift_speed.values)
    return bool(shifts.any()) and shifts.size <= _MOST_PULLS


def _lines(
    table: "xarray.Dataset",
    axes: "Axes",
    theme: Theme,
    title: str,
    lines: dict[str, np.ndarray],
    *,
    least: float,
) -> None:
    colours = palette(theme)
    known = {text: values for text, values in lines.items() if np.isfinite(values).any()}
    for number, (text, values) in enumerate(known.items()):
        look: Look = {"color": colours.lines[number], "linestyle": DASHES[number]}
        axes.plot(_settings(table), values, linewidth=3.2, label=text or None, **look)
    widen(axes, least)
    (axis,) = swept_axes(table, 1)
    dress(
        axes,
        theme,
        x=pit_units.label(table[axis].attrs, field_table.path_of(axis) or ""),
        title=title,
    )
    ticks_where_tried(axes.xaxis, _settings(table))
    # Beside the title: among the lines it would cover one.
    place = {"loc": "lower right", "bbox_to_anchor": (1.02, 0.98), "ncols": 3}
    legend(axes, theme, **place, fontsize=13, handlelength=1.6, columnspacing=1.0)


def _settings(table: "xarray.Dataset") -> np.ndarray:
    (axis,) = swept_axes(table, 1)
    return pit_units.shown(table[axis])[0]
