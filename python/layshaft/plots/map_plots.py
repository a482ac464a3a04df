"""The picture of a sweep over two settings."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.setting_advice import swept_axes
from layshaft.plots.style import (
    Look,
    Theme,
    drawn_on,
    dress,
    new_figure,
    ticks_where_tried,
)
from layshaft.quantities import pit_units
from layshaft.setup import field_table

if TYPE_CHECKING:
    import xarray
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


_MILLISECONDS = 1e3
_MOST_COLUMNS, _MOST_ROWS = 13, 20  #: of fields with their number on them
_MOST_SHOWN = 100.0  #: time lost at the end of a map's colours [ms]


def setting_map(table: "xarray.Dataset", *, theme: Theme = "light") -> "Figure":
    """Draw the time to the last distance over two settings, with lines of equal shift speed.

    Returns
    -------
    matplotlib.figure.Figure
        A new figure.

    Examples
    --------
    >>> import layshaft
    >>> axes = {"two_speed.gap": ["4.4 mm", "4.6 mm"], "two_speed.slug_mass": ["1 g", "1.2 g"]}
    >>> len(setting_map(layshaft.sweep(layshaft.demo_car(), axes)).axes)
    2
    """
    from matplotlib.patheffects import withStroke

    first, second = swept_axes(table, 2)
    figure = new_figure(theme, 9.5, 7.5)
    axes, colours = drawn_on(figure.subplots(), theme)
    x, y = (pit_units.shown(table[name])[0] for name in (first, second))
    times = table.time_to_distance.isel(distance=-1).transpose(second, first).values
    lost = (times - np.nanmin(times)) * _MILLISECONDS
    # A setting that is hopeless must not hide the differences between good ones.
    top = min(np.nanmax(lost), _MOST_SHOWN)
    mesh = axes.pcolormesh(x, y, lost, cmap="cividis_r", shading="nearest", vmin=0.0, vmax=top)
    bar = figure.colorbar(mesh, ax=axes, extend="max" if top == _MOST_SHOWN else "neither")
    bar.ax.tick_params(colors=colours.ink, labelsize=14)
    distance = table.distance.values[-1]
    bar.set_label(f"ms lost to the best over {distance:g} m", color=colours.ink, fontsize=15)
    shift, unit = pit_units.shown(table.shift_speed.transpose(second, first))
    if np.isfinite(shift).sum() > 3:
        lines = axes.contour(x, y, shift, colors="black", linewidths=1.2)
        lines.set_path_effects([withStroke(linewidth=3.0, foreground="white")])
        for text in axes.clabel(lines, fmt=f"%g {unit}", fontsize=14):
            text.set_path_effects([withStroke(linewidth=3.0, foreground="white")])
    row, column = np.unravel_index(np.nanargmin(lost), lost.shape)
    axes.plot(x[column], y[row], "*", markersize=24, color=colours.slips, markeredgecolor="black")
    x_label, y_label = (
        pit_units.label(table[name].attrs, field_table.path_of(name) or "")
        for name in (first, second)
    )
    dress(axes, theme, x=x_label, y=y_label, title="Time lost; lines: shift speed; star: best")
    axes.grid(visible=False)
    ticks_where_tried(axes.xaxis, x)
    ticks_where_tried(axes.yaxis, y)
    _write_cells(axes, x, y, lost, top)
    return figure


def _write_cells(axes: "Axes", x: np.ndarray, y: np.ndarray, lost: np.ndarray, top: float) -> None:
    """Write the milliseconds lost on each field, as far as there is room."""
    from matplotlib.patheffects import withStroke

    if len(x) > _MOST_COLUMNS or len(y) > _MOST_ROWS:
        return
    for row, column in zip(*np.nonzero(np.isfinite(lost)), strict=True):
        is_dark = lost[row, column] > 0.5 * top
        look: Look = {"ha": "center", "va": "top", "color": "white" if is_dark else "black"}
        text = f"\n{lost[row, column]:.0f}"
        around = withStroke(linewidth=3.0, foreground="black" if is_dark else "white", alpha=0.6)
        axes.text(
            x[column], y[row], text, fontsize=14, linespacing=0.7, path_effects=[around], **look
        )
