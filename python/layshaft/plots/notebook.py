"""Pictures in a notebook, still ones and ones that answer while a control moves.

Needs IPython and ipywidgets, which `import layshaft` does not.
"""

import io
import itertools
import threading
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
    draw: Callable[..., "Figure | Axes"],
    run: Callable[..., object] | None = None,
    **controls: tuple[float, float, float] | list[object],
) -> "VBox":
    """Return controls above a picture that is drawn anew while they move.

    Parameters
    ----------
    draw
        Takes the controls' values by name, returns what it drew.
    run
        For what takes longer than a hand waits, as a lap does: takes the controls' values by name,
        returns what `draw` is given in their place. Every position is run in the background, from
        the first shown outwards; one that is asked for before its turn is run at once.
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
    if not (run is None or callable(run)):
        raise TypeError(f"run = {shown(run)} must be a function that runs what is drawn")
    import ipywidgets

    parts = {name: _control(name, what) for name, what in controls.items()}
    # At its own size: drawn out to the width of the page it would be coarse, and jump about.
    image = ipywidgets.Image(format="png", layout={"align_self": "flex-start", "max_width": "100%"})

    lasting = LastingAxes()
    kept: dict[tuple, bytes] = {}
    ahead = None if run is None else _RunAhead(run, controls)

    def picture_at(values: dict[str, Any]) -> bytes:
        given = {} if ahead is None else ahead.at(values)
        drawn = lasting.run(lambda: draw(**values) if ahead is None else draw(given))
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
    if ahead is not None:
        ahead.begin()
    return ipywidgets.VBox([*parts.values(), image])


class _RunAhead:
    """Runs all positions of some controls in a thread of its own."""

    def __init__(
        self, run: Callable[..., object], controls: dict[str, tuple[float, float, float] | list]
    ) -> None:
        self._run, self._controls = run, controls
        self._known: dict[tuple[int, ...], object] = {}

    def at(self, values: dict[str, Any]) -> object:
        """Return the run at a position, at once where it is known."""
        place = tuple(_number_of(what, values[name]) for name, what in self._controls.items())
        if place not in self._known:
            self._known[place] = self._run(**values)
        return self._known[place]

    def begin(self) -> None:
        """Run all others; an interpreter that ends does not wait for them."""
        threading.Thread(target=self._run_all, daemon=True).start()

    def _run_all(self) -> None:
        ranges = [_outwards(what) for what in self._controls.values()]
        for values in itertools.product(*reversed(ranges)):
            try:
                self.at(dict(zip(self._controls, reversed(values), strict=True)))
            except Exception:  # told where its position is asked for
                continue


def _number_of(what: tuple[float, float, float] | list[object], value: Any) -> int:
    """Return the number of a control's position; a slider's value is off by round-off."""
    return what.index(value) if isinstance(what, list) else round((value - what[0]) / what[2])


def _outwards(what: tuple[float, float, float] | list[object]) -> list[Any]:
    """Return all values of a control, that of its start first and those far from it last.

    Examples
    --------
    >>> _outwards((1.0, 4.0, 1.0)), _outwards(["club", "fast"])
    ([3.0, 2.0, 4.0, 1.0], ['club', 'fast'])
    """
    if isinstance(what, list):
        return what
    least, most, step = what
    middle = _middle(what)
    values = [least + k * step for k in range(int((most - least) / step + 1e-9) + 1)]
    return sorted(values, key=lambda value: abs(value - middle))


def _middle(what: tuple[float, float, float]) -> float:
    least, most, step = what
    return least + round((most - least) / 2 / step) * step


def _control(name: str, what: tuple[float, float, float] | list[object]) -> Any:
    import ipywidgets

    label = {"description": name.replace("_", " "), "style": {"description_width": "initial"}}
    if isinstance(what, list):
        return ipywidgets.Dropdown(options=what, value=what[0], **label)
    least, most, step = what
    look = {
        "layout": {"width": "90%", "max_width": "45em"},
        "continuous_update": True,
        "readout_format": ".3g",
    }
    return ipywidgets.FloatSlider(
        value=_middle(what), min=least, max=most, step=step, **look, **label
    )


def _png(drawn: "Figure | Axes") -> bytes:
    figure: Any = drawn if hasattr(drawn, "savefig") else getattr(drawn, "figure", None)
    if not hasattr(figure, "savefig"):
        raise TypeError(f"drawn = {shown(drawn)} must be a figure of matplotlib, or its axes")
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=DOTS_PER_INCH)
    return buffer.getvalue()
