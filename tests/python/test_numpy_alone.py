"""The library runs where nothing but numpy is installed beside it."""

import json
import subprocess
import sys

import layshaft
import pytest

# Refuses every package but these, as an environment does where they are not installed.
ALONE = """
import importlib.abc, json, sys

class NotInstalled(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path=None, target=None):
        top = name.partition(".")[0]
        if top not in {"layshaft", "numpy"} | sys.stdlib_module_names:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)

# An editable install has its own finder, which must still be asked.
sys.meta_path.insert(0, NotInstalled())
"""

LAUNCH = """
import layshaft
run = layshaft.launch(layshaft.demo_car(), distance=60.0)
print(json.dumps([run.arrays["time_to_distance"][-1].hex(), repr(run), run.energy]))
print(json.dumps(run.arrays["car_speed"][-1].hex()))
"""


def alone(script: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", ALONE + script], capture_output=True, text=True)


def test_the_demo_launch_gives_the_same_time_to_60_m() -> None:
    done = alone(LAUNCH)
    assert done.returncode == 0, done.stderr
    (time, shown, energy), speed = map(json.loads, done.stdout.splitlines())
    run = layshaft.launch(layshaft.demo_car(), distance=60.0)
    # The same bits: nothing of the numerics lies in what is not installed.
    assert time == run.times.sel(distance=60.0).item().hex()
    assert speed == run.samples.car_speed[-1].item().hex()
    assert shown == repr(run)
    assert energy == run.energy


def test_the_guard_of_this_test_works() -> None:
    assert "No module named 'scipy'" in alone("import scipy").stderr


@pytest.mark.parametrize(
    ("script", "says"),
    [
        (
            "run = layshaft.launch(layshaft.demo_car(), distance=5.0); run.times",
            "`arrays` of a run",
        ),
        ('layshaft.Car({"two_speed.gap": "4.3e6 nm"})', "a plain number in SI units does not"),
    ],
)
def test_what_needs_more_says_so(script: str, says: str) -> None:
    assert says in alone(f"import layshaft; {script}").stderr.splitlines()[-1]


def test_settings_can_be_changed_and_refused() -> None:
    script = """
import layshaft
car = layshaft.demo_car().replace({"two_speed.gap": 0.0046, "first.pinion": 16})
assert car["two_speed.shoe_1.gap"] == 0.0046
try:
    car.replace({"first.pinion": 7})
except ValueError as error:
    print(error)
"""
    assert "first.pinion" in alone(script).stdout
