"""What the co-simulation standards demand of a step: its times, its events, its refusals."""

import contextlib
import ctypes
import itertools
import math
import random
import re
import resource
import zlib
from collections.abc import Iterator
from pathlib import Path

import fmpy
import layshaft
import numpy as np
import pytest
from fmpy.fmi1 import FMICallException
from fmpy.fmi2 import FMU2Slave
from fmpy.fmi3 import FMU3Slave
from layshaft import _core

NUMBERS = {variable.name: number for number, variable in enumerate(_core.variables())}
REAL_OUTPUTS = [
    number
    for number, variable in enumerate(_core.variables())
    if variable.role == "output" and variable.kind == "number"
]
DISCARD, ERROR = 2, 3


class Unit:
    """A unit of either version behind the same calls; keeps what it logs."""

    def __init__(self, version: str, folder: Path, car: layshaft.Car | None = None) -> None:
        file = folder / f"{version}.fmu"
        layshaft.write_fmu(car or layshaft.demo_car(), file, fmi=version)
        self.description = fmpy.read_model_description(file)
        self.is_3 = version == "3.0"
        self.logged: list[str] = []
        self.slave = (FMU3Slave if self.is_3 else FMU2Slave)(
            guid=self.description.guid,
            modelIdentifier="layshaft",
            unzipDirectory=fmpy.extract(file, folder / version),
            instanceName="car",
        )

    def instantiate(self, event_mode: bool = False, early_return: bool = False) -> "Unit":
        if self.is_3:
            self.slave.instantiate(
                eventModeUsed=event_mode,
                earlyReturnAllowed=early_return,
                logMessage=lambda _, status, category, text: self.logged.append(text.decode()),
            )
        else:
            callbacks = fmpy.fmi2.fmi2CallbackFunctions()
            callbacks.logger = fmpy.fmi2.fmi2CallbackLoggerTYPE(
                lambda _, name, status, category, text: self.logged.append(text.decode())
            )
            callbacks.allocateMemory = fmpy.fmi2.fmi2CallbackAllocateMemoryTYPE(fmpy.calloc)
            callbacks.freeMemory = fmpy.fmi2.fmi2CallbackFreeMemoryTYPE(fmpy.free)
            self.slave.instantiate(callbacks=callbacks)
        return self

    def start(self, start: float = 0.0, stop: float | None = None) -> "Unit":
        self.prepare(start, stop, None)
        self.slave.exitInitializationMode()
        return self

    def prepare(self, start: float, stop: float | None, tolerance: float | None) -> None:
        if self.is_3:
            self.slave.enterInitializationMode(startTime=start, stopTime=stop, tolerance=tolerance)
        else:
            self.slave.setupExperiment(startTime=start, stopTime=stop, tolerance=tolerance)
            self.slave.enterInitializationMode()

    def set(self, name: str, value: float) -> None:
        if name == "run.own_driver":
            self.slave.setBoolean([NUMBERS[name]], [bool(value)])
        else:
            self.set_reals([NUMBERS[name]], [value])

    def set_reals(self, numbers: list[int], values: list[float]) -> None:
        (self.slave.setFloat64 if self.is_3 else self.slave.setReal)(numbers, values)

    def reals(self, numbers: list[int] = REAL_OUTPUTS) -> list[float]:
        return list((self.slave.getFloat64 if self.is_3 else self.slave.getReal)(numbers))

    def get(self, name: str) -> float:
        return self.reals([NUMBERS[name]])[0]

    def state(self) -> bytes:
        slave = self.slave
        if self.is_3:
            return bytes(slave.serializeFMUState(slave.getFMUState()))
        return bytes(slave.serializeFMUstate(slave.getFMUstate()))

    def load(self, content: bytes) -> None:
        slave = self.slave
        if self.is_3:
            slave.setFMUState(slave.deserializeFMUState(content))
        else:
            slave.setFMUstate(slave.deSerializeFMUstate(content))


@pytest.fixture(params=["2.0", "3.0"])
def unit(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Unit]:
    made = Unit(request.param, tmp_path).instantiate()
    yield made
    made.slave.freeInstance()


