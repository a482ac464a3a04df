"""Tables on a terminal of any width: a narrow one loses columns and says which, never digits."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderResult
    from rich.table import Table

_LEAST_TEXT = 14  # letters of a column of text, so that it is read and not spelt


class _Column(NamedTuple):
    heading: str
    is_text: bool  #: to the left, and broken between words
    rank: int


class PitTable:
    r"""A table that fits itself to the terminal; what `rich` prints.

    A column has a rank: where there is no room, that of the highest goes first, and of two alike
    the one further to the right.

    Examples
    --------
    >>> from rich.console import Console
    >>> table = PitTable()
    >>> for heading, rank in (("gap\nmm", 0), ("time\ns", 0), ("speed\nkm/h", 1)):
    ...     table.add_column(heading, rank=rank)
    >>> table.add_row("4.60", "3.302", "96.5")
    >>> Console(width=12).print(table)
     gap  time
      mm     s
    ──────────
    4.60 3.302
    no room for:
    speed km/h
    """

    def __init__(self, *headings: str, rank: int = 0) -> None:
        self._columns: list[_Column] = []
        self._rows: list[tuple[Sequence[str], bool]] = []
        self.caption = ""
        for heading in headings:
            self.add_column(heading, rank=rank)

    def add_column(self, heading: str, *, rank: int = 0, is_text: bool = False) -> None:
        """Add a column of numbers, or of text."""
        self._columns.append(_Column(heading, is_text, rank))

    def add_row(self, *cells: str, bold: bool = False) -> None:
        """Add a row, a cell to each column."""
        if len(cells) != len(self._columns):
            raise ValueError(f"a row must have {len(self._columns)} cells, not {len(cells)}")
        self._rows.append((cells, bold))

    def __rich_console__(self, console: "Console", options: "ConsoleOptions") -> "RenderResult":
        shown, look = self._fitting(options.max_width)
        yield self._table(shown, look)
        dropped = [i for i in range(len(self._columns)) if i not in shown]
        notes = [self.caption] if self.caption else []
        if dropped:
            headings = (_in_a_line(self._columns[i].heading) for i in dropped)
            names = ", ".join(heading or "notes" for heading in headings)
            notes.append(f"no room for: {names}")
        yield from notes

    def _fitting(self, width: int) -> tuple[list[int], "_Look"]:
        """Return the columns that fit, and how they must stand for it."""
        shown = list(range(len(self._columns)))
        while True:
            for look in _LOOKS:
                letters = sum(self._least_width(i, look) for i in shown)
                if letters + look.spaces(len(shown)) <= width or (
                    len(shown) == 1 and look is _LOOKS[-1]
                ):
                    return shown, look
            shown.remove(max(shown, key=lambda i: (self._columns[i].rank, i)))

    def _least_width(self, index: int, look: "_Look") -> int:
        column = self._columns[index]
        texts = [look.heading(column.heading), *(cells[index] for cells, _ in self._rows)]
        lines = [line for text in texts for line in text.split("\n")]
        longest = max(map(len, lines), default=0)
        if not column.is_text:
            return longest
        words = (len(word) for line in lines for word in line.split())
        return max(min(longest, _LEAST_TEXT), max(words, default=0))

    def _table(self, shown: list[int], look: "_Look") -> "Table":
        from rich import box
        from rich.table import Table

        table = Table(
            box=box.SIMPLE_HEAD,
            pad_edge=False,
            padding=(0, 0 if look.is_close else 1, 0, 0),
            show_edge=not look.is_close,
        )
        for i in shown:
            column = self._columns[i]
            side: Literal["left", "right"] = "left" if column.is_text else "right"
            # The last column left goes on in the next line rather than be cut.
            is_whole = not column.is_text and len(shown) > 1
            heading = look.heading(column.heading)
            table.add_column(heading, justify=side, no_wrap=is_whole, overflow="fold")
        for cells, bold in self._rows:
            table.add_row(*(cells[i] for i in shown), style="bold" if bold else "")
        return table


class _Look(NamedTuple):
    """How the columns of a table stand."""

    is_close: bool  #: one blank between them
    is_high: bool  #: a word of a heading to a line

    def spaces(self, columns: int) -> int:
        return columns - 1 if self.is_close else 2 * columns

    def heading(self, text: str) -> str:
        return "\n".join(text.split()) if self.is_high else text


#: The widest first.
_LOOKS = (_Look(False, False), _Look(True, False), _Look(True, True))


def number_cell(value: float, form: str) -> str:
    """Write a number into a cell; a dash where there is none.

    Examples
    --------
    >>> number_cell(3.14159, "{:.2f}"), number_cell(float("nan"), "{:.2f}")
    ('3.14', '-')
    """
    return form.format(value) if math.isfinite(value) else "-"


def _in_a_line(heading: str) -> str:
    """Return a heading as one line; a word that was parted is whole again."""
    return " ".join(heading.replace("-\n", "-").split())
