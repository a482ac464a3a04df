"""A page for each law: what it says, typeset and plain, its sign, source, checks and functions."""

import re
import tomllib
from pathlib import Path

import cpp_pages
import published_checks
from headers import Header, read_header
from text import ROOT, fence, plain, table, toctree

_LAWS = ROOT / "cpp" / "include" / "layshaft" / "laws"
_INTRODUCTION = """# The laws

Each law is one header without state, a solver or a clock, written once for plain numbers, for exact
derivatives and for several launches side by side. Its page is made from that header and its tests.
Letters are explained there; names of parameters are those of the code, units are SI.

"""


def write_laws(out: Path) -> None:
    """Write the pages of the laws and their list.

    Raises
    ------
    LookupError
        If a law has no equation, or an equation no law.
    """
    equations = tomllib.loads(Path(__file__).with_name("equations.toml").read_text("utf-8"))
    headers = {path.stem: read_header(path) for path in sorted(_LAWS.glob("*.hpp"))}
    if equations.keys() != headers.keys():
        raise LookupError(f"equations.toml and laws differ: {equations.keys() ^ headers.keys()}")
    heads, rows = published_checks.rows()
    (out / "laws").mkdir()
    for stem, header in headers.items():
        page = _page(stem, header, equations[stem], heads, rows)
        (out / "laws" / f"{stem}.md").write_text(page, encoding="utf-8")
    listed = (
        (f"[{_title(stem)}](laws/{stem}.md)", plain(headers[stem].about[0])) for stem in headers
    )
    pages = toctree((f"laws/{stem}" for stem in headers), hidden=True)
    text = _INTRODUCTION + table(("law", "what it is"), listed) + "\n" + pages
    (out / "laws.md").write_text(text, encoding="utf-8")


def _title(stem: str) -> str:
    return stem.replace("_", " ").capitalize()


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _page(
    stem: str, header: Header, equations: list[str], heads: list[str], rows: list[list[str]]
) -> str:
    labelled = ("Sign", "Source")
    statement = [text for text in header.about[1:] if not text.startswith(labelled)]
    parts = [f"# {_title(stem)}\n", plain(header.about[0])]
    sign = header.paragraph("Sign")
    if sign:
        parts += ["## Sign\n", plain(_capital(sign))]
    parts += ["## Equation\n", *(f"$$\n{equation}\n$$\n" for equation in equations)]
    parts += ["As the header says it:\n", *(fence("text", text) for text in statement)]
    source = header.paragraph("Source")
    recalled = header.paragraph("Source (from memory)")
    parts += ["## Source\n", plain(_capital(source or f"from memory: {recalled}"))]
    parts += ["## Checks\n", _tested(stem, heads, rows)]
    parts += ["## In C++\n", cpp_pages.reference(header)]
    return "\n".join(f"{part}\n" for part in parts)


def _tested(stem: str, heads: list[str], rows: list[list[str]]) -> str:
    file = ROOT / "tests" / "cpp" / f"{stem}_test.cpp"
    if not file.exists():
        return "It is tested with the parts that use it."
    text = file.read_text(encoding="utf-8")
    own = [row for row in rows if f'"{row[0]}"' in text]
    parts = []
    if own:
        parts += ["Against published values, all of which a test asserts (see [](../checks.md)):\n"]
        parts += [table(heads, own)]
    held = re.findall(r"^(?:TEST|TYPED_TEST|TEST_P|TEST_F)\(\w+,\s*(\w+)\)", text, re.MULTILINE)
    parts += [f"`tests/cpp/{file.name}` holds that\n", *(f"- {_sentence(name)}" for name in held)]
    return "\n".join(parts) + "\n"


def _sentence(name: str) -> str:
    words = re.findall(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+|[0-9]+", name)
    return " ".join(word if word.isupper() and len(word) > 1 else word.lower() for word in words)
