"""Pictures in a notebook, still ones and ones that answer while a control moves.

Needs IPython and ipywidgets, which `import layshaft` does not.
"""

import io
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, cast

from layshaft.plots.lasting_axes import DOTS_PER_INCH, LastingAxes
from layshaft.quantities.refused import shown

if TYPE_CHECKING:
    from IPython.display import Image
    from ipywidgets import VBox
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def picture(drawn: "Figure | Axes") -> "Image":
    """Return a figure, or the figure of some axes, for a notebook to show.

    Returns
    -------
    IPython.display.Image
        The picture.
    """
    from IPython.display import Image

    return Image(data=_png(drawn))


def live(
    draw: Callable[..., "Figure | Axes"], **controls: tuple[float, float, float] | list[object]
) -> "VBox":
    """Return controls above a picture that is drawn anew while they move.

    Parameters
    ----------
    draw
        Takes the controls' values by name, returns what it drew.
    controls
        By name: `(least, most, step)`, a slider that starts in the middle, or a list to choose
        from, which starts at its first.

    Returns
    -------
    ipywidgets.VBox
        Controls above the picture.
    """
    if not callable(draw):
        raise TypeError(f"draw = {shown(draw)} must be a function that draws")
    import ipywidgets

    parts = {name: _control(name, what) for name, what in controls.items()}
    # At its own size: drawn out to the width of the page it would be coarse, and jump about.
    image = ipywidgets.Image(format="png", layout={"align_self": "flex-start", "max_width": "100%"})

    lasting = LastingAxes()
    kept: dict[tuple, bytes] = {}

    def picture_at(values: dict[str, Any]) -> bytes:
        drawn = lasting.run(lambda: draw(**values))
        if not lasting.shows(drawn):
            return _png(cast("Figure | Axes", drawn))
        if lasting.grow():
            kept.clear()  # they show other axes
        return lasting.png()

    def redraw(_: object = None) -> None:
        values = {name: part.value for name, part in parts.items()}
        place = tuple(values.values())
        if place not in kept:
            seen = picture_at(values)
            kept[place] = seen
        image.value = kept[place]

    for part in parts.values():
        part.observe(redraw, names="value")
    redraw()
    return ipywidgets.VBox([*parts.values(), image])


def _control(name: str, what: tuple[float, float, float] | list[object]) -> Any:
    import ipywidgets

    label = {"description": name.replace("_", " "), "style": {"description_width": "initial"}}
    if isinstance(what, list):
        return ipywidgets.Dropdown(options=what, value=what[0], **label)
    least, most, step = what
    middle = least + round((most - least) / 2 / step) * step
    look = {
        "layout": {"width": "90%", "max_width": "45em"},
        "continuous_update": True,
        "readout_format": ".3g",
    }
    return ipywidgets.FloatSlider(value=middle, min=least, max=most, step=step, **look, **label)


def _png(drawn: "Figure | Axes") -> bytes:
    figure: Any = drawn if hasattr(drawn, "savefig") else getattr(drawn, "figure", None)
    if not hasattr(figure, "savefig"):
        raise TypeError(f"drawn = {shown(drawn)} must be a figure of matplotlib, or its axes")
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=DOTS_PER_INCH)
    return buffer.getvalue()
