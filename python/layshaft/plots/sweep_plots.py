"""Pictures of sweeps. Each takes data and returns the `Axes` or `Figure` it drew on.

Labels and units come from the data. Pictures of a single launch are in `launch_plots`.
"""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.setting_advice import best_setting, screw_turns, swept_axes
from layshaft.plots import bought_plots
from layshaft.plots.style import (
    DASHES,
    Look,
    Theme,
    drawn_on,
    dress,
    legend,
    new_figure,
    palette,
    ticks_where_tried,
    widen,
)
from layshaft.quantities import pit_units, units
from layshaft.quantities.units import Given
from layshaft.setup import field_table
from layshaft.setup.car import checked_car

if TYPE_CHECKING:
    import xarray
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from layshaft.setup.car import Car

_MILLISECONDS = 1e3
_LEAST_SPEEDS = 5.0  #: height of a panel of shift speeds [km/h]; less would show noise
_LEAST_HAND_OVER = 0.1  #: [s]
_NEAR_AN_END = 0.12  #: share of a panel's width that a word takes


def shift_speed(
    table: "xarray.Dataset", axes: "Axes | None" = None, *, theme: Theme = "light"
) -> "Axes":
    """Draw the car speed at the shift over the one setting that was swept.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    drawn = _line(table, ["shift_speed"], axes, theme, title="Car speed at the shift")
    widen(drawn, _LEAST_SPEEDS)
    return drawn


def engine_speeds(
    table: "xarray.Dataset", axes: "Axes | None" = None, *, theme: Theme = "light"
) -> "Axes":
    """Draw the engine speed before and after the hand-over.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    names = ["engine_speed_before", "engine_speed_after"]
    drawn = _line(table, names, axes, theme, ["before", "after"], title="Engine at the shift")
    legend(drawn, theme)
    return drawn


def hand_over(
    table: "xarray.Dataset", axes: "Axes | None" = None, *, theme: Theme = "light"
) -> "Axes":
    """Draw how long the hand-over takes.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    drawn = _line(table, ["hand_over"], axes, theme, title="Hand-over")
    drawn.set_ylim(0.0, max(1.08 * drawn.get_ylim()[1], _LEAST_HAND_OVER))
    return drawn


def time_lost(
    table: "xarray.Dataset", axes: "Axes | None" = None, *, theme: Theme = "light"
) -> "Axes":
    """Draw the time lost against the best setting, at the last two distances.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    axes, colours = drawn_on(axes, theme)
    (axis,) = swept_axes(table, 1)
    x, _ = pit_units.shown(table[axis])
    distances = table.distance.values
    last = range(len(distances) - 1, max(len(distances) - 3, -1), -1)
    for number, place in enumerate(last):
        distance, times = distances[place], table.time_to_distance.isel(distance=place).values
        lost = (times - np.nanmin(times)) * _MILLISECONDS
        colour, dashes = colours.lines[number], DASHES[number]
        axes.plot(x, lost, color=colour, linestyle=dashes, linewidth=3.2, label=f"{distance:g} m")
    # A scale that does not make a millisecond look like a mile.
    axes.set_ylim(bottom=0.0, top=max(axes.get_ylim()[1], 20.0))
    dress(axes, theme, x=_label(table, axis), title="Time lost to the best [ms]")
    ticks_where_tried(axes.xaxis, x)
    legend(axes, theme)
    return axes


