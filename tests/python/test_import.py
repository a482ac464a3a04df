"""`import layshaft` brings in numpy and nothing else, and so does the first launch after it.

What that takes is told by `tests/bench/answers.py`; what it must not take is a package too many.
"""

import subprocess
import sys

import layshaft
import pytest

SCRIPT = """
import sys
before = {name.partition(".")[0] for name in sys.modules} | sys.stdlib_module_names
import layshaft
run = layshaft.launch(layshaft.demo_car())
repr(run), run.energy
layshaft.Car({"two_speed.gap": 0.0043, "first.pinion": 16})
after = {name.partition(".")[0] for name in sys.modules}
print(*sorted(after - before))
print(*sorted(name for name in sys.modules if name.startswith("layshaft.")))
"""
#: Rooms of the package that a launch has no use for.
UNUSED = ("advice", "cli", "logbook", "page", "plots", "reports")


def test_import_and_first_launch_bring_in_numpy_and_nothing_else() -> None:
    run = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True)
    packages, rooms = run.stdout.splitlines()
    assert packages.split() == ["layshaft", "numpy"]
    assert not [room for room in rooms.split() if room.split(".")[1] in UNUSED]


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
