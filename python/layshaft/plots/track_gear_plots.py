"""Pictures of lap time over gap and gears."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.plots.style import Look, Theme, drawn_on, dress
from layshaft.quantities import units
from layshaft.quantities.units import Given
from layshaft.sweeps.track_gears import PLATEAU, best_place, expected_times

if TYPE_CHECKING:
    import xarray
    from matplotlib.axes import Axes

_MILLISECONDS = 1e3
_MOST_TICKS = 9
_MOST_SHOWN = 200.0  #: time lost at the end of the colours [ms]


def gear_map_picture(
    table: "xarray.Dataset",
    axes: "Axes | None" = None,
    *,
    within: Given = PLATEAU,
    theme: "Theme" = "light",
) -> "Axes":
    """Draw lap time over gap and gears: the plateau is framed, the best starred.

    Numbers in the fields are the milliseconds lost; a bar beside one says how many shifts fall in a
    corner or just before one.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    loss = units.read_loss("within", within, "s")
    times = expected_times(table)
    axes, colours = drawn_on(axes, theme, 11.0, 6.5)
    lost = (times - times[best_place(times)]) * _MILLISECONDS
    top = min(float(np.nanmax(lost)), _MOST_SHOWN)
    gaps, rows = table.gap.values * 1e3, np.arange(table.sizes["gears"])
    mesh = axes.pcolormesh(gaps, rows, lost, cmap="cividis_r", shading="nearest", vmin=0, vmax=top)
    bar = axes.figure.colorbar(mesh, ax=axes, extend="max" if top == _MOST_SHOWN else "neither")
    bar.ax.tick_params(colors=colours.ink, labelsize=14)
    bar.set_label("ms lost to the best setting", color=colours.ink, fontsize=15)
    _frame_plateau(axes, gaps, lost <= loss * _MILLISECONDS, colours.slips)
    upset = (table.shifts_in_corners + table.shifts_before_corners).values
    for row, column in np.ndindex(upset.shape):
        if np.isfinite(lost[row, column]):
            dark = lost[row, column] > 0.5 * top
            shifts = f" | {upset[row, column]:.0f}" if upset[row, column] > 0 else ""
            look: Look = {
                "ha": "center",
                "va": "center",
                "color": "white" if dark else "black",
            }
            text = f"{lost[row, column]:.0f}{shifts}"
            axes.text(gaps[column], row, text, fontsize=_cell_type(len(gaps)), **look)
    row, column = best_place(times)
    # Above the number, so that both are read.
    look = {"markersize": 16, "color": colours.slips, "markeredgecolor": "black"}
    axes.plot(gaps[column], row + 0.3, "*", **look)
    title = f"Time lost to the star; framed: under {loss * _MILLISECONDS:g} ms"
    note = "Gap read on the caliper, both shoes [mm]; ms | shifts in or just before corners"
    dress(axes, theme, x=note, title=title)
    axes.grid(visible=False)
    axes.set_xticks(gaps[:: -(-len(gaps) // _MOST_TICKS)])
    axes.set_yticks(rows, table.gears.values)
    axes.set_ylabel("pinion/spur, first second", color=colours.ink, fontsize=14)
    axes.xaxis.label.set_fontsize(13)
    return axes


def _cell_type(columns: int) -> float:
    return 11.0 if columns <= _MOST_TICKS else 7.5


def _frame_plateau(axes: "Axes", gaps: np.ndarray, inside: np.ndarray, colour: str) -> None:
    """Draw the edges between fields inside and outside."""
    half = 0.5 * (gaps[1] - gaps[0]) if len(gaps) > 1 else 0.05
    padded = np.pad(inside, 1)
    for row, column in zip(*np.nonzero(inside), strict=True):
        x, y = gaps[column], row
        for step, ends in (
            ((0, -1), ([x - half] * 2, [y - 0.5, y + 0.5])),
            ((0, 1), ([x + half] * 2, [y - 0.5, y + 0.5])),
            ((-1, 0), ([x - half, x + half], [y - 0.5] * 2)),
            ((1, 0), ([x - half, x + half], [y + 0.5] * 2)),
        ):
            if not padded[row + 1 + step[0], column + 1 + step[1]]:
                axes.plot(*ends, color=colour, linewidth=3.0)
