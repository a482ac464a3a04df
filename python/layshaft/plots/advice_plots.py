"""Pictures of advice: the plateau, the trade-off, what makes the shift vary.

Each takes data and returns the `Axes` or `Figure` it drew on.
"""

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.cost_lines import CostLine
from layshaft.advice.goal_front import TradeOff
from layshaft.advice.goals import Goal
from layshaft.advice.recommendation import Recommendation
from layshaft.advice.scatter_study import Scatter
from layshaft.plots.style import (
    Look,
    Theme,
    drawn_on,
    dress,
    legend,
    new_figure,
    palette,
    widen,
    widen_across,
)
from layshaft.quantities import pit_units, units
from layshaft.quantities.pit_units import KMH
from layshaft.setup import field_table
from layshaft.setup.handed_over import checked

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


_GAP = "two_speed.gap"
WIDTH = 3.2  #: of a line [points]


def goal_curve(
    line: "CostLine", goal: "Goal", axes: "Axes | None" = None, *, theme: Theme = "light"
) -> "Axes":
    """Draw what is lost to the best over one setting, its plateau shaded.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("line", line, CostLine, "layshaft.recommend")
    checked("goal", goal, Goal, "layshaft.goals.quickest")
    axes, colours = drawn_on(axes, theme)
    scale = _scale(line.path)
    costs = goal.cost_of(line.values)
    lost, unit = _in_pit_unit(costs - costs[np.isfinite(costs)].min(), goal)
    axes.axvspan(line.low * scale, line.high * scale, color=colours.plateau, zorder=0)
    axes.plot(line.settings * scale, lost, color=colours.lines[0], linewidth=WIDTH)
    within, _ = _in_pit_unit(np.array([goal.within]), goal)
    # A scale that does not make a hair look like a mile.
    axes.set_ylim(bottom=0.0, top=max(axes.get_ylim()[1], 2.0 * within[0]))
    dress(axes, theme, x=axis_label(line.path), title=f"Lost to the best [{unit}]")
    note = f"{goal.name}; shaded: under {within[0]:.3g} {unit}"
    axes.set_title(note, loc="right", fontsize=14, color=colours.ink)
    return axes


def shift_curve(line: "CostLine", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the shift speed over one setting.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("line", line, CostLine, "layshaft.recommend")
    axes, colours = drawn_on(axes, theme)
    scale = _scale(line.path)
    look: Look = {"color": colours.lines[1], "linewidth": WIDTH}
    axes.plot(line.settings * scale, line.shift_speeds * KMH, **look)
    dress(axes, theme, x=axis_label(line.path), title="Car speed at the shift [km/h]")
    return axes


def plateau_figure(advice: "Recommendation", *, theme: Theme = "light") -> "Figure | None":
    """Draw shift speed and loss over the first setting that was searched; `None` without one.

    The best and the present setting are marked; a bar shows where the best lies with 95 %.

    Returns
    -------
    matplotlib.figure.Figure or None
        A new figure; `None` where there is nothing to draw.
    """
    checked("advice", advice, Recommendation, "layshaft.recommend")
    if not advice.lines:
        return None
    line = advice.lines[0]
    colours = palette(theme)
    figure = new_figure(theme, 9.0, 9.0)
    upper, lower = figure.subplots(2, 1, sharex=True)
    shift_curve(line, upper, theme=theme)
    goal_curve(line, advice.goal, lower, theme=theme)
    upper.set_xlabel("")
    scale = _scale(line.path)
    best = advice.settings[line.path]
    shoes = {move.was for move in advice.moves if move.path == line.path}
    marks = [("best", best, "-"), *(("now", was, (0, (2, 2))) for was in shoes)]
    for name, value, dashes in marks:
        for panel in (upper, lower):
            panel.axvline(value * scale, color=colours.ink, linewidth=2.0, linestyle=dashes)
        left = name == "now" and value < best
        upper.annotate(
            f" {name} ",
            (value * scale, 0.03),
            xycoords=("data", "axes fraction"),
            ha="right" if left or (name == "best" and max(shoes, default=best) > best) else "left",
            fontsize=15,
            fontweight="bold",
            color=colours.ink,
        )
    sure = advice.confidence
    if sure is not None and sure.path == line.path:
        ends = [sure.best_low * scale, sure.best_high * scale]
        place = upper.get_ylim()[1]
        upper.plot(ends, [place, place], color=colours.lines[0], linewidth=9.0, clip_on=False)
        note = "bar: 95 % sure of the best"
        upper.set_title(note, loc="right", fontsize=14, color=colours.ink)
    return figure


def trade_front(found: "TradeOff", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the settings tried and the front among them, in the first two goals.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("found", found, TradeOff, "layshaft.trade_off")
    from matplotlib.ticker import MaxNLocator

    from layshaft.reports.wording import setting_text

    axes, colours = drawn_on(axes, theme)
    first, second = found.goals[:2]
    (x, x_unit), (y, y_unit) = (
        _in_pit_unit(found.costs[:, column], goal, absolute=True)
        for column, goal in enumerate((first, second))
    )
    front = list(found.front)
    axes.plot(x, y, "o", color=colours.faint, markersize=6, label="tried")
    axes.plot(x[front], y[front], "-o", color=colours.lines[0], linewidth=WIDTH, markersize=9)
    look: Look = {
        "markersize": 22,
        "color": colours.slips,
        "markeredgecolor": colours.ink,
    }
    axes.plot(x[found.middle], y[found.middle], "*", **look, label="best of both")
    own = [
        _in_pit_unit(found.present[[column]], goal, absolute=True)[0][0]
        for column, goal in enumerate((first, second))
    ]
    axes.plot(*own, "X", markersize=14, color=colours.lines[1], label="now")
    sides = {front[0]: (-10, -4, "right"), front[-1]: (10, -4, "left")}
    for row, (across, up, side) in (sides | {found.middle: (0, -28, "center")}).items():
        text = ", ".join(setting_text(path, value) for path, value in found.settings[row].items())
        place: Look = {"xytext": (across, up), "textcoords": "offset points"}
        axes.annotate(text, (x[row], y[row]), **place, ha=side, fontsize=13, color=colours.ink)
    axes.margins(x=0.2, y=0.15)
    for make_wide, goal in ((widen_across, first), (widen, second)):
        least, _ = _in_pit_unit(np.array([goal.within]), replace(goal, target=0.0), absolute=True)
        make_wide(axes, float(least[0]))
    axes.xaxis.set_major_locator(MaxNLocator(5))
    labels = (_goal_label(first, x_unit), _goal_label(second, y_unit))
    dress(axes, theme, x=labels[0], y=labels[1], title="On the line none is better in both")
    legend(axes, theme)
    return axes


def _goal_label(goal: "Goal", unit: str) -> str:
    return f"{goal.name}{', off by' if goal.target is not None else ''} [{_symbol(unit)}]"


def _symbol(unit: str) -> str:
    return "°C" if unit == "degC" else unit


def scatter_shares(
    study: "Scatter", axes: "Axes | None" = None, *, theme: Theme = "light"
) -> "Axes":
    """Draw what makes the shift speed vary, the greatest first; with its spread in the title.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("study", study, Scatter, "layshaft.scatter")
    from layshaft.reports.wording import short_name

    axes, colours = drawn_on(axes, theme)
    for row, share in enumerate(study.shift_shares):
        axes.barh(row, share.with_others, height=0.7, color=colours.holds)
        name, spread = short_name(share.path), _spread(share.path, share.spread)
        text = f" {name} ± {spread}: {share.with_others:.0%}"
        place: Look = {"va": "center", "fontsize": 14, "color": colours.ink}
        axes.annotate(text, (share.with_others, row), **place)
    low, high = (speed * KMH for speed in study.shift_range)
    title = f"Shift at {low:.0f} to {high:.0f} km/h: what makes it vary"
    dress(axes, theme, x="Share of the scatter", title=title)
    axes.set_yticks([])
    axes.set_ylim(len(study.shift_shares) - 0.4, -0.6)
    axes.set_xlim(0.0, 2.2 * max([0.1, *(share.with_others for share in study.shift_shares)]))
    axes.set_xticks([])
    axes.grid(visible=False)
    return axes


def _in_pit_unit(
    costs: np.ndarray, goal: "Goal", *, absolute: bool = False
) -> tuple[np.ndarray, str]:
    numbers = np.where(np.isfinite(costs), costs, np.nan)
    if goal.unit == "s" and not absolute:
        return numbers * 1e3, "ms"
    is_difference = not absolute or goal.target is not None
    return pit_units.of_run(numbers, goal.unit, is_difference=is_difference)


def _scale(path: str) -> float:
    field = field_table.field_of(path)
    unit = units.QUANTITIES[field.unit].unit
    return 1.0 / units.to_si(f"1 {unit}", field.unit) if unit else 1.0


def _setting(path: str, value: float) -> str:
    field = field_table.field_of(path)
    unit = pit_units.printed(units.QUANTITIES[field.unit].unit)
    return f"{value * _scale(path):.4g} {unit}".strip()


def _spread(path: str, spread: float) -> str:
    return _setting(path, spread) if field_table.field_of(path).unit != "K" else f"{spread:.3g} K"


def axis_label(path: str) -> str:
    """Label an axis of the values of a field: what it means, and the unit of the workshop."""
    field = field_table.field_of(path)
    labels = {"units": field.unit, "long_name": field.meaning}
    return pit_units.label(labels, path)
