"""Pictures of what was learned of a car."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.setting_advice import present_setting
from layshaft.fitting.learned import Learned
from layshaft.fitting.observations import describe
from layshaft.plots.advice_plots import WIDTH, axis_label
from layshaft.plots.style import DASHES, Look, Theme, drawn_on, dress, legend, new_figure, palette
from layshaft.quantities.pit_units import KMH
from layshaft.setup.handed_over import checked
from layshaft.setup.settings import merged

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


_GAP = "two_speed.gap"
_DRAWS = 24
_BAND_POINTS = 9
_SEED = 20
_CENTRAL_95 = (2.5, 97.5)
#: Errors within which 95 % of what is seen lies.
_USUAL_OFF = 2.0
#: More things seen have no room for their names.
_MOST_NAMED = 16


def learned_band(
    learned: "Learned", axes: "Axes | None" = None, *, theme: Theme = "light"
) -> "Axes":
    """Draw shift speeds heard over the gap, and those of the believed and the learned car.

    The band holds 95 % of the cars that it may be. Only shifts at the car's own slugs are drawn.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("learned", learned, Learned, "layshaft.learn")
    from layshaft.runs.point_runs import run_points

    axes, colours = drawn_on(axes, theme)
    heard = _heard(learned)
    gaps = np.array([gap for gap, _, _ in heard])
    reach = max(float(np.ptp(gaps)) * 0.25, 1e-4)
    fine = np.linspace(gaps.min() - reach, gaps.max() + reach, _BAND_POINTS)
    draws = learned.draws(_DRAWS, seed=_SEED)
    cars = [{}, *draws]
    points = [merged(each, {_GAP: float(gap)}) for each in cars for gap in fine]
    options = learned.numbers[0].options
    speeds = run_points(learned.car, points, options)["shift_speed"].reshape(len(cars), -1) * KMH
    before = run_points(learned.believed, [{_GAP: float(gap)} for gap in fine], options)
    # A share of draws that never shift leaves not-a-numbers.
    low, high = np.nanpercentile(speeds[1:], _CENTRAL_95, axis=0)
    x = fine * 1e3
    axes.fill_between(x, low, high, color=colours.plateau, label="95 % sure")
    look: Look = {"linewidth": WIDTH, "color": colours.lines[0]}
    axes.plot(x, speeds[0], **look, label="learned")
    look = {"linewidth": 2.4, "color": colours.lines[1], "linestyle": DASHES[1]}
    axes.plot(x, before["shift_speed"] * KMH, **look, label="believed")
    axes.errorbar(
        gaps * 1e3,
        [speed * KMH for _, speed, _ in heard],
        [error * KMH for _, _, error in heard],
        fmt="o",
        markersize=11,
        elinewidth=2.5,
        capsize=6,
        color=colours.ink,
        label="heard",
    )
    dress(axes, theme, x=axis_label(_GAP), title="Car speed at the shift [km/h]")
    legend(axes, theme)
    return axes


def misfits(learned: "Learned", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw how far the believed and the learned car are off each thing seen, in its errors.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("learned", learned, Learned, "layshaft.learn")
    axes, colours = drawn_on(axes, theme)
    offs = [
        (shown - learned.seen) / learned.errors for shown in (learned.shown_before, learned.shown)
    ]
    if len(learned.seen) == len(learned.numbers) <= _MOST_NAMED:
        _named_misfits(learned, axes, theme, *offs)
        return axes
    rows = np.arange(1, len(learned.seen) + 1)
    axes.axhspan(-_USUAL_OFF, _USUAL_OFF, color=colours.plateau, zorder=0)
    for number, (name, off) in enumerate(zip(("believed", "learned"), offs, strict=True)):
        look: Look = {"color": colours.lines[1 - number], "markersize": 4}
        axes.plot(rows, off, "so"[number], **look, label=name)
    dress(axes, theme, x="Number of what was seen", title="Off by so many errors")
    legend(axes, theme)
    return axes


def _named_misfits(
    learned: "Learned", axes: "Axes", theme: Theme, before: np.ndarray, after: np.ndarray
) -> None:
    """Draw a line for each thing seen, from where the believed car has it to the learned one."""
    colours = palette(theme)
    rows = np.arange(len(before))
    axes.axvspan(-_USUAL_OFF, _USUAL_OFF, color=colours.plateau, zorder=0)
    axes.axvline(0.0, color=colours.faint, linewidth=1.5, zorder=1)
    axes.hlines(rows, before, after, color=colours.faint, linewidth=2.5, zorder=2)
    for number, (name, off) in enumerate((("believed", before), ("learned", after))):
        look: Look = {"color": colours.lines[1 - number], "markersize": 11}
        axes.plot(off, rows, "so"[number], **look, label=name)
    furthest = np.nanmax(np.abs([before, after]), initial=_USUAL_OFF)
    axes.set_xlim(-1.1 * furthest, 1.1 * furthest)
    axes.set_ylim(len(rows) - 0.5, -0.5)
    dress(axes, theme, title="Off by so many errors")
    axes.set_yticks(rows, [describe(each) for each in learned.numbers])
    axes.grid(visible=False, axis="y")
    legend(axes, theme, loc="upper center", bbox_to_anchor=(0.5, -0.08), ncols=2)


def learned_figure(learned: "Learned", *, theme: Theme = "light") -> "Figure":
    """Draw the band over the gap where shifts were heard, else how far each thing seen is off.

    Returns
    -------
    matplotlib.figure.Figure
        A new figure.
    """
    checked("learned", learned, Learned, "layshaft.learn")
    figure = new_figure(theme, 9.0, 6.5)
    draw = learned_band if _heard(learned) else misfits
    draw(learned, figure.subplots(), theme=theme)
    return figure


def _heard(learned: "Learned") -> list[tuple[float, float, float]]:
    """List gap, shift speed and error of each shift heard at one gap, all else as in the car."""
    options = learned.numbers[0].options if learned.numbers else None
    heard = []
    for each in learned.numbers:
        others = [path for path, _ in each.changes if path != _GAP]
        if each.measure != "shift_speed" or others or each.options != options:
            continue
        gap = dict(each.changes).get(_GAP, present_setting(learned.car, _GAP))
        if gap is not None:
            heard.append((gap, each.value, each.error))
    return heard
