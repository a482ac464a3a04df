"""Objects on their way between processes, and interpreters beside the main one."""

import pickle
import subprocess
import sys

import layshaft
import pytest
from layshaft import _core

#: Far more than an import takes on a busy machine [s]; where it hung it hung for ever.
PATIENCE = 60.0

PICKLED = """
import pickle, sys
import layshaft

car = layshaft.Car({"first.pinion": 16, "engine.torque": [(100.0, 0.1), (3000.0, 0.2)]})
for thing in (car, car.two_speed, car._core, layshaft.demo_track("club")):
    assert pickle.loads(pickle.dumps(thing, int(sys.argv[1]))) == thing
for thing in (layshaft.fields()[0], layshaft._core.LapOptions, layshaft._core.paired_fields()[0]):
    try:
        pickle.dumps(thing, int(sys.argv[1]))
    except (TypeError, pickle.PicklingError) as error:
        assert "pickle" in str(error)
"""


@pytest.mark.parametrize("protocol", range(pickle.HIGHEST_PROTOCOL + 1))
def test_every_protocol_of_pickle_carries_a_car(protocol: int) -> None:
    # In a process of its own, which protocols 0 and 1 ended.
    done = subprocess.run(
        [sys.executable, "-c", PICKLED, str(protocol)],
        capture_output=True,
        text=True,
        timeout=PATIENCE,
    )
    assert done.returncode == 0, done.stderr


def test_all_that_is_bound_knows_how_it_is_taken_apart() -> None:
    bound = [each for each in vars(_core).values() if isinstance(each, type)]
    assert len(bound) > 10
    for each in bound:
        assert "__reduce_ex__" in vars(each), each


SUBINTERPRETER = """
import sys
try:
    import _interpreters as interpreters
except ImportError:
    import _xxsubinterpreters as interpreters
beside = interpreters.create()
code = '''
try:
    import layshaft
except ImportError as error:
    import os
    os.write(1, str(error).encode())
'''
interpreters.run_string(beside, code)
import layshaft
print("\\n", layshaft.__version__)
"""


def test_a_subinterpreter_is_told_at_once_that_it_is_not_supported() -> None:
    done = subprocess.run(
        [sys.executable, "-c", SUBINTERPRETER], capture_output=True, text=True, timeout=PATIENCE
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("layshaft does not support subinterpreters")
    assert done.stdout.split()[-1] == layshaft.__version__  # the main one goes on
