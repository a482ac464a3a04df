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


#: Documents of the repository that are pages of the site.
PAGES = {
    "DEVELOPERS.md": "developers",
    "README.md": "first-run",
    "reference-cases/README.md": "checks",
    "tests/bench/results.md": "benchmark",
    "tests/bench/answers.md": "benchmark",
}
_PICTURES = (".png", ".svg")


def document(path: str, out: Path) -> str:
    """Read a document of the repository as a page.

    Its pictures are copied beside the pages, whether shown or linked; a link to another document
    leads to that one's page.

    Raises
    ------
    ValueError
        For a link to a file that is not part of the site.
    """
    file = ROOT / path

    def there(match: re.Match[str]) -> str:
        shown, name, target, place = match.groups(default="")
        linked = (file.parent / target).resolve()
        if linked.suffix in _PICTURES:
            (out / "pictures").mkdir(exist_ok=True)
            shutil.copy(linked, out / "pictures" / linked.name)
            return f"{shown}[{name}](pictures/{linked.name})"
        page = PAGES.get(linked.relative_to(ROOT).as_posix())
        if page is None:
            raise ValueError(f"{path} links {target}, which is not part of the site")
        return f"[{name}]({page}.md{place})"

    links = r"(!?)\[([^\]]*)\]\(([^):#]+)(#[^)]*)?\)"
    return re.sub(links, there, file.read_text(encoding="utf-8"))
