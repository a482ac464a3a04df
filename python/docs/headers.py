"""Reads what the C++ headers say of themselves: what a file is about, and each declaration.

The headers keep one form (a first comment with what, sign, equation, source; `///` before or behind
each declaration; clang-format), so a scanner that knows comments, strings and brackets is enough,
and pip alone builds the site.
"""

import re
from dataclasses import dataclass, field
from pathlib import Path

_SKIPPED = re.compile(
    r"\s+|#(?:[^\n]*\\\n)*[^\n]*|//(?!/)[^\n]*|/\*.*?\*/|;|public:|static_assert\([^;]*;"
    r"|(?:struct|class) \w+;",  # what another header declares
    re.DOTALL,
)
_DOC = re.compile(r"///(?!<) ?([^\n]*)\n?")
_BEHIND = re.compile(r"[ \t]*///< ?([^\n]*)\n?")
_NAMESPACE = re.compile(r'(?:inline )?namespace\s+(\w+)\s*\{|extern "C"\s*\{')
_TYPE = re.compile(
    r"(?:template\s*<.*?>\s*(?:requires [^{]*?)?)?(struct|class|enum class|enum|union)\s+(?=\w)",
    re.DOTALL,
)
_PRIVATE = re.compile(r"(?:private|protected):")
_QUOTED = re.compile(r'"(?:\\.|[^"\\])*"|\'(?:\\.|[^\'\\])+\'(?!\w)|//[^\n]*|/\*.*?\*/', re.DOTALL)
_OPENING, _CLOSING = "([{", ")]}"


@dataclass(frozen=True)
class Declaration:
    """One name of a header."""

    kind: str  #: `namespace`, `struct`, `class`, `enum`, `function` or `value`
    code: str  #: the declaration on one line, without body
    doc: str
    members: "list[Declaration]" = field(default_factory=list)


@dataclass(frozen=True)
class Header:
    """One header: the paragraphs of its first comment, and what it declares."""

    path: Path
    about: list[str]
    declarations: list[Declaration]

    def paragraph(self, *labels: str) -> str:
        """Return what stands behind a label such as `Source:`; empty if there is none."""
        for text in self.about:
            for label in labels:
                if text.startswith(f"{label}:"):
                    return text.removeprefix(f"{label}:").strip()
        return ""


def read_header(path: Path) -> Header:
    """Read a header."""
    text = path.read_text(encoding="utf-8")
    begin = re.search(r"^///.*(?:\n//.*)*", text, re.MULTILINE)
    first = begin[0] if begin else ""
    inside = re.search(r'^(?:namespace layshaft|extern "C") \{\n', text, re.MULTILINE)
    start = inside.end() if inside else (begin.end() if begin else 0)
    said = [line for line in first.splitlines() if line.startswith("///")]
    lines = [line.removeprefix("///").removeprefix(" ") for line in said]
    return Header(path, _paragraphs(lines), _Scanner(text, start).block())


def _paragraphs(lines: list[str]) -> list[str]:
    """Part the first comment at blank lines and at labels that begin a line; tables keep theirs."""
    paragraphs = [""]
    was_set_in = False
    for line in lines:
        labelled = re.match(r"[A-Z][a-z]+( \([a-z ]+\))?: ", line + " ")
        if not line.strip() or labelled:
            paragraphs.append("")
        is_set_in = line.startswith("    ")
        between = "\n" if is_set_in or was_set_in else " "
        paragraphs[-1] += between + (line[4:] if is_set_in else line.strip())
        was_set_in = is_set_in
    return [text.strip() for text in paragraphs if text.strip()]


class _Scanner:
    """Goes through the text of a header, declaration by declaration."""

    def __init__(self, text: str, place: int) -> None:
        self.text = text
        self.place = place

    def block(self) -> list[Declaration]:
        """Read declarations up to the closing brace, the private part or the end."""
        found: list[Declaration] = []
        doc: list[str] = []
        while self.place < len(self.text) and self.text[self.place] != "}":
            if match := _DOC.match(self.text, self.place):
                doc.append(match[1])
                self.place = match.end()
            elif match := _SKIPPED.match(self.text, self.place):
                if match[0].count("\n") > 1:
                    doc = []
                self.place = match.end()
            elif _PRIVATE.match(self.text, self.place):
                self.place = self._behind_brackets(self.place, "}") - 1
            elif match := _NAMESPACE.match(self.text, self.place):
                self.place = match.end()
                found.append(Declaration("namespace", match[1] or "", " ".join(doc), self.block()))
                self.place += 1
                doc = []
            else:
                found.append(self._declaration(" ".join(doc)))
                doc = []
        return found

    def _declaration(self, doc: str) -> Declaration:
        start = self.place
        end = self._next(start, ";{")
        head = self.text[start:end]
        kind = _TYPE.match(head)
        members: list[Declaration] = []
        if kind and self.text[end] == "{":
            self.place = end + 1
            members = self._enumerators() if "enum" in kind[1] else self.block()
            self.place = self._next(self.place + 1, ";") + 1
        else:
            kind = None if "(" in head else kind
            is_function = _is_function(head)
            if self.text[end] == "{" and not is_function:  # a value with its braces
                end = self._next(self._behind_brackets(end + 1, "}"), ";")
                head = self.text[start:end]
            elif self.text[end] == "{":
                end = self._behind_brackets(end + 1, "}") - 1
            self.place = end + 1
        while match := _BEHIND.match(self.text, self.place):
            doc = f"{doc} {match[1]}".strip()
            self.place = match.end()
        if kind:
            name = "enum" if "enum" in kind[1] else kind[1]
        else:
            name = "function" if _is_function(head) else "value"
        return Declaration(name, _one_line(head), doc, members)

    def _enumerators(self) -> list[Declaration]:
        end = self._behind_brackets(self.place, "}") - 1
        body = self.text[self.place : end]
        self.place = end
        found: list[Declaration] = []
        for line in body.splitlines():
            code, _, doc = line.partition("///<")
            names = [name.strip() for name in code.partition("//")[0].split(",") if name.strip()]
            if not names and doc and found:
                last = found.pop()
                found.append(Declaration("enumerator", last.code, f"{last.doc} {doc.strip()}"))
            found += [Declaration("enumerator", name, doc.strip()) for name in names]
        return found

    def _next(self, place: int, wanted: str) -> int:
        """Find the next of some characters outside brackets, strings and comments."""
        while place < len(self.text) and self.text[place] not in wanted:
            if match := _QUOTED.match(self.text, place):
                place = match.end()
            elif self.text[place] in _OPENING:
                closing = _CLOSING[_OPENING.index(self.text[place])]
                place = self._behind_brackets(place + 1, closing)
            else:
                place += 1
        return place

    def _behind_brackets(self, place: int, closing: str) -> int:
        return self._next(place, closing) + 1


def _is_function(head: str) -> bool:
    if re.match(
        r"(?:template\s*<.*>\s*)?using |(?:static |inline )*constexpr \w+ \w+ =", head, re.DOTALL
    ):
        return False
    bare = head
    while (inner := re.sub(r"<[^<>]*>", "", bare)) != bare:  # a template's arguments may have (
        bare = inner
    return "(" in bare


def _one_line(code: str) -> str:
    code = re.sub(r"//[^\n]*", "", code)
    code = re.sub(r"\[\[nodiscard\]\]\s*|\binline\s+(?!constexpr)", "", code)
    return re.sub(r"\s+", " ", code).strip()