@pytest.mark.parametrize(
    ("time", "size", "words"),
    [
        (0.4, 0.01, "currentCommunicationPoint = 0.4 must be the time reached, 0.5"),
        (0.6, 0.01, "currentCommunicationPoint = 0.6 must be the time reached, 0.5"),
        (0.500001, 0.01, "must be the time reached"),
        (math.nan, 0.01, "must be the time reached"),
        (math.inf, 0.01, "must be the time reached"),
        (0.5, 0.0, "communicationStepSize = 0 must be > 0"),
        (0.5, -0.1, "communicationStepSize = -0.1 must be > 0"),
        (0.5, math.nan, "communicationStepSize = nan must be > 0"),
        (0.5, math.inf, "communicationStepSize = inf must be > 0 and finite"),
        (0.5, 1e-300, "must be so long that the time goes on"),
        (0.5, 0.51, "end of the step = 1.01 must be not after stopTime"),
    ],
)
def test_a_step_that_is_none_is_an_error_and_changes_nothing(
    unit: Unit, time: float, size: float, words: str
) -> None:
    unit.start(stop=1.0)
    unit.set("throttle", 1.0)
    unit.slave.doStep(0.0, 0.5)
    before = unit.state(), unit.reals()
    with pytest.raises(FMICallException) as refused:
        unit.slave.doStep(time, size)
    assert refused.value.status == ERROR
    assert words in unit.logged[-1]
    assert (unit.state(), unit.reals()) == before
    unit.slave.doStep(0.5, 0.5)


def test_times_that_others_add_up_are_taken(unit: Unit) -> None:
    unit.start(start=0.3)
    unit.set("throttle", 1.0)
    added = 0.3
    for k in range(3000):
        # In turn as a sum and as a product; they differ by up to 3000 round-offs of 4e-16.
        unit.slave.doStep(added if k % 2 else 0.3 + k * 1e-3, 1e-3)
        added += 1e-3
    native = _core_speed(3.0)
    assert unit.get("car_speed") == pytest.approx(native, rel=1e-9)


def _core_speed(time: float) -> float:
    run = layshaft.launch(
        layshaft.demo_car(), distance=500.0, longest_time=time, pedals=[(0.0, 1.0, 0.0)]
    )
    return run.scalars.end_speed.item()


@pytest.mark.parametrize(
    ("start", "stop", "tolerance"),
    [
        (math.nan, None, None),
        (1e300, None, None),
        (1.0, 0.5, None),
        (0.0, math.nan, None),
        (0.0, None, -1.0),
        (0.0, None, math.nan),
    ],
)
def test_an_experiment_that_is_none_is_an_error(
    unit: Unit, start: float, stop: float | None, tolerance: float | None
) -> None:
    with pytest.raises(FMICallException) as refused:
        unit.prepare(start, stop, tolerance)
    assert refused.value.status == ERROR
    assert not re.match(r"[A-Z]\w*\.", unit.logged[-1])  # no struct of C++
    unit.start()
    unit.slave.doStep(0.0, 0.1)


def test_of_many_values_with_a_bad_one_none_is_set(unit: Unit) -> None:
    numbers = [NUMBERS[name] for name in ("throttle", "brake", "grade")]
    unit.start()
    with pytest.raises(FMICallException):
        unit.set_reals(numbers, [0.5, 0.25, 7.0])
    assert unit.reals(numbers) == [0.0, 0.0, 0.0]


def test_a_discarded_step_changes_nothing(unit: Unit) -> None:
    unit.start()
    good = np.frombuffer(unit.state())
    discarded = 0
    for index in range(1, len(good) - 1):
        spoilt = good.copy()
        spoilt[index] = 1e300  # Finite, but its square is not.
        spoilt[-1] = zlib.crc32(spoilt[:-1].tobytes())  # the checksum, else it is not even read
        try:
            unit.load(spoilt.tobytes())
        except FMICallException:
            continue
        before = unit.state()
        try:
            unit.slave.doStep(0.0, 0.1)
        except FMICallException as stopped:
            discarded += stopped.status == DISCARD
            assert unit.state() == before
    assert discarded >= 3
    unit.load(good.tobytes())
    unit.slave.doStep(0.0, 0.1)


def test_bytes_that_are_no_state_are_refused(unit: Unit) -> None:
    unit.start()
    content = unit.state()
    for damaged in (b"", content[:-8], content[:-3], content + b"\0" * 8, b"\0" * len(content)):
        with pytest.raises(FMICallException):
            unit.load(damaged)
    for place in range(0, len(content), 7):
        changed = bytes([content[place] ^ 1])
        with pytest.raises(FMICallException):
            unit.load(content[:place] + changed + content[place + 1 :])
    assert unit.state() == content


