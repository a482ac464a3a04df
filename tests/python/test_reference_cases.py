"""Every folder of `reference-cases` with a `case.toml`: the library against its expected values.

A case is data: `case.toml` says what to run and how closely each quantity must agree, and why;
`make_expected.py` made `expected.csv` without this library. A case added needs no code here.
"""

import csv
import fnmatch
import subprocess
import sys
import tomllib
from pathlib import Path

import layshaft
import numpy as np
import pytest
from layshaft.runs import described

FOLDER = Path(__file__).parents[2] / "reference-cases"
CASES = sorted(path.parent.name for path in FOLDER.glob("*/case.toml"))

# A step of the library; ten times above round-off, so that its global error is the solver's.
LIBRARY_TOLERANCE = 1e-12
LIBRARY_STEPS = 5_000_000
#: Changes no further apart than this follow from one another [s]: round-off of a located root.
ONE_INSTANT = 1e-12

# A closed form worked out anew, perhaps by another maker's sine: some units in the last place.
REMADE_CLOSED_FORM = 1e-12
# A launch made anew at 1e-8 a step, to take seconds: some ten times the global error seen.
REMADE_STEP, REMADE_LAUNCH = "1e-8", 1e-6


def read_case(name):
    return tomllib.loads((FOLDER / name / "case.toml").read_text())


def read_table(path):
    with path.open(newline="") as file:
        rows = list(csv.DictReader(file))
    return {row["quantity"]: float(row["value"]) for row in rows}, [row["quantity"] for row in rows]


def run_launch(name, case):
    car = layshaft.read_car(FOLDER / name / case["car"]).replace(case.get("changes", {}))
    run = layshaft.launch(
        car, tolerance=LIBRARY_TOLERANCE, most_steps=LIBRARY_STEPS, **case["options"]
    )
    found = {
        f"change {number}: {change.part} {change.was} to {change.now}": change.time
        for number, change in enumerate(run.changes, 1)
    }
    for mark, time, speed in zip(run.times.distance, run.times, run.speeds, strict=True):
        found[f"time to {mark:g} m"] = float(time)
        found[f"speed at {mark:g} m"] = float(speed)
    found |= {scalar: float(value) for scalar, value in run.scalars.items()}
    for variable, values in run.samples.items():
        for time, value in zip(run.samples.time, values, strict=True):
            found[f"at {time:g} s: {variable}"] = float(value)
    return found


def run_network(_name, case):
    def law(value):
        return described.TimeLaw(**value)

    bodies = {
        name: described.Body(**body | {"torque": law(body.get("torque", {}))})
        for name, body in case["bodies"].items()
    }
    couplings = {
        name: described.Coupling(**coupling | {"pressure": law(coupling.get("pressure", {}))})
        for name, coupling in case["couplings"].items()
    }
    run = described.run_described(
        bodies, couplings, times=case["times"], tolerance=LIBRARY_TOLERANCE
    )
    assert run.status == "finished"
    found = {
        f"change {number}: {change.coupling} {change.was} to {change.now}": change.time
        for number, change in enumerate(run.changes, 1)
    }
    for what, table in (("speed", run.speeds), ("angle", run.angles), ("loss", run.losses)):
        for part, values in table.items():
            for time, value in zip(run.times, values, strict=True):
                found[f"at {time:g} s: {part} {what}"] = float(value)
    return found


def numbered(table):
    """Return a table with its changes numbered anew, those of one instant in order of name."""
    changes = [
        (quantity.partition(": ")[2], time)
        for quantity, time in table.items()
        if quantity.startswith("change ")
    ]
    instants = []
    for name, time in changes:
        if not instants or time > instants[-1][0][1] + ONE_INSTANT:
            instants.append([])
        instants[-1].append((name, time))
    ordered = [each for instant in instants for each in sorted(instant)]
    rest = {name: value for name, value in table.items() if not name.startswith("change ")}
    return {f"change {n}: {name}": time for n, (name, time) in enumerate(ordered, 1)} | rest


RUNNERS = {"launch": run_launch, "network": run_network}


def allowed(case, quantity, expected):
    """Return the allowed difference: of the first entry of `compare` whose pattern it matches."""
    for entry in case["compare"]:
        if any(fnmatch.fnmatchcase(quantity, pattern) for pattern in entry["quantities"]):
            assert entry["reason"]
            return entry.get("absolute", 0.0) + entry.get("relative", 0.0) * abs(expected)
    raise AssertionError(f"no tolerance is stated for {quantity!r}")


@pytest.mark.parametrize("name", CASES)
def test_the_library_agrees_with_the_expected_values(name):
    case = read_case(name)
    expected, _ = read_table(FOLDER / name / "expected.csv")
    expected = numbered(expected)
    found = numbered(RUNNERS[case["kind"]](name, case))

    changes = [quantity for quantity in expected if quantity.startswith("change ")]
    assert [quantity for quantity in found if quantity.startswith("change ")] == changes
    assert not set(expected) - set(found)
    off = {
        quantity: (value, found[quantity], found[quantity] - value)
        for quantity, value in expected.items()
        if not abs(found[quantity] - value) <= allowed(case, quantity, value)
    }
    assert not off


@pytest.mark.parametrize("name", CASES)
def test_expected_values_are_what_their_script_makes(name, tmp_path):
    case = read_case(name)
    is_launch = case["kind"] == "launch"
    options = ["--tolerance", REMADE_STEP] if is_launch else []
    script = FOLDER / name / "make_expected.py"
    made = tmp_path / "expected.csv"
    subprocess.run([sys.executable, script, made, *options], check=True)

    expected, order = read_table(FOLDER / name / "expected.csv")
    remade, remade_order = read_table(made)
    assert remade_order == order
    within = REMADE_LAUNCH if is_launch else REMADE_CLOSED_FORM
    for quantity, value in expected.items():
        assert remade[quantity] == pytest.approx(value, rel=within, abs=within), quantity


@pytest.mark.parametrize("name", CASES)
def test_expected_values_agree_with_what_was_printed(name):
    expected, _ = read_table(FOLDER / name / "expected.csv")
    for printed in read_case(name).get("printed", []):
        assert printed["source"]
        off = abs(expected[printed["quantity"]] - printed["value"])
        assert off <= printed["within"], printed


@pytest.mark.parametrize("path", sorted(FOLDER.rglob("*.py")), ids=lambda path: path.parent.name)
def test_no_script_imports_this_library(path):
    assert "import layshaft" not in path.read_text()
    assert "from layshaft" not in path.read_text()


def test_every_case_is_complete():
    assert CASES
    for name in CASES:
        assert (FOLDER / name / "make_expected.py").is_file()
        assert (FOLDER / name / "expected.csv").is_file()


def test_a_wrong_number_is_noticed():
    # Friction a ten-thousandth higher: the times move by far more than any tolerance.
    name = "coast-down"
    case = read_case(name)
    case["couplings"]["rolling"]["pressure"]["constant"] *= 1.0001
    found = run_network(name, case)
    expected, _ = read_table(FOLDER / name / "expected.csv")
    quantity = "change 1: rolling slip_positive to stuck"
    off = abs(found[quantity] - expected[quantity])
    assert off > allowed(case, quantity, expected[quantity])
    assert np.isfinite(off)
