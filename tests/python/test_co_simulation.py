"""Co-simulation units, loaded by a master that knows nothing of this library."""

import itertools
import shutil
import subprocess
import zipfile
from collections.abc import Iterator
from pathlib import Path

import fmpy
import layshaft
import numpy as np
import pytest
from fmpy.fmi2 import FMU2Slave
from fmpy.fmi3 import FMU3Slave
from fmpy.validation import validate_fmu
from layshaft import _core

SOURCES = Path(__file__).resolve().parents[2] / "cpp"
VERSIONS = ("2.0", "3.0")
NUMBERS = {variable.name: number for number, variable in enumerate(_core.variables())}
REAL_OUTPUTS = [
    number
    for number, variable in enumerate(_core.variables())
    if variable.role == "output" and variable.kind == "number"
]

# Communication steps of a clumsy master [s]; none is a multiple of another.
ODD_STEPS = (0.0137, 0.0001, 0.0731, 0.00029, 0.0419)

# The unit makes the steps of a launch; the master's sums of steps are rounded, and speeds change by
# up to 1e5 rad/s^2 (a part locking up) over such a round-off of 1e-15 s.
ROUND_OFF = 1e-9

# Pedals that jump against pedals that go down within a microsecond, at solver tolerance 1e-6.
RAMP_ERROR = 2e-4  # [m/s]


class Master:
    """Loads a unit and steps it; the same calls for both versions of the standard."""

    def __init__(self, file: Path, folder: Path, event_mode: bool = False) -> None:
        self.description = fmpy.read_model_description(file)
        self.time = 0.0
        self.is_3 = self.description.fmiVersion == "3.0"
        known = {
            "guid": self.description.guid,
            "modelIdentifier": self.description.coSimulation.modelIdentifier,
            "unzipDirectory": fmpy.extract(file, folder),
            "instanceName": "car",
        }
        self.event_mode = event_mode
        if self.is_3:
            self.unit = FMU3Slave(**known)
            self.unit.instantiate(eventModeUsed=event_mode, earlyReturnAllowed=event_mode)
        else:
            self.unit = FMU2Slave(**known)
            self.unit.instantiate()

    def start(self, **values: float) -> "Master":
        for name, value in values.items():
            self.set(name.replace("__", "."), value)
        if self.is_3:
            self.unit.enterInitializationMode()
        else:
            self.unit.setupExperiment()
            self.unit.enterInitializationMode()
        self.unit.exitInitializationMode()
        if self.event_mode:
            self.unit.updateDiscreteStates()
            self.unit.enterStepMode()
        return self

    def set(self, name: str, value: float) -> None:
        kind = _core.variables()[NUMBERS[name]].kind
        if kind == "yes_no":
            self.unit.setBoolean([NUMBERS[name]], [value])
        elif self.is_3:
            self.unit.setFloat64([NUMBERS[name]], [value])
        else:
            self.unit.setReal([NUMBERS[name]], [value])

    def reals(self, numbers: list[int] = REAL_OUTPUTS) -> list[float]:
        return list((self.unit.getFloat64 if self.is_3 else self.unit.getReal)(numbers))

    def get(self, name: str) -> float:
        return self.reals([NUMBERS[name]])[0]

    def step(self, size: float) -> object:
        found = self.unit.doStep(self.time, size)
        self.time += size
        return found

    def step_oddly(self, end: float) -> None:
        for size in itertools.cycle(ODD_STEPS):
            self.step(min(size, end - self.time))
            if not self.time < end:
                break

    def save(self) -> object:
        return (self.unit.getFMUState if self.is_3 else self.unit.getFMUstate)()

    def load(self, state: object, time: float) -> None:
        (self.unit.setFMUState if self.is_3 else self.unit.setFMUstate)(state)
        self.time = time

    def to_bytes(self, state: object) -> bytes:
        unit = self.unit
        return (unit.serializeFMUState if self.is_3 else unit.serializeFMUstate)(state)

    def from_bytes(self, content: bytes) -> object:
        unit = self.unit
        return (unit.deserializeFMUState if self.is_3 else unit.deSerializeFMUstate)(content)

    def end(self) -> None:
        self.unit.terminate()
        self.unit.freeInstance()


