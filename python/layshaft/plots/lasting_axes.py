"""Axes that stay while what is drawn on them changes, so that a control is answered at once.

Laying out a figure and drawing its labels takes most of the time of a picture. Here that is kept
as a picture of its own, over which only the data are drawn. The axes grow where data ask for more,
and never shrink: what moves is then the data alone.
"""

import io
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from layshaft.plots.style import LASTING_AXES, Theme, new_figure

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

#: Fewer dots answer sooner.
DOTS_PER_INCH = 72
_QUICK = 1  # of the levels of compression of a picture


class LastingAxes:
    """One pair of axes for all that a function draws, one after the other."""

    def __init__(self) -> None:
        self._axes: Axes | None = None
        self._asked: tuple[object, ...] = ()
        self._is_given = False
        self._limits = np.empty((0, 2))
        self._frame: tuple[object, ...] = ()
        self._background: Any = None

    def shows(self, drawn: object) -> bool:
        """Tell whether something was drawn on the axes that stay, and nothing beside them."""
        return self._axes is not None and drawn is self._axes and self._is_alone()

    def run(self, draw: Callable[[], object]) -> object:
        """Let a function draw; where it asks for new axes it gets those that stay."""
        self._is_given = False
        token = LASTING_AXES.set(self._give)
        try:
            return draw()
        finally:
            LASTING_AXES.reset(token)

    def grow(self) -> bool:
        """Make room for what was drawn beside all before; tell whether the axes have changed."""
        axes = self._axes
        assert axes is not None
        limits = np.array([axes.get_xlim(), axes.get_ylim()])
        if len(self._limits) and (limits[:, 0] < limits[:, 1]).all():
            low = np.minimum(limits[:, 0], self._limits[:, 0])
            limits = np.stack([low, np.maximum(limits[:, 1], self._limits[:, 1])], axis=1)
            axes.set_xlim(limits[0])
            axes.set_ylim(limits[1])
        self._limits = limits
        frame = (
            *limits.ravel().tolist(),
            *axes.get_xticks(),
            *axes.get_yticks(),
            axes.get_xlabel(),
            axes.get_ylabel(),
        )
        if frame == self._frame:
            return False
        self._frame, self._background = frame, None
        return True

    def png(self) -> bytes:
        """Return the picture."""
        from PIL import Image

        axes = self._axes
        assert axes is not None
        canvas: Any = axes.figure.canvas
        if self._background is None:
            self._background = self._drawn_frame()
        canvas.restore_region(self._background)
        for artist in sorted(_shown_on(axes), key=lambda each: each.get_zorder()):
            axes.draw_artist(artist)
        shown = Image.fromarray(np.asarray(canvas.buffer_rgba())).convert("RGB")
        buffer = io.BytesIO()
        shown.save(buffer, format="png", compress_level=_QUICK)
        return buffer.getvalue()

    def _give(self, theme: Theme, width: float, height: float) -> "Axes":
        from matplotlib.backends.backend_agg import FigureCanvasAgg

        asked = (theme, width, height)
        if self._is_given or asked != self._asked or not self._is_alone():
            figure = new_figure(theme, width, height)
            figure.set_dpi(DOTS_PER_INCH)
            FigureCanvasAgg(figure)
            self._axes, self._asked = figure.subplots(), asked
            self._limits, self._frame = np.empty((0, 2)), ()
        else:
            assert self._axes is not None
            _clear(self._axes)
        self._is_given = True
        return self._axes

    def _is_alone(self) -> bool:
        # A bar of colours changes with what it explains, so that nothing stays.
        return self._axes is not None and len(self._axes.figure.axes) == 1

    def _drawn_frame(self) -> object:
        """Draw all but the data, and keep it; laid out with the data, a legend among them."""
        axes = self._axes
        assert axes is not None
        figure: Any = axes.figure
        figure.set_layout_engine("constrained")
        figure.draw_without_rendering()
        figure.set_layout_engine("none")
        shown = _shown_on(axes)
        for artist in shown:
            artist.set_visible(False)
        figure.canvas.draw()
        for artist in shown:
            artist.set_visible(True)
        return figure.canvas.copy_from_bbox(figure.bbox)


def _shown_on(axes: "Axes") -> "list[Artist]":
    """Return what is drawn on a frame: the data, their legend, the titles."""
    frame = {axes.patch, axes.xaxis, axes.yaxis, *axes.spines.values()}
    return [each for each in axes.get_children() if each not in frame]


def _data_of(axes: "Axes") -> "list[Artist]":
    legend = axes.get_legend()
    data = [*axes.lines, *axes.collections, *axes.patches, *axes.texts, *axes.images]
    return [*data, *([legend] if legend is not None else [])]


def _clear(axes: "Axes") -> None:
    """Take off the data, and let the axes scale to the next."""
    for artist in _data_of(axes):
        artist.remove()
    axes.set_prop_cycle(None)
    axes.relim()
    axes.autoscale(enable=True)