@pytest.mark.parametrize("begun", [False, True])
def test_a_load_that_fails_leaves_the_unit_as_it_was(
    unit: Unit, begun: bool, tmp_path: Path
) -> None:
    apart = tmp_path / "apart"
    apart.mkdir()
    other = Unit("3.0" if unit.is_3 else "2.0", apart).instantiate()
    other.start()
    other.slave.doStep(0.0, 0.3)
    good = np.frombuffer(other.state())
    other.slave.freeInstance()
    if begun:
        unit.start()
    before = unit.state()
    refused = 0
    for index in range(len(good) - 1):
        for wrong in (math.nan, -1e300):
            spoilt = good.copy()
            spoilt[index] = wrong
            spoilt[-1] = zlib.crc32(spoilt[:-1].tobytes())  # the checksum, else it is not even read
            try:
                unit.load(spoilt.tobytes())
            except FMICallException:
                refused += 1
                assert unit.state() == before, index
            else:
                before = unit.state()
    assert refused > len(good)


#: Far less than so many states, far more than what an allocator keeps for itself [bytes].
FAILED_LOADS, MOST_KEPT = 8000, 4e6


def test_loads_that_fail_keep_no_memory(unit: Unit) -> None:
    unit.start()
    content = unit.state()
    spoilt = content[:-1] + bytes([content[-1] ^ 1])
    assert FAILED_LOADS * len(content) > 3 * MOST_KEPT
    held = []
    for _ in range(2):  # the first round fills what is kept for good
        for _ in range(FAILED_LOADS):
            with contextlib.suppress(FMICallException):
                unit.load(spoilt)
            unit.logged.clear()
        held.append(_resident())
    assert held[1] - held[0] < MOST_KEPT


def _resident() -> int:
    """Return the memory that this process holds [bytes]."""
    pages = Path("/proc/self/statm").read_text(encoding="ascii").split()[1]
    return int(pages) * resource.getpagesize()


@pytest.mark.parametrize("start", [0.0, 0.3, 1e6])
@pytest.mark.parametrize("event_mode", [True, False])
def test_early_return_is_progress_to_an_event(
    tmp_path: Path, event_mode: bool, start: float
) -> None:
    unit = Unit("3.0", tmp_path).instantiate(event_mode=event_mode, early_return=True)
    unit.set("run.own_driver", 1.0)
    unit.start(start)
    if event_mode:
        unit.slave.updateDiscreteStates()
        unit.slave.enterStepMode()
    native = {change.time for change in layshaft.launch(layshaft.demo_car()).changes}
    time, stops = start, []
    for k in itertools.count(1):
        end = start + 0.01 * k
        while time < end:
            event, terminate, early, reached = unit.slave.doStep(time, end - time)
            assert reached > time
            assert early == (reached < end)
            assert not terminate
            assert event_mode or not event
            assert not (early and event_mode and not event)
            time = reached
            if event or early:
                stops.append(reached - start)
            if event:
                unit.slave.enterEventMode()
                unit.slave.updateDiscreteStates()
                unit.slave.enterStepMode()
        if time >= start + 2.5:
            break
    # Each instant of a change, as far as times at `start` are told apart.
    expected = sorted(change for change in native if change < 2.5)
    apart = 4 * np.spacing(start + 2.5)
    assert all(min(abs(stop - change) for stop in stops) <= apart for change in expected)
    assert len(stops) <= len(expected)
    assert len(stops) > 3
    unit.slave.freeInstance()


def test_a_master_without_early_return_hears_of_events_in_its_steps(tmp_path: Path) -> None:
    unit = Unit("3.0", tmp_path).instantiate(event_mode=True)
    unit.set("run.own_driver", 1.0)
    unit.start()
    unit.slave.updateDiscreteStates()
    unit.slave.enterStepMode()
    native = [change.time for change in layshaft.launch(layshaft.demo_car()).changes]
    for k in range(50):
        event, _, early, reached = unit.slave.doStep(0.05 * k, 0.05 * (k + 1) - 0.05 * k)
        assert not early
        assert reached == 0.05 * k + (0.05 * (k + 1) - 0.05 * k)
        assert event == any(0.05 * k < time <= reached for time in native)
        if event:
            unit.slave.enterEventMode()
            unit.slave.updateDiscreteStates()
            unit.slave.enterStepMode()
    unit.slave.freeInstance()


