"""`import layshaft` is quick, and so is the first launch after it.

Times are of the processor: what else runs on the machine does not count.
"""

import subprocess
import sys

import layshaft

LIMIT = 0.3  #: What a person at a prompt does not notice [s].
FIRST = 0.03  #: The first answer: a launch itself takes some milliseconds [s].
SCRIPT = """
import sys, time
begin = time.process_time()
import layshaft
imported = time.process_time()
run = layshaft.launch(layshaft.demo_car())
repr(run), run.energy
print(imported - begin, time.process_time() - imported)
layshaft.Car({"two_speed.gap": "4.3 mm", "first.pinion": 16})
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
