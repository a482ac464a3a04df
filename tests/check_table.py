"""Make the tables of published checks from the C++ tests' own reports.

    python tests/check_table.py build/tests/tests/cpp/layshaft_tests            # rewrites the table
    python tests/check_table.py build/tests/tests/cpp/layshaft_tests --check    # compares instead

Each row was recorded by a test; nothing here computes a value. What a row names as computing its
value must be declared in the library's headers.
"""

import argparse
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from pathlib import Path
from typing import NamedTuple

TABLE = Path(__file__).with_name("published-checks.md")
HEADERS = Path(__file__).parents[1] / "cpp" / "include" / "layshaft"
HEADING = """# Published checks

Made by `tests/check_table.py` from the report of the C++ tests; every row is asserted there.
"How sure": a value *printed* in the source or in a page that reproduces it; the output of a
*companion script* of that numbered example; recalled *from memory*; *derived*: an exact closed form
or an independent numerical result. "Computed by": functions of the library, and after a semicolon
what the test did to their result.

| check | quantity | source | how sure | expected | computed | difference | allowed | computed by |
|---|---|---|---|---|---|---|---|---|
"""
MISSED = """
## Printed values that are not met

The library misses these by more than the printed digits leave open; a test asserts that it does.

| check | quantity | source | how sure | printed | computed | difference | open | by | because |
|---|---|---|---|---|---|---|---|---|---|
"""
LEFT = """
## Printed values that the library does not compute

They stand in the same examples and are no check of the library.

| check | quantity | source | printed | because |
|---|---|---|---|---|
"""


class Row(NamedTuple):
    """One check as a test recorded it."""

    check: str
    quantity: str
    source: str
    seen: str
    law: str
    expected: float
    computed: float
    allowed: float
    why: str = ""


class LeftOut(NamedTuple):
    """A printed value that nothing in the library computes."""

    check: str
    quantity: str
    source: str
    printed: str
    why: str


def sort_key(row: Row | LeftOut) -> tuple[str, int, str, str]:
    """Order C2 before C10, then by quantity."""
    digits = "".join(c for c in row.check if c.isdigit())
    letters = row.check.rstrip("0123456789abc-")
    return (letters, int(digits) if digits else 0, row.check, row.quantity)


def read_rows(report: Path) -> dict[str, list[Row] | list[LeftOut]]:
    """Collect what a test report recorded: checks, values missed, values left out."""
    rows = {"check": set(), "missed": set(), "left": set()}
    for item in ElementTree.parse(report).iter("property"):
        kind, _, name = item.attrib["name"].partition("|")
        if kind not in rows:
            continue
        check, _, quantity = name.partition("|")
        cells = item.attrib["value"].split("|")
        if kind == "left":
            rows[kind].add(LeftOut(check, quantity, *cells))
        else:
            source, seen, law, *numbers = cells[:6]
            numbers = map(float, numbers)
            rows[kind].add(Row(check, quantity, source, seen, law, *numbers, *cells[6:]))
    return {kind: sorted(found, key=sort_key) for kind, found in rows.items()}


def unknown_laws(rows: list[Row]) -> list[str]:
    """List the rows that name what no header of the library declares."""
    text = "".join(path.read_text(encoding="utf-8") for path in sorted(HEADERS.rglob("*.hpp")))
    declared = set(re.findall(r"\w+", text))
    return [
        f"{row.check}, {row.quantity}: computed by {row.law!r}"
        for row in rows
        if not declared.issuperset(row.law.partition(";")[0].split(", "))
    ]


def format_row(row: Row) -> str:
    """Write a row of the table; the computed value stands with the digits of the tolerance."""
    difference = abs(row.computed - row.expected)
    return (
        f"| {row.check} | {row.quantity} | {row.source} | {row.seen} | {row.expected:.10g} | "
        f"{row.computed:.10g} | {difference:.1e} | {row.allowed:.1e} | {row.law} |"
        f"{f' {row.why} |' if row.why else ''}\n"
    )


def format_tables(rows: dict[str, list[Row] | list[LeftOut]]) -> str:
    """Write the whole document."""
    left = "".join(f"| {' | '.join(row)} |\n" for row in rows["left"])
    checks, missed = ("".join(map(format_row, rows[kind])) for kind in ("check", "missed"))
    return f"{HEADING}{checks}{MISSED}{missed}{LEFT}{left}"


def without_round_off(text: str) -> list[list[str]]:
    """Return the lines without computed value and difference, which change with the compiler."""
    cells = [line.split(" | ") for line in text.splitlines()]
    return [row[:5] + row[7:] if len(row) > 6 else row for row in cells]


def main() -> int:
    """Write or compare the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("program", type=Path, help="the built layshaft_tests")
    parser.add_argument("--check", action="store_true", help="compare the checks, change nothing")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        command = [options.program.resolve(), f"--gtest_output=xml:{report}", "--gtest_brief=1"]
        if subprocess.run(command, check=False, stdout=subprocess.DEVNULL).returncode != 0:
            print("the tests failed; the table is left as it is", file=sys.stderr)
            return 1
        rows = read_rows(report)
    if unknown := unknown_laws(rows["check"] + rows["missed"]):
        print("not in the library's headers:", *unknown, sep="\n", file=sys.stderr)
        return 1
    text = format_tables(rows)
    if not options.check:
        TABLE.write_text(text, encoding="utf-8")
        checks = rows["check"]
        print(
            f"{len(checks)} checks from {len({row.check for row in checks})} examples in "
            f"{TABLE.name}; {len(rows['missed'])} not met, {len(rows['left'])} left out"
        )
        return 0
    if without_round_off(TABLE.read_text(encoding="utf-8")) == without_round_off(text):
        return 0
    print(f"{TABLE.name} is out of date: run tests/check_table.py", file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main())