def test_modes_are_entered_only_from_where_the_standard_says(tmp_path: Path) -> None:
    unit = Unit("3.0", tmp_path).instantiate()
    slave = unit.slave
    for call in (
        slave.enterEventMode,
        slave.enterStepMode,
        slave.updateDiscreteStates,
        slave.terminate,
        slave.exitInitializationMode,
    ):
        with pytest.raises(FMICallException):
            call()
    unit.start()
    for call in (
        slave.enterEventMode,
        slave.enterStepMode,
        slave.updateDiscreteStates,
        slave.enterInitializationMode,
    ):
        with pytest.raises(FMICallException):
            call()
    slave.doStep(0.0, 0.1)
    slave.terminate()
    with pytest.raises(FMICallException):
        slave.doStep(0.1, 0.1)
    slave.freeInstance()


@pytest.mark.parametrize("version", ["2.0", "3.0"])
def test_both_shoes_are_set_by_one_parameter(version: str, tmp_path: Path) -> None:
    unit = Unit(version, tmp_path).instantiate()
    described = {variable.name: variable for variable in unit.description.modelVariables}
    for name in ("two_speed.gap", "two_speed.slug_mass"):
        variable = described[name]
        assert (variable.causality, variable.variability) == ("parameter", "fixed")
        assert float(variable.start) == layshaft.demo_car()[name]
        assert variable.valueReference == NUMBERS[name]
    unit.set("two_speed.gap", 0.0046)
    assert [unit.get(f"two_speed.{which}gap") for which in ("", "shoe_1.", "shoe_2.")] == (
        [0.0046] * 3
    )
    unit.set("two_speed.shoe_2.gap", 0.0047)
    with pytest.raises(FMICallException):
        unit.get("two_speed.gap")
    assert "the shoes differ" in unit.logged[-1]
    unit.slave.freeInstance()


@pytest.mark.parametrize("version", ["2.0", "3.0"])
def test_a_car_whose_shoes_differ_has_no_parameter_for_both(version: str, tmp_path: Path) -> None:
    car = layshaft.demo_car().replace({"two_speed.shoe_1.gap": "4.6 mm"})
    file = tmp_path / "car.fmu"
    layshaft.write_fmu(car, file, fmi=version)
    assert fmpy.validation.validate_fmu(str(file)) == []
    description = fmpy.read_model_description(file)
    names = {variable.name for variable in description.modelVariables}
    assert "two_speed.gap" not in names
    assert "two_speed.slug_mass" in names
    outputs = {unknown.variable.name for unknown in description.outputs}
    assert outputs == {row.name for row in _core.variables() if row.role == "output"}


def test_null_pointers_are_refused(unit: Unit) -> None:
    unit.start()
    slave = unit.slave
    number = (ctypes.c_uint32 * 1)(NUMBERS["car_speed"])
    many = ctypes.c_size_t(1)
    name = "fmi3GetFloat64" if unit.is_3 else "fmi2GetReal"
    get = getattr(slave.dll, name)
    get.argtypes = None
    instance = ctypes.c_void_p(slave.component)
    tail = (many,) if unit.is_3 else ()
    assert get(instance, None, many, None, *tail) == ERROR
    assert get(instance, number, many, None, *tail) == ERROR
    keep = getattr(slave.dll, "fmi3GetFMUState" if unit.is_3 else "fmi2GetFMUstate")
    keep.argtypes = None
    assert keep(instance, None) == ERROR


def test_random_pedals_and_steps_never_stop_a_master(tmp_path: Path) -> None:
    unit = Unit("3.0", tmp_path).instantiate(event_mode=True, early_return=True).start(0.3)
    unit.slave.updateDiscreteStates()
    unit.slave.enterStepMode()
    dice, time = random.Random(5), 0.3
    while time < 2.0:
        for name in ("throttle", "brake"):
            unit.set(name, dice.choice((0.0, dice.random())))
        end = time + dice.choice((0.001, 0.01))
        while time < end:
            event, _, early, reached = unit.slave.doStep(time, end - time)
            assert reached > time
            assert event or not early
            time = reached
            if event:
                unit.slave.enterEventMode()
                unit.slave.enterStepMode()
    unit.slave.freeInstance()
