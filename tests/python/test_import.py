"""`import layshaft` is quick and brings in nothing that it does not need."""

import subprocess
import sys

import layshaft

LIMIT = 0.3  # [s] what a person at a prompt does not notice
SCRIPT = """
import sys, time
begin = time.perf_counter()
import layshaft
took = time.perf_counter() - begin
slow = {"matplotlib", "numpy", "pint", "xarray", "netCDF4", "rich"} & set(sys.modules)
print(took, *slow)
layshaft.Car({"two_speed.gap": 0.0043, "first.pinion": 16})
print(*{"matplotlib", "pint", "xarray"} & set(sys.modules))
"""


def test_the_import_is_quick_and_plain_numbers_need_no_pint() -> None:
    run = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True)
    first, second = run.stdout.splitlines()
    took, *slow = first.split()
    assert float(took) < LIMIT
    assert not slow
    assert not second


def test_every_public_name_is_there() -> None:
    for name in layshaft.__all__:
        assert getattr(layshaft, name) is not None
    assert set(layshaft.__all__) <= set(dir(layshaft))
    assert not hasattr(layshaft, "no_such_name")