@pytest.fixture(scope="module", params=VERSIONS)
def file(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("unit") / "car.fmu"
    layshaft.write_fmu(layshaft.demo_car(), path, fmi=request.param)
    return path


@pytest.fixture
def make(file: Path, tmp_path: Path) -> Iterator:
    made: list[Master] = []

    def new(**options: bool) -> Master:
        made.append(Master(file, tmp_path / str(len(made)), **options))
        return made[-1]

    yield new
    for master in made:
        master.end()


def driven(make: object) -> Master:
    return make().start(run__own_driver=True)


def test_the_unit_is_valid(file: Path) -> None:
    assert validate_fmu(str(file)) == []


def test_flags_are_read_back(file: Path) -> None:
    description = fmpy.read_model_description(file)
    unit = description.coSimulation
    assert description.modelExchange is None
    assert unit.canHandleVariableCommunicationStepSize
    assert unit.canGetAndSetFMUstate
    assert unit.canSerializeFMUstate
    is_3 = description.fmiVersion == "3.0"
    assert unit.hasEventMode == is_3
    assert unit.mightReturnEarlyFromDoStep == is_3


def test_parameters_are_those_of_the_field_table(file: Path) -> None:
    described = {v.name: v for v in fmpy.read_model_description(file).modelVariables}
    for field in layshaft.fields():
        variable = described[field.path]
        assert (variable.causality, variable.variability) == ("parameter", "fixed")
        assert float(variable.start) == field.fallback
        assert variable.description == field.meaning
        if field.kind != "choice":
            assert float(variable.min) == field.minimum
            assert float(variable.max) == field.maximum
            assert variable.unit == (None if field.unit == "1" else field.unit)
    assert {n for n, v in described.items() if v.causality == "input"} == {
        "throttle",
        "brake",
        "grade",
    }


def test_the_launch_at_odd_steps_is_the_native_one(make: object) -> None:
    master = driven(make)
    master.step_oddly(5.0)
    native = layshaft.launch(layshaft.demo_car()).times.sel(distance=60.0).item()
    assert master.get("stopwatch") == native


def test_outputs_on_the_way_are_those_of_the_native_launch(make: object) -> None:
    interval = 0.0371
    samples = layshaft.launch(layshaft.demo_car(), sample_interval=interval).samples
    master = driven(make)
    for index in range(1, samples.sizes["time"]):
        master.step(interval)
        sample = samples.isel(time=index)
        for name in ("crank_speed", "car_speed", "second_torque", "drum_temperature", "fuel"):
            assert master.get(name) == pytest.approx(sample[name].item(), rel=ROUND_OFF)
        number = NUMBERS["second_mode"]
        mode = master.unit.getInt64([number]) if master.is_3 else master.unit.getInteger([number])
        assert mode == [sample.second_mode.item()]


def test_a_whole_simulation_in_one_call_is_the_native_launch(file: Path) -> None:
    native = layshaft.launch(layshaft.demo_car().replace({"two_speed.gap": "4.6 mm"}))
    result = fmpy.simulate_fmu(
        str(file),
        start_values={
            "run.own_driver": True,
            "two_speed.shoe_1.gap": 0.0046,
            "two_speed.shoe_2.gap": 0.0046,
        },
        stop_time=4.0,
        step_size=0.0317,
        output=["stopwatch", "car_distance"],
    )
    assert result["stopwatch"][-1] == native.times.sel(distance=60.0).item()
    assert np.all(np.diff(result["car_distance"]) >= 0.0)


def test_inputs_count_from_the_time_at_which_they_are_set(make: object) -> None:
    master = make().start(throttle=1.0, grade=0.03)
    master.step_oddly(1.9)
    master.set("throttle", 0.0)
    master.set("brake", 0.8)
    master.step_oddly(2.7)
    native = layshaft.launch(
        layshaft.demo_car(),
        distance=500.0,
        longest_time=2.7,
        grade=0.03,
        pedals=[(1.9, 1.0, 0.0), (1.900001, 0.0, 0.8)],
    )
    assert master.get("car_speed") == pytest.approx(native.scalars.end_speed.item(), abs=RAMP_ERROR)
    assert native.scalars.end_speed < native.scalars.peak_speed - 1.0


def test_a_state_saved_in_the_middle_goes_on_with_the_same_bits(make: object) -> None:
    master = driven(make)
    master.step_oddly(1.2)
    state, time = master.save(), master.time
    content = master.to_bytes(state)
    master.step_oddly(2.5)
    first = master.reals()
    master.load(state, time)
    master.step(2.5 - time)
    assert master.reals() == first
    other = make().start(throttle=0.3)
    other.step(0.7)
    other.load(other.from_bytes(content), time)
    other.step_oddly(2.5)
    assert other.reals() == first


def test_bad_input_is_refused_and_leaves_the_unit_usable(make: object) -> None:
    master = driven(make)
    master.step(0.5)
    with pytest.raises(Exception, match="3"):
        master.set("throttle", 1.5)
    with pytest.raises(Exception, match="3"):
        master.set("first.pinion", 16)
    with pytest.raises(Exception, match="3"):
        master.set("car_speed", 1.0)
    master.step(4.5)
    native = layshaft.launch(layshaft.demo_car()).times.sel(distance=60.0).item()
    assert master.get("stopwatch") == native


def test_a_run_that_cannot_go_on_fails_its_step_and_goes_on_from_a_good_state(
    make: object,
) -> None:
    master = driven(make)
    good = master.save()
    numbers = np.frombuffer(bytes(master.to_bytes(good)))
    failed = 0
    for index in range(len(numbers)):
        spoilt = numbers.copy()
        spoilt[index] = np.nan
        try:
            master.load(master.from_bytes(spoilt.tobytes()), 0.0)
            master.step(0.1)
        except Exception:
            failed += 1
    assert failed >= 6  # the speeds at least
    master.load(good, 0.0)
    master.step(5.0)
    native = layshaft.launch(layshaft.demo_car()).times.sel(distance=60.0).item()
    assert master.get("stopwatch") == native


def test_a_reset_unit_starts_again(make: object) -> None:
    master = driven(make)
    master.step(1.0)
    first = master.reals()
    master.unit.reset()
    master.time = 0.0
    master.start(run__own_driver=True)
    master.step(1.0)
    assert master.reals() == first


def test_files_of_another_unit_are_refused(file: Path, tmp_path: Path) -> None:
    description = fmpy.read_model_description(file)
    folder = fmpy.extract(file, tmp_path)
    slave = FMU3Slave if description.fmiVersion == "3.0" else FMU2Slave
    unit = slave(guid="x", modelIdentifier="layshaft", unzipDirectory=folder, instanceName="car")
    with pytest.raises(Exception, match="instantiate"):
        unit.instantiate()


def test_event_mode_stops_at_every_change_of_the_native_launch(tmp_path: Path) -> None:
    path = tmp_path / "car.fmu"
    layshaft.write_fmu(layshaft.demo_car(), path, fmi="3.0")
    master = Master(path, tmp_path / "unit", event_mode=True).start(run__own_driver=True)
    native = layshaft.launch(layshaft.demo_car())
    end = 3.0
    stops = []
    while master.time < end:
        event, terminate, early, reached = master.unit.doStep(master.time, end - master.time)
        assert not terminate
        assert early == (reached < end)
        master.time = reached
        if event:
            stops.append(reached)
            master.unit.enterEventMode()
            assert not any(master.unit.updateDiscreteStates()[:4])
            master.unit.enterStepMode()
    assert stops == sorted({change.time for change in native.changes if change.time <= end})
    assert len(stops) > 3
    master.step(2.0)
    master.end()


def test_the_torque_curve_goes_along(tmp_path: Path) -> None:
    curve = [("0 krpm", "0.1 N*m"), ("20 krpm", "0.5 N*m"), ("42 krpm", "0.1 N*m")]
    car = layshaft.Car({"engine.torque": curve})
    path = tmp_path / "car.fmu"
    layshaft.write_fmu(car, path, fmi="2.0")
    master = Master(path, tmp_path / "unit").start(run__own_driver=True)
    master.step(8.0)
    native = layshaft.launch(car).times.sel(distance=60.0).item()
    assert master.get("stopwatch") == native
    master.end()


def test_the_same_car_gives_the_same_bytes_and_another_car_another_token(tmp_path: Path) -> None:
    files = [tmp_path / f"{name}.fmu" for name in "abc"]
    layshaft.write_fmu(layshaft.demo_car(), files[0])
    layshaft.write_fmu(layshaft.demo_car(), files[1])
    layshaft.write_fmu(layshaft.Car({"first.pinion": 16}), files[2])
    assert files[0].read_bytes() == files[1].read_bytes()
    tokens = {zipfile.ZipFile(path).read("resources/token.txt") for path in files}
    assert len(tokens) == 2


@pytest.mark.parametrize(
    ("name", "fmi", "message"),
    [("car.fmu", "1.0", '"2.0" or "3.0"'), ("car.zip", "3.0", r"\.fmu")],
)
def test_another_version_or_ending_is_refused(
    tmp_path: Path, name: str, fmi: str, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        layshaft.write_fmu(layshaft.demo_car(), tmp_path / name, fmi=fmi)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(shutil.which("g++") is None, reason="needs a compiler")
@pytest.mark.parametrize("source", ["fmi2", "fmi3", "fmi3_not_offered"])
def test_the_functions_are_those_of_the_standards_headers(source: str) -> None:
    headers = Path(fmpy.__file__).parent / "c-code"
    version = source[:4]
    define = f'-DLAYSHAFT_{version.upper()}_HEADER="{version}Functions.h"'
    words = ["g++", "-std=c++20", "-fsyntax-only", f"-I{headers}", f"-I{SOURCES / 'include'}"]
    subprocess.run([*words, define, SOURCES / f"src/fmi/{source}.cpp"], check=True)
