"""What `tomllib` does not tell of a TOML document: the line of each key, and how deep keys go.

Lines are found in text that `tomllib` has accepted: what it has checked is not checked again.
"""

import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

#: Keys from the outermost table inwards; an integer is a position in an array.
KeyPath = tuple[str | int, ...]

_TOKEN = re.compile(
    r"""(?P<skip>[ \t]+|\#[^\n]*)
      | (?P<newline>\n)
      | (?P<long>\"{3}(?:\\.|[^\\])*?\"{3}(?!\")|'{3}.*?'{3}(?!'))
      | (?P<quoted>\"(?:\\.|[^\"\\])*\"|'[^']*')
      | (?P<mark>[][{}=,.])
      | (?P<bare>[^][{}=,.\s\"'\#]+)""",
    re.VERBOSE | re.DOTALL,
)
#: What begins with one and does not end is no short string.
_LONG_QUOTES = ('"' * 3, "'" * 3)


#: Far beyond any document of this package; reading a key takes the square of its parts.
MOST_PARTS = 20


class _Token(NamedTuple):
    kind: str
    text: str
    line: int


def key_lines(text: str) -> dict[KeyPath, int]:
    r"""Find the line, counted from 1, of each key and array element of a valid TOML document.

    Examples
    --------
    >>> key_lines('[first]\npinion = 16\nmodule = "0.8 mm"\n')
    {('first',): 1, ('first', 'pinion'): 2, ('first', 'module'): 3}
    >>> key_lines("[[segment]]\nstraight = 5\n")
    {('segment',): 1, ('segment', 0): 1, ('segment', 0, 'straight'): 2}
    """
    return _Scan(text.replace("\r\n", "\n")).document()


def line_of_endless_key(text: str) -> int | None:
    r"""Find the line of the first key with more than `MOST_PARTS` parts, before the text is read.

    What is no TOML is looked at up to its first fault, and so as far as `tomllib` reads it.

    Examples
    --------
    >>> line_of_endless_key("a.b = 1\n" + ".".join("k" * 30) + " = 1\n")
    2
    >>> line_of_endless_key('note = "a.b.c"  # ' + ".".join("k" * 30))
    """
    parts = 1
    try:
        for token in _tokens(text):
            if token.kind == "mark" and token.text == ".":
                parts += 1
            elif token.kind not in ("bare", "quoted"):
                parts = 1
            if parts > MOST_PARTS:
                return token.line
    except _NotTomlError:
        pass
    return None


class _NotTomlError(AssertionError):
    """A letter where no token of TOML begins."""


def _tokens(text: str) -> Iterator[_Token]:
    line = 1
    position = 0
    while position < len(text):
        found = _TOKEN.match(text, position)
        if found is None or (found["quoted"] and text.startswith(_LONG_QUOTES, position)):
            raise _NotTomlError(f"line {line} is not TOML")
        if found.lastgroup != "skip":
            yield _Token(found.lastgroup or "", found.group(), line)
        line += found.group().count("\n")
        position = found.end()
    yield _Token("newline", "", line)


class _Scan:
    """One pass over the tokens, with one token looked at in advance."""

    def __init__(self, text: str) -> None:
        self._rest = _tokens(text)
        self._next: _Token | None = next(self._rest)
        self._lines: dict[KeyPath, int] = {}
        self._counts: Counter[KeyPath] = Counter()  # elements of arrays of tables

    def document(self) -> dict[KeyPath, int]:
        table: KeyPath = ()
        while self._next:
            if self._at("newline"):
                self._take()
            elif self._at("mark", "["):
                table = self._header()
            else:
                self._entry(table)
        return self._lines

    def _header(self) -> KeyPath:
        line = self._take().line
        is_element = self._at("mark", "[")
        self._skip_marks("[")
        table = self._key(())
        self._skip_marks("]")
        if is_element:
            position = self._counts[table]
            self._counts[table] += 1
            table = (*table, position)
            self._lines[table] = line
        return table

    def _entry(self, table: KeyPath) -> None:
        key = self._key(table)
        self._take()  # =
        self._value(key)

    def _key(self, table: KeyPath) -> KeyPath:
        key = table
        while True:
            token = self._take()
            quoted = token.kind == "quoted"
            name = tomllib.loads(f"name = {token.text}")["name"] if quoted else token.text
            key = (*key, name)
            self._lines.setdefault(key, token.line)
            if not self._at("mark", "."):
                return key
            self._take()

    def _value(self, key: KeyPath) -> None:
        if self._at("mark", "{"):
            self._list(key, "}")
        elif self._at("mark", "["):
            self._list(key, "]")
        else:
            while not (self._at("newline") or self._at("mark", ",]}")):
                self._take()

    def _list(self, key: KeyPath, end: str) -> None:
        self._take()
        position = 0
        while not self._at("mark", end):
            if self._at("newline") or self._at("mark", ","):
                self._take()
            elif end == "}":
                self._entry(key)
            else:
                element = (*key, position)
                self._lines.setdefault(element, self._next.line if self._next else 0)
                self._value(element)
                position += 1
        self._take()

    def _at(self, kind: str, marks: str = "") -> bool:
        token = self._next
        return token is not None and token.kind == kind and (not marks or token.text in marks)

    def _skip_marks(self, mark: str) -> None:
        while self._at("mark", mark):
            self._take()

    def _take(self) -> _Token:
        token = self._next
        if token is None:
            raise AssertionError("the document ends too early")
        self._next = next(self._rest, None)
        return token
