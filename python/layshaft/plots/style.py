"""Look of the pictures: large type, few lines, colours that the colour-blind tell apart.

Colours go from dark to light as well as round the wheel, and lines differ in their dashes, so that
a picture also reads in black and white.
"""

from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from layshaft.quantities.refused import shown
from layshaft.setup.handed_over import one_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.axis import Axis
    from matplotlib.figure import Figure

_MOST_TICKS = 9
#: Gives the axes to draw on where none are given, in place of new ones; see `lasting_axes`.
LASTING_AXES: "ContextVar[Callable[[Theme, float, float], Axes] | None]" = ContextVar(
    "LASTING_AXES", default=None
)

Theme = Literal["light", "dark"]
#: Keywords of matplotlib for what is drawn.
Look = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours of a picture."""

    paper: str
    ink: str
    faint: str
    grid: str
    lines: tuple[str, str, str]
    holds: str
    slips: str
    free: str
    plateau: str


PALETTES: dict[str, Palette] = {
    "light": Palette(
        paper="#ffffff",
        ink="#16202b",
        faint="#5a6673",
        grid="#dde2e8",
        lines=("#0a4f9e", "#d8660a", "#17917c"),
        holds="#0a4f9e",
        slips="#f09a3e",
        free="#e6eaef",
        plateau="#d9ebe0",
    ),
    "dark": Palette(
        paper="#12181f",
        ink="#f1f4f7",
        faint="#a3afbb",
        grid="#2c3641",
        lines=("#6fb5ff", "#ffa24d", "#57d6bd"),
        holds="#6fb5ff",
        slips="#e0862c",
        free="#252e38",
        plateau="#1f3b34",
    ),
}
DASHES = ("-", (0, (5, 1.5)), (0, (1.2, 1.2)))


def palette(theme: Theme) -> Palette:
    """Return the colours of a theme.

    Raises
    ------
    ValueError
        For another name than `light` or `dark`.
    """
    return PALETTES[one_of("theme", theme, tuple(PALETTES))]


def new_figure(theme: Theme, width: float, height: float) -> "Figure":
    """Return an empty figure of a theme; sizes in inches."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width, height), layout="constrained", facecolor=palette(theme).paper)


def drawn_on(
    axes: "Axes | None", theme: Theme, width: float = 8.0, height: float = 4.5
) -> tuple["Axes", Palette]:
    """Return the axes to draw on, those of a new figure if none are given, and the colours."""
    colours = palette(theme)
    if axes is None:
        given = LASTING_AXES.get()
        if given is not None:
            return given(theme, width, height), colours
        return new_figure(theme, width, height).subplots(), colours
    if not hasattr(axes, "plot"):
        raise TypeError(f"axes = {shown(axes)} must be those of a figure of matplotlib")
    return axes, colours


def dress(axes: "Axes", theme: Theme, *, x: str = "", y: str = "", title: str = "") -> None:
    """Give axes their labels, type and grid."""
    from matplotlib.ticker import ScalarFormatter

    colours = palette(theme)
    axes.set_facecolor(colours.paper)
    axes.grid(color=colours.grid, linewidth=1.0)
    axes.set_axisbelow(True)
    for axis in (axes.xaxis, axes.yaxis):
        form = axis.get_major_formatter()
        if isinstance(form, ScalarFormatter):
            form.set_useOffset(False)
    axes.tick_params(colors=colours.ink, labelsize=14, length=0)
    for side, spine in axes.spines.items():
        spine.set_visible(side == "bottom")
        spine.set_color(colours.faint)
    if x:
        axes.set_xlabel(x, color=colours.ink, fontsize=15)
    if y:
        axes.set_ylabel(y, color=colours.ink, fontsize=14)
    if title:
        axes.set_title(title, loc="left", color=colours.ink, fontsize=17, fontweight="bold")


def ticks_where_tried(axis: "Axis", positions: "np.ndarray") -> None:
    """Put ticks only where something was tried, evenly thinned where there are many."""
    ordered = np.unique(positions)
    shown = ordered[:: -(-len(ordered) // _MOST_TICKS)]
    places = next((d for d in range(6) if np.allclose(np.round(shown, d), shown, rtol=1e-9)), 6)
    axis.set_ticks(shown, [f"{position:.{places}f}" for position in shown])


def widen(axes: "Axes", least: float) -> None:
    """Make the height of a panel at least so much, around what it shows."""
    axes.set_ylim(_widened(axes.get_ylim(), least))


def widen_across(axes: "Axes", least: float) -> None:
    """Make the width of a panel at least so much, around what it shows."""
    axes.set_xlim(_widened(axes.get_xlim(), least))


def _widened(shown: tuple[float, float], least: float) -> tuple[float, float]:
    low, high = shown
    more = max(0.5 * (least - (high - low)), 0.0)
    return low - more, high + more


def legend(axes: "Axes", theme: Theme, **placing: object) -> None:
    """Name the lines without a frame; nothing where none has a name."""
    if "handles" not in placing and not axes.get_legend_handles_labels()[0]:
        return
    options = {"frameon": False, "fontsize": 14, "labelcolor": palette(theme).ink}
    axes.legend(**(options | placing))
