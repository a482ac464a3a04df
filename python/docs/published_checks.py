"""The table of published checks, with its source last, where a page has room for it."""

from text import ROOT, table

_TABLE = ROOT / "tests" / "published-checks.md"
_SHOWN = (0, 1, 3, 4, 5, 7, 8, 2)  # not the difference, which two of these columns tell


def rows() -> tuple[list[str], list[list[str]]]:
    """Return the heads and the rows of the table."""
    first = _TABLE.read_text("utf-8").partition("\n## ")[0]
    lines = [line for line in first.splitlines() if line.startswith("|")]
    cells = [line.strip("| ").split(" | ") for line in lines]
    heads, *kept = [[row[column] for column in _SHOWN] for row in cells if len(row) > 1]
    return heads, kept


def page() -> str:
    """Write what the document says of the table, the table, and what stands outside it."""
    text, _, outside = _TABLE.read_text("utf-8").partition("\n## ")
    said = text.partition("\n")[2].partition("\n| ")[0]
    rest = f"## {outside}".replace("## ", "### ")
    return f"{said.strip()}\n\n{table(*rows())}\n{rest}"
