"""The line of every key is found, in every form that TOML allows."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from layshaft.setup.toml_lines import KeyPath, key_lines

DOCUMENT = r'''# a = 1, not a key
top = 1 # b = 2

[one] # [two]
"quoted key" = "text # [three]\" x = 4"
'literal.key' = 'c:\'
dotted . "part" . deep = 5
inline = { x = 1, y.z = [ 1,
  2 ], "w" = { v = "}" } }
array = [ # comment ]
  ["10 krpm", "0.25 N*m"],

  [2, 3], { q = "]" },
]
long = """
a = 7
\""" b = 8
""""
literal = \'\'\'
c = "9\'\'\'\'
date = 1979-05-27 07:32:00 # d = 1
float = -4.3e-3
[one.sub]
k = true
[[tables]]
n = 1
[[tables]]
n = 2
last = "x"'''.replace(r"\'", "'")

LINES = {
    ("top",): 2,
    ("one",): 4,
    ("one", "quoted key"): 5,
    ("one", "literal.key"): 6,
    ("one", "dotted"): 7,
    ("one", "dotted", "part"): 7,
    ("one", "dotted", "part", "deep"): 7,
    ("one", "inline"): 8,
    ("one", "inline", "x"): 8,
    ("one", "inline", "y"): 8,
    ("one", "inline", "y", "z"): 8,
    ("one", "inline", "y", "z", 0): 8,
    ("one", "inline", "y", "z", 1): 9,
    ("one", "inline", "w"): 9,
    ("one", "inline", "w", "v"): 9,
    ("one", "array"): 10,
    ("one", "array", 0): 11,
    ("one", "array", 0, 0): 11,
    ("one", "array", 0, 1): 11,
    ("one", "array", 1): 13,
    ("one", "array", 1, 0): 13,
    ("one", "array", 1, 1): 13,
    ("one", "array", 2): 13,
    ("one", "array", 2, "q"): 13,
    ("one", "long"): 15,
    ("one", "literal"): 19,
    ("one", "date"): 21,
    ("one", "float"): 22,
    ("one", "sub"): 23,
    ("one", "sub", "k"): 24,
    ("tables",): 25,
    ("tables", 0): 25,
    ("tables", 0, "n"): 26,
    ("tables", 1): 27,
    ("tables", 1, "n"): 28,
    ("tables", 1, "last"): 29,
}


def test_keys_are_found_in_every_form() -> None:
    tomllib.loads(DOCUMENT)  # it is TOML
    assert key_lines(DOCUMENT) == LINES


def test_line_ends_of_other_systems_count_once() -> None:
    assert key_lines(DOCUMENT.replace("\n", "\r\n")) == LINES


@pytest.mark.parametrize("text", ["", "\n", "# only a comment"])
def test_no_key_no_line(text: str) -> None:
    assert key_lines(text) == {}


# A key and a value in several ways to write them; each key stands on a line of its own.
KEY = st.text("ab.\" #=[]'é", min_size=1, max_size=4)
TEXT = st.text("a\"'\\#=[]{},.\n ", max_size=6)
VALUE = st.recursive(
    st.one_of(st.integers(), st.booleans(), st.floats(allow_nan=False), TEXT),
    lambda inner: st.lists(inner, max_size=3),
    max_leaves=6,
)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'


def _literal(value: object, *, over_lines: bool) -> str:
    if isinstance(value, list):
        gap = " # ], }\n" if over_lines else ""
        inner = f",{gap}".join(_literal(each, over_lines=over_lines) for each in value)
        return f"[{gap}{inner}{gap}]"
    if isinstance(value, str) and over_lines:
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"""\n{escaped}"""'
    if isinstance(value, str):
        return _quoted(value)
    return str(value).lower()


@given(
    tables=st.dictionaries(KEY, st.dictionaries(KEY, VALUE, max_size=3), max_size=3),
    over_lines=st.booleans(),
    inline=st.booleans(),
)
def test_exactly_the_keys_that_tomllib_reads_are_found(
    tables: dict[str, dict[str, object]], *, over_lines: bool, inline: bool
) -> None:
    text = ""
    lines: dict[KeyPath, int] = {}
    for name, entries in tables.items():
        lines[(name,)] = text.count("\n") + 1
        text += f"{_quoted(name)} = {{" if inline else f"[ {_quoted(name)} ]\n"
        for position, (key, value) in enumerate(entries.items()):
            text += ", " if inline and position else ""
            lines[(name, key)] = text.count("\n") + 1
            text += f"{_quoted(key)} = {_literal(value, over_lines=over_lines)}"
            text += "" if inline else " # x = 1\n"
        text += "}\n" if inline else ""
    assert tomllib.loads(text) == tables
    found = {key: line for key, line in key_lines(text).items() if int not in map(type, key)}
    assert found == lines
