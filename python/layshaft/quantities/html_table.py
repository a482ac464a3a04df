"""Tables in HTML, as a notebook shows what is the last line of a cell."""

from collections.abc import Iterable, Sequence
from html import escape


def html_table(title: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table of texts under a title.

    Examples
    --------
    >>> html_table("Marks", ["distance"], [["5 m"]])
    '<b>Marks</b><table><tr><th>distance</th></tr><tr><td>5 m</td></tr></table>'
    """
    lines = [_line("th", heads), *(_line("td", row) for row in rows)]
    return f"<b>{escape(title)}</b><table>{''.join(lines)}</table>"


def _line(tag: str, cells: Iterable[str]) -> str:
    return f"<tr>{''.join(f'<{tag}>{escape(cell)}</{tag}>' for cell in cells)}</tr>"
