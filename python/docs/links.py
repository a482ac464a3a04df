"""Looks for links of the built pages that lead nowhere, and for what a page would fetch."""

from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

_FETCHED = {"script": "src", "img": "src", "link": "href", "iframe": "src"}


class _Page(HTMLParser):
    """The links and the anchors of a page."""

    def __init__(self, file: Path) -> None:
        super().__init__()
        self.anchors: set[str] = set()
        self.links: list[tuple[str, str]] = []
        self.feed(file.read_text(encoding="utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take down an element."""
        values = {name: value or "" for name, value in attrs}
        self.anchors |= {values[name] for name in ("id", "name") if name in values}
        for name in ("href", "src"):
            if values.get(name):
                self.links.append((tag, values[name]))


def faults(site: Path) -> Iterator[str]:
    """Go through all pages and say each dead link, and each thing fetched from elsewhere."""
    pages = {file.resolve(): _Page(file) for file in sorted(site.rglob("*.html"))}
    for file, page in pages.items():
        for tag, link in page.links:
            parts = urlsplit(link)
            if parts.scheme == "data" or parts.scheme == "mailto":
                continue
            if parts.scheme or parts.netloc:
                if tag in _FETCHED:
                    yield f"{file.relative_to(site)}: fetches {link}"
                continue
            target = (file.parent / unquote(parts.path)).resolve() if parts.path else file
            if not target.exists():
                yield f"{file.relative_to(site)}: {link} leads nowhere"
            elif parts.fragment and target in pages and not _has(pages[target], parts.fragment):
                yield f"{file.relative_to(site)}: {link} has no such place"


def _has(page: _Page, fragment: str) -> bool:
    return unquote(fragment) in page.anchors
