"""Tables that people write: CSV with commas; semicolons or tabs, and then decimal commas too.

A spreadsheet set to a language with decimal commas parts cells by semicolons. Which of the three
parts them is what the line of headings has. Where commas part cells a decimal comma cannot be told
from them: it is refused by its name. So is `1.200` beside `4,3`, which may be 1200. Lines that
begin with `#` are notes.
"""

import csv
import math
import os
import re
from typing import TYPE_CHECKING, NamedTuple, Union

from layshaft.setup.handed_over import checked_path
from layshaft.setup.setup_file import Fault, SetupError, text_of

if TYPE_CHECKING:
    import pandas

#: A file, or a table in memory.
AnyTable = Union[str, os.PathLike[str], "pandas.DataFrame"]

_LONGEST_SHOWN = 60
_SEPARATORS = {"\t": "tabs", ";": "semicolons"}
_NUMBER = r"[+-]?(?:[0-9]+{0}?[0-9]*|{0}[0-9]+)(?:[eE][+-]?[0-9]+)?"
_IN_THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}[.,][0-9]{3}")
_WITH_POINT, _WITH_COMMA = (re.compile(_NUMBER.format(mark)) for mark in (r"\.", ","))


class Row(NamedTuple):
    """A line of the table."""

    line: int  #: of the file, counted from 1
    cells: list[str]  #: as many as there are headings, without blanks around them
    text: str  #: as it was written


class TextTable(NamedTuple):
    """A table as it was written."""

    file: str
    line: int  #: of the headings
    heads: list[str]
    rows: list[Row]
    faults: list[Fault]  #: of lines that are no rows; raise them with those found in the rows
    takes_commas: bool  #: whether a number may have a decimal comma
    mixes_marks: bool  #: whether some numbers have a comma and others a point

    def number(self, cell: str) -> float:
        """Read the number of a cell.

        Raises
        ------
        ValueError
            With what it must be.
        """
        if self.mixes_marks and _IN_THOUSANDS.fullmatch(cell):
            whole, part = re.sub("[.,]", "", cell), cell.replace(",", ".")
            raise ValueError(
                f"must be {whole} or {part}, for {cell} may be either: some numbers here have a"
                " decimal comma, others a point"
            )
        if self.takes_commas and _WITH_COMMA.fullmatch(cell):
            cell = cell.replace(",", ".")
        elif _WITH_COMMA.fullmatch(cell) and not _WITH_POINT.fullmatch(cell):
            point = cell.replace(",", ".")
            raise ValueError(f'must have a decimal point, not a comma: {point} for "{cell}"')
        if not _WITH_POINT.fullmatch(cell):
            raise ValueError("must be a number")
        number = float(cell)
        if not math.isfinite(number):
            raise ValueError("must be a number, not so great")
        return number

    def stop_if_faulty(self) -> None:
        """Raise `SetupError` with all faults there are, in the order of their lines."""
        if self.faults:
            raise SetupError(sorted(self.faults, key=lambda fault: fault.line or 0))

    def note(self, row: Row, must: str, shown: str = "") -> None:
        """Note something wrong in a row, which is shown whole if no part of it is."""
        text = shown or row.text[:_LONGEST_SHOWN]
        self.faults.append(Fault(self.file, row.line, text, must))


def read_text_table(given: AnyTable) -> TextTable:
    r"""Read a table from a file, or from a DataFrame of pandas, whose columns are headings.

    Raises
    ------
    SetupError
        Where there is none.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "seen.csv")
    ...     _ = file.write_text("gap_mm;time_s\n4,6;2,15\n")
    ...     table = read_text_table(file)
    >>> table.heads, [table.number(cell) for cell in table.rows[0].cells]
    (['gap_mm', 'time_s'], [4.6, 2.15])
    """
    if not hasattr(given, "to_csv"):
        name = checked_path("given", given)
        text = text_of(name)
    else:
        name, text = "<DataFrame>", given.to_csv(index=False)
    lines = [
        (number, line)
        for number, line in enumerate(text.splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        raise SetupError([Fault(name, None, "", "must have a line that names its columns")])
    separator = next((mark for mark in _SEPARATORS if mark in lines[0][1]), ",")
    first, *rows = (Row(at, _cells(name, at, text, separator), text.strip()) for at, text in lines)
    line, heads, _ = first
    if separator == "," and len(heads) == 1 and any(" " in row.cells[0] for row in rows):
        must = "must have commas, semicolons or tabs between its cells, not blanks"
        raise SetupError([Fault(name, line, first.text[:_LONGEST_SHOWN], must)])
    faults = [
        Fault(name, row.line, row.text[:_LONGEST_SHOWN], _count(heads, row, separator))
        for row in rows
        if len(row.cells) != len(heads)
    ]
    whole = [row for row in rows if len(row.cells) == len(heads)]
    takes_commas = separator != ","
    return TextTable(name, line, heads, whole, faults, takes_commas, takes_commas and _mixed(whole))


def _mixed(rows: list[Row]) -> bool:
    """Return whether some numbers have a decimal comma, and others a point."""
    cells = [cell for row in rows for cell in row.cells]
    return any("," in cell and _WITH_COMMA.fullmatch(cell) for cell in cells) and any(
        "." in cell and _WITH_POINT.fullmatch(cell) for cell in cells
    )


def _cells(name: str, line: int, text: str, separator: str) -> list[str]:
    try:
        (cells,) = csv.reader([text], delimiter=separator)
    except csv.Error as error:
        raise SetupError(
            [Fault(name, line, text[:_LONGEST_SHOWN], f"must be CSV: {error}")]
        ) from None
    return [cell.strip() for cell in cells]


def _count(heads: list[str], row: Row, separator: str) -> str:
    must = f"must have {len(heads)} cells, not {len(row.cells)}"
    other = next((_SEPARATORS[m] for m in _SEPARATORS for cell in row.cells if m in cell), None)
    if other and len(row.cells) < len(heads):
        return f"{must}; {other} part its cells, and not those of line 1"
    if separator == "," and len(row.cells) > len(heads):
        return f"{must}; a decimal comma parts cells too: write 4.6, or part cells by semicolons"
    return must
