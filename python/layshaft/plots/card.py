"""One A6 page for the pit: the set-up and what to do, readable at arm's length.

A capital letter of 12 points is some 3 mm high, 17 minutes of arc at 0.6 m; 16 are the least that
ISO 9241 asks for on screens (from memory). No letter on the card is smaller.
"""

from typing import TYPE_CHECKING, NamedTuple

from layshaft.plots.style import Theme, palette
from layshaft.reports.card_report import card_advice, card_settings
from layshaft.setup.handed_over import checked

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from layshaft.advice.recommendation import Recommendation
    from layshaft.setup.car import Car

WIDTH, HEIGHT = 105.0, 148.0  #: of A6 [mm]
_MM = 25.4 / 72.0  # in a point
_MARGIN = 6.0  # [mm]: what a printer leaves white
_SMALLEST, _TITLE = 12.0, 20.0  # letters [points]
_SETTINGS = (24.0, 19.0, 14.0)  # letters of settings, the largest with which all has room [points]
_LINE = 1.25  # from line to line, in heights of letters
_MOST_TITLE_LINES = 2
_CUT = "\N{HORIZONTAL ELLIPSIS}"
_ROUND_OFF = 1e-6  # of lengths added up, in lines
_BOX = "\N{BALLOT BOX} "
_FOOT = "An estimate: check it on the track."


def setup_card(
    car: "Car",
    advice: "Recommendation | None" = None,
    *,
    title: str = "Set-up",
    theme: Theme = "light",
) -> "Figure":
    """Draw the card of a set-up, and of an advice for it: an A6 page to print.

    Parameters
    ----------
    car
        The car as it is set now.
    advice
        From `layshaft.recommend`: its steps stand below to be ticked off.
    title
        Such as day and track; what is longer than two lines is cut, and shown to be.
    theme
        `light`, to print; or `dark`.

    Returns
    -------
    matplotlib.figure.Figure
        The page, 105 mm x 148 mm; `savefig` writes it as PDF, SVG or PNG.

    Examples
    --------
    >>> import layshaft
    >>> page = layshaft.plots.setup_card(layshaft.demo_car(), title="Club, dry")
    >>> (page.get_size_inches() * 25.4).round(3).tolist()
    [105.0, 148.0]
    """
    checked("title", title, str, "str")
    rows = card_settings(car)
    blocks = [] if advice is None else _blocks(*card_advice(advice))
    for largest in _SETTINGS:
        page = _Page(theme)
        page.title(title)
        page.settings(rows, largest)
        if page.has_room(blocks):
            break
    page.write(blocks)
    page.foot()
    return page.figure


class _Line(NamedTuple):
    text: str
    right: float = 0.0  #: of the margin [mm]
    bold: bool = False


