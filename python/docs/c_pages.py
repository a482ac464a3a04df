"""The C reference: each declaration as it stands in the header, under what is said of it."""

import re
from collections.abc import Iterator
from pathlib import Path

from text import ROOT, fence, paragraphs

_INCLUDE = ROOT / "cpp" / "include"
_EXPORTED = "LAYSHAFT_API"
_FOR_THE_COMPILER = re.compile(r'^(?:#.*|extern "C" \{|\}(?: +/[*/].*)?)\n', re.MULTILINE)
_SAID = re.compile(r"/\*\*(?!<)(.*?)\*/\n", re.DOTALL)


def write_c(out: Path) -> list[str]:
    """Write the page of the C headers where there are any; return the names of the pages."""
    headers = sorted(_INCLUDE.rglob("*.h"))
    if not headers:
        return []
    parts = ["# C\n"]
    for header in headers:
        name = header.relative_to(_INCLUDE).as_posix()
        parts += [fence("c", f'#include "{name}"'), *_described(header.read_text("utf-8"))]
    (out / "c.md").write_text("\n".join(parts), encoding="utf-8")
    return ["c"]


def _described(header: str) -> Iterator[str]:
    _, *pieces = _SAID.split(header)
    for said, following in zip(pieces[::2], pieces[1::2], strict=True):
        yield from paragraphs(_without_stars(said), "c")
        # What has no comment of its own stands under the one above.
        code = _FOR_THE_COMPILER.sub("", following).replace(f"{_EXPORTED} ", "").strip()
        if code:
            yield fence("c", code.replace("\n" + " " * (len(_EXPORTED) + 1), "\n"))


def _without_stars(said: str) -> str:
    lines = [re.sub(r"^\s*\* ?", "", line) for line in said.strip().splitlines()]
    return "\n".join(line for line in lines if not line.startswith("@file"))
