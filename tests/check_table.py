"""Make the table of published checks from the C++ tests' own reports.

    python tests/check_table.py build/tests/tests/cpp/layshaft_tests            # rewrites the table
    python tests/check_table.py build/tests/tests/cpp/layshaft_tests --check    # compares instead

Each row was recorded by `check_published` in a test that asserts it; nothing here computes a value.
"""

import argparse
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from pathlib import Path
from typing import NamedTuple

TABLE = Path(__file__).with_name("published-checks.md")
HEADING = """# Published checks

Made by `tests/check_table.py` from the report of the C++ tests; every row is asserted there.
"How sure": a value *printed* in the source or in a page that reproduces it; the output of a
*companion script* of that numbered example; recalled *from memory*; *derived*: an exact closed form
or an independent numerical result.

| check | quantity | source | how sure | expected | computed | difference | allowed |
|---|---|---|---|---|---|---|---|
"""


class Row(NamedTuple):
    """One check as a test recorded it."""

    check: str
    quantity: str
    source: str
    seen: str
    expected: float
    computed: float
    allowed: float


def sort_key(row: Row) -> tuple[str, int, str, str]:
    """Order C2 before C10, then by quantity."""
    digits = "".join(c for c in row.check if c.isdigit())
    letters = row.check.rstrip("0123456789abc-")
    return (letters, int(digits) if digits else 0, row.check, row.quantity)


def read_rows(report: Path) -> list[Row]:
    """Collect the recorded checks of a test report."""
    rows = set()
    for item in ElementTree.parse(report).iter("property"):
        kind, _, name = item.attrib["name"].partition("|")
        if kind != "check":
            continue
        check, _, quantity = name.partition("|")
        source, seen, *numbers = item.attrib["value"].rsplit("|", 4)
        rows.add(Row(check, quantity, source, seen, *(float(n) for n in numbers)))
    return sorted(rows, key=sort_key)


def format_row(row: Row) -> str:
    """Write a row of the table; the computed value stands with the digits of the tolerance."""
    difference = abs(row.computed - row.expected)
    return (
        f"| {row.check} | {row.quantity} | {row.source} | {row.seen} | {row.expected:.10g} | "
        f"{row.computed:.10g} | {difference:.1e} | {row.allowed:.1e} |\n"
    )


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
    if not options.check:
        TABLE.write_text(HEADING + "".join(map(format_row, rows)), encoding="utf-8")
        print(
            f"{len(rows)} checks from {len({row.check for row in rows})} examples in {TABLE.name}"
        )
        return 0
    # Round-off in the difference may change with the compiler; what is checked may not.
    kept = [line.split(" | ")[:5] for line in TABLE.read_text(encoding="utf-8").splitlines()]
    wanted = [format_row(row).split(" | ")[:5] for row in rows]
    if [cells for cells in kept if len(cells) == 5][1:] == wanted:
        return 0
    print(f"{TABLE.name} is out of date: run tests/check_table.py", file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main())