class _Page:
    """Writes from the top down; lengths in mm."""

    def __init__(self, theme: Theme) -> None:
        from matplotlib.figure import Figure

        self._colours = palette(theme)
        size = (WIDTH / 25.4, HEIGHT / 25.4)
        self.figure = Figure(figsize=size, facecolor=self._colours.paper)
        self._axes: Axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self._axes.set(xlim=(0.0, WIDTH), ylim=(HEIGHT, 0.0))
        self._axes.axis("off")
        self._down = _MARGIN
        self._end = HEIGHT - _MARGIN - _height(_SMALLEST)

    def title(self, text: str) -> None:
        lines = wrapped(" ".join(text.split()) or "Set-up", _TITLE, WIDTH - 2 * _MARGIN, bold=True)
        if len(lines) > _MOST_TITLE_LINES:
            lines = [*lines[: _MOST_TITLE_LINES - 1], _shortened(lines[_MOST_TITLE_LINES - 1])]
        for line in lines:
            self._write(line, _TITLE, bold=True)
        self._rule()

    def settings(self, rows: list[tuple[str, str]], largest: float) -> None:
        width = 0.5 * (WIDTH - 3 * _MARGIN)
        for left in range(0, len(rows), 2):
            top = self._down
            for column, (name, value) in enumerate(rows[left : left + 2]):
                self._down, x = top, _MARGIN + column * (width + _MARGIN)
                self._write(name, _SMALLEST, x=x, colour=self._colours.faint)
                size = _fitting(value, width, largest)
                self._write(value, size, x=x, bold=True, height=_height(largest))
        self._rule()

    def has_room(self, blocks: list[list[_Line]]) -> bool:
        return sum(map(len, blocks)) <= self._lines_left()

    def write(self, blocks: list[list[_Line]]) -> None:
        """Write whole blocks as far as there is room; say how many are left out."""
        for done, block in enumerate(blocks):
            rest = len(blocks) - done
            if len(block) + (rest > 1 and not self.has_room(blocks[done:])) > self._lines_left():
                self._write(f"{rest} more on the screen {_CUT}", _SMALLEST, bold=True)
                return
            for line in block:
                self._write(line.text, _SMALLEST, x=_MARGIN + line.right, bold=line.bold)

    def _lines_left(self) -> int:
        return int((self._end - self._down) / _height(_SMALLEST) + _ROUND_OFF)

    def foot(self) -> None:
        self._down = self._end
        self._write(_FOOT, _SMALLEST, colour=self._colours.faint)

    def _rule(self) -> None:
        self._down += 0.25 * _height(_SMALLEST)
        self._axes.plot(
            [_MARGIN, WIDTH - _MARGIN], [self._down] * 2, color=self._colours.ink, linewidth=1.0
        )
        self._down += 0.25 * _height(_SMALLEST)

    def _write(
        self,
        text: str,
        size: float,
        *,
        x: float = _MARGIN,
        bold: bool = False,
        colour: str | None = None,
        height: float | None = None,
    ) -> None:
        height = _height(size) if height is None else height
        self._axes.text(
            x,
            self._down + 0.5 * height,
            text,
            fontsize=size,
            fontweight="bold" if bold else "normal",
            color=colour or self._colours.ink,
            verticalalignment="center_baseline",
            parse_math=False,
        )
        self._down += height


def wrapped(text: str, size: float, width: float, *, bold: bool = False) -> list[str]:
    """Break text into lines that are no wider [mm], between words where that is possible.

    Examples
    --------
    >>> wrapped("turn both screws", 12.0, 30.0)
    ['turn both', 'screws']
    """
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if text_width(longer, size, bold=bold) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if text_width(lines[-1] + letter, size, bold=bold) > width:
                lines.append("")
            lines[-1] += letter
    return lines


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return the width of a line of text [mm], letters of a size [points]."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    font = FontProperties(weight="bold" if bold else "normal", size=size)
    width, _, _ = text_to_path.get_text_width_height_descent(text, font, ismath=False)
    return float(width) * _MM


def _blocks(steps: list[str], sentences: list[str]) -> list[list[_Line]]:
    """Break steps, each behind a box to tick, and sentences into lines."""
    width, indent = WIDTH - 2 * _MARGIN, text_width(_BOX, _SMALLEST, bold=True)
    blocks = []
    for step in steps:
        first, *others = wrapped(step, _SMALLEST, width - indent, bold=True)
        blocks.append([_Line(_BOX + first, 0.0, True), *(_Line(o, indent, True) for o in others)])
    blocks += [[_Line(each) for each in wrapped(text, _SMALLEST, width)] for text in sentences]
    return blocks


def _shortened(line: str) -> str:
    """Cut a line so that the mark of what is missing fits."""
    while text_width(line + _CUT, _TITLE, bold=True) > WIDTH - 2 * _MARGIN:
        line = line[:-1]
    return line.rstrip() + _CUT


def _fitting(value: str, width: float, largest: float) -> float:
    """Return the size at which a value has room in its column; none goes below the smallest."""
    needed = text_width(value, largest, bold=True)
    return max(largest * min(width / needed, 1.0), _SMALLEST)


def _height(size: float) -> float:
    return _LINE * size * _MM