def setting_curve(
    table: "xarray.Dataset",
    car: "Car | None" = None,
    *,
    within: Given = 0.01,
    theme: Theme = "light",
) -> "Figure":
    """Draw what the one setting that was swept does, and buys beside its time.

    Shift speed, time lost, revs, drop, upset (with `car`), hand-over, heat, fuel; without a shift
    only what there is without one.

    Parameters
    ----------
    table
        A sweep over one field.
    car
        The car as it is now; marks its setting and, for the gap, the turns of the screw from it.
    within
        Time loss [s] inside which settings count as alike; that range is shaded.
    theme
        `light` or `dark`.

    Returns
    -------
    matplotlib.figure.Figure
        A new figure.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.demo_car()
    >>> table = layshaft.sweep(car, {"two_speed.gap": ["4.4 mm", "4.6 mm"]})
    >>> len(setting_curve(table, car).axes)
    8
    """
    if car is not None:
        checked_car(car)
    swept_axes(table, 1)
    loss = units.read_loss("within", within, "s")
    draws = _panels_of(table, car)
    rows = -(-len(draws) // 2)
    figure = new_figure(theme, 13.0, 2.9 * rows + 1.4)
    panels = figure.subplots(rows, 2, sharex=True).ravel()
    for draw, panel in zip(draws, panels, strict=False):
        draw(table, panel, theme=theme)
    for panel in panels[len(draws) :]:
        panel.remove()
    panels = panels[: len(draws)]
    for panel in panels[:-2]:
        panel.set_xlabel("")
        panel.tick_params(labelbottom=False)
    for panel in panels[-2:]:
        panel.tick_params(labelbottom=True)
    if shift_speed in draws or not _path(table).startswith("two_speed."):
        _mark_settings(panels, table, car, loss, theme)
    if shift_speed not in draws:
        figure.suptitle("No setting of those tried shifts", color=palette(theme).ink, fontsize=17)
    return figure


def _panels_of(table: "xarray.Dataset", car: "Car | None") -> list[Callable[..., object]]:
    """Return what is drawn of a sweep, the time first where there is no shift."""
    peak = partial(bought_plots.engine_peak, car=car)
    rest: list[Callable[..., object]] = [bought_plots.heats, bought_plots.fuel_rate]
    if not np.isfinite(table.shift_speed.values).any():
        return [time_lost, peak, *rest]
    draws: list[Callable[..., object]] = [shift_speed, time_lost, peak, bought_plots.engine_drop]
    if car is not None and bought_plots.has_upsets(table):
        draws.append(partial(bought_plots.upset, car=car))
    return [*draws, hand_over, *rest]


def _line(
    table: "xarray.Dataset",
    names: list[str],
    axes: "Axes | None",
    theme: Theme,
    labels: list[str] | None = None,
    *,
    title: str,
) -> "Axes":
    axes, colours = drawn_on(axes, theme)
    (axis,) = swept_axes(table, 1)
    x, _ = pit_units.shown(table[axis])
    for number, name in enumerate(names):
        y, unit = pit_units.shown(table[name])
        look: Look = {"color": colours.lines[number], "linestyle": DASHES[number]}
        axes.plot(x, y, linewidth=3.2, label=labels[number] if labels else None, **look)
    dress(axes, theme, x=_label(table, axis), title=f"{title} [{unit}]")
    ticks_where_tried(axes.xaxis, x)
    return axes


def _path(table: "xarray.Dataset") -> str:
    (axis,) = swept_axes(table, 1)
    return field_table.path_of(axis) or ""


def _label(table: "xarray.Dataset", axis: str) -> str:
    return pit_units.label(table[axis].attrs, field_table.path_of(axis) or "")


def _mark_settings(
    panels: "np.ndarray", table: "xarray.Dataset", car: "Car | None", within: float, theme: Theme
) -> None:
    colours = palette(theme)
    (axis,) = swept_axes(table, 1)
    advice = best_setting(table, car, within=within)
    (best, low, high), _ = pit_units.convert([advice.best, advice.low, advice.high], table[axis])
    for panel in panels:
        panel.axvspan(low, high, color=colours.plateau, zorder=0)
        panel.axvline(best, color=colours.ink, linewidth=2.0)
    marks = [(best, "best")]
    if advice.present is not None:
        (present,), _ = pit_units.convert([advice.present], table[axis])
        for panel in panels:
            panel.axvline(present, color=colours.ink, linewidth=2.0, linestyle=(0, (2, 2)))
        marks = [(best, "best, now")] if present == best else [*marks, (present, "now")]
    middle = sum(position for position, _ in marks) / len(marks)
    begin, end = panels[0].get_xlim()
    for number, (position, text) in enumerate(marks):
        share = (position - begin) / (end - begin)
        left = share > 1.0 - _NEAR_AN_END or (position < middle and share > _NEAR_AN_END)
        panels[0].annotate(
            f" {text} ",
            (position, 0.03 + 0.1 * number),
            xycoords=("data", "axes fraction"),
            ha="right" if left else "left",
            fontsize=15,
            fontweight="bold",
            color=colours.ink,
        )
    timed = next(panel for panel in panels if "Time lost" in panel.get_title(loc="left"))
    note = f"shaded: under {within * _MILLISECONDS:g} ms"
    timed.set_title(note, loc="right", fontsize=14, color=colours.ink)
    if car is not None and advice.path == "two_speed.gap" and advice.present is not None:
        for panel in panels[:2]:
            _turns_axis(panel, car, theme)


def _turns_axis(axes: "Axes", car: "Car", theme: Theme) -> None:
    present = car["two_speed.gap"] * 1e3
    per_turn = -1.0 / screw_turns(car, car["two_speed.gap"] + 1e-3)
    top = axes.secondary_xaxis(
        "top",
        functions=(
            lambda gap: (present - np.asarray(gap)) / per_turn,
            lambda turns: present - np.asarray(turns) * per_turn,
        ),
    )
    colours = palette(theme)
    top.tick_params(colors=colours.ink, labelsize=14, length=0)
    top.set_xlabel("turns of the screws from now: + in, - out", color=colours.ink, fontsize=14)
    top.spines["top"].set_visible(False)
