"""`import layshaft` is quick, and so is the first launch after it.

Times are of the processor: what else runs on the machine does not count.
"""

import subprocess
import sys

import layshaft
import pytest

LIMIT = 0.3  #: What a person at a prompt does not notice [s].
FIRST = 0.03  #: The first answer: a launch itself takes some milliseconds [s].
SCRIPT = """
import sys, time
begin = time.process_time()
import layshaft
import pytest
imported = time.process_time()
run = layshaft.launch(layshaft.demo_car())
repr(run), run.energy
print(imported - begin, time.process_time() - imported)
layshaft.Car({"two_speed.gap": 0.0043, "first.pinion": 16})
print(*{"matplotlib", "netCDF4", "pint", "rich", "scipy", "xarray"} & set(sys.modules))
"""


def test_import_and_first_launch_are_quick_and_bring_in_nothing_else() -> None:
    run = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True)
    times, slow = run.stdout.splitlines()
    imported, first = map(float, times.split())
    assert imported < LIMIT
    assert first < FIRST
    assert not slow


def test_every_public_name_is_there() -> None:
    for name in layshaft.__all__:
        assert getattr(layshaft, name) is not None
    assert set(layshaft.__all__) <= set(dir(layshaft))
    assert not hasattr(layshaft, "no_such_name")


#: Run as `layshaft`; then tells which of the slow packages that took.
COMMAND = """
import sys
from layshaft.cli.main import main
try:
    main()
finally:
    print(*SLOW & set(sys.modules), file=sys.stderr)
"""
#: Each takes longer to import than a launch, its table and its sentences take together.
SLOW = {"matplotlib", "netCDF4", "pandas", "pint", "scipy", "xarray"}


@pytest.mark.parametrize("verb", ["launch", "recommend", "sweep"])
def test_an_answer_without_a_picture_brings_in_nothing_slow(verb: str) -> None:
    script = COMMAND.replace("SLOW", repr(SLOW))
    command = [sys.executable, "-c", script, verb]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stderr == "\n"
    assert "Estimates: " in done.stdout
