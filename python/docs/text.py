"""Pieces of Markdown: plain text made safe, tables, and the repository's own documents."""

import re
import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path
from textwrap import dedent

ROOT = Path(__file__).resolve().parents[2]


def plain(text: str) -> str:
    """Escape what Markdown would read as markup; names in backticks stay code."""
    parts = text.split("`")
    for position in range(0, len(parts), 2):
        parts[position] = re.sub(r"([\\*_\[\]<>$#|{}~^])", r"\\\1", parts[position])
    return "`".join(parts)


def code(text: str) -> str:
    """Show text as code inside a line or a cell of a table."""
    return "`" + text.replace("|", "\\|") + "`" if text else ""


def table(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """Write a table; its cells are Markdown."""
    lines = [list(heads)]
    lines += [["---"] * len(lines[0]), *map(list, rows)]
    return "".join(f"| {' | '.join(cells)} |\n" for cells in lines)


def fence(language: str, text: str) -> str:
    """Write a block of code."""
    return f"```{language}\n{text.rstrip()}\n```\n"


def paragraphs(text: str, language: str) -> Iterator[str]:
    """Go through the paragraphs of plain text; those that are set in are code."""
    for paragraph in text.strip("\n").split("\n\n"):
        is_code = all(line.startswith("    ") for line in paragraph.splitlines())
        yield (
            fence(language, dedent(paragraph))
            if is_code
            else f"{plain(' '.join(paragraph.split()))}\n"
        )


def toctree(pages: Iterable[str], caption: str = "", *, hidden: bool = False) -> str:
    """Write a list of pages."""
    options = [":maxdepth: 1"] + [f":caption: {caption}"] * bool(caption) + [":hidden:"] * hidden
    return "```{toctree}\n" + "\n".join([*options, "", *pages]) + "\n```\n"


def sections(markdown: str) -> dict[str, str]:
    """Part a document at its `##` headings; what stands before the first is the section ``."""
    parts = re.split(r"^## (.*)$", markdown, flags=re.MULTILINE)
    return {"": parts[0]} | dict(zip(parts[1::2], parts[2::2], strict=True))


def document(path: str, out: Path) -> str:
    """Read a document of the repository; its pictures are copied beside the pages."""
    file = ROOT / path
    text = file.read_text(encoding="utf-8")

    def copied(match: re.Match[str]) -> str:
        picture = (file.parent / match[2]).resolve()
        (out / "pictures").mkdir(exist_ok=True)
        shutil.copy(picture, out / "pictures" / picture.name)
        return f"![{match[1]}](pictures/{picture.name})"

    return re.sub(r"!\[([^\]]*)\]\(([^):]+)\)", copied, text)
