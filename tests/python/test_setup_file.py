"""A set-up file is read whole or refused with every fault and its line; written, it is exact."""

import importlib.resources
import os
import pickle
import stat
import tomllib
from pathlib import Path

import layshaft
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from layshaft.setup import field_table, setup_file

DEMO_FILE = importlib.resources.files("layshaft") / "data" / "demo-car.toml"


def faults_of(path: Path) -> list[str]:
    with pytest.raises(layshaft.SetupError) as caught:
        layshaft.read_car(path)
    assert str(caught.value).splitlines() == [str(fault) for fault in caught.value.faults]
    return [str(fault).replace(str(path), "car.toml") for fault in caught.value.faults]


def read(folder: Path, text: str) -> layshaft.Car:
    path = folder / "car.toml"
    path.write_text(text, encoding="utf-8")
    return layshaft.read_car(path)


def test_an_empty_file_is_the_demo_car(tmp_path: Path) -> None:
    assert read(tmp_path, "") == read(tmp_path, "# nothing yet\n[two_speed]\n") == layshaft.Car()


def test_values_may_be_written_in_every_form(tmp_path: Path) -> None:
    text = """\ufeff
body.mass = 2.6
first = { pinion = 16, "module" = "0.8 mm" }
[clutch]
design = "thrown_shoes"
[two_speed]
gap = "4.3 mm"
shoe_2.slug_mass = "0.8 g"
[engine]
torque = [["6 krpm", 0.1], # comment
  [4000, "0.4 N*m"]]
"""
    assert read(tmp_path, text) == layshaft.Car(
        {
            "body.mass": 2.6,
            "first.pinion": 16,
            "first.module": 0.8e-3,
            "clutch.design": "thrown_shoes",
            "two_speed.gap": 4.3e-3,
            "two_speed.shoe_2.slug_mass": 0.8e-3,
            "engine.torque": [["6 krpm", 0.1], [4000, 0.4]],
        }
    )


def test_a_shoe_wins_over_the_pair(tmp_path: Path) -> None:
    car = read(tmp_path, '[two_speed]\nshoe_2.gap = "4.4 mm"\ngap = "4.3 mm"\n')
    assert (car.two_speed.shoe_1.gap, car.two_speed.shoe_2.gap) == (4.3e-3, 4.4e-3)


BROKEN = {
    "unknown names": (
        '[two_speed]\n\ngapp = "4.3 mm"\n[two_sped]\nclearance = 1e-4\n[front_tire]\n',
        [
            'car.toml:3: two_speed.gapp = "4.3 mm": must be a known name: '
            "the nearest known name is two_speed.gap",
            "car.toml:5: two_sped.clearance = 0.0001: must be a known name: "
            "the nearest known name is two_speed.clearance",
            "car.toml:6: front_tire = {}: must be a known name: "
            "the nearest known name is front_tyre",
        ],
    ),
    "wrong units": (
        '[body]\nmass = "2550 mm"\nwheelbase = "290"\n[engine]\nidle_speed = "10 kHz" # fast\n',
        [
            'car.toml:2: body.mass = "2550 mm": must be a mass such as "6 g", '
            'or a plain number in kg ("mm" is no unit of mass)',
            'car.toml:3: body.wheelbase = "290": must be a length such as "4.5 mm", '
            "or a plain number in m (it has no unit)",
            'car.toml:5: engine.idle_speed = "10 kHz": must be a speed of turning such as '
            '"8500 rpm", or a plain number in rad/s ("kHz" is no unit of speed of turning)',
        ],
    ),
    "wrong types": (
        "body.mass = true\nbrake.torque = [2.5]\nfirst = 3\n"
        "second.spur = 45.5\n[two_speed.gap]\nx = 1\n[[air]]\nk = 1\n",
        [
            'car.toml:1: body.mass = true: must be a mass such as "6 g", or a plain number in kg',
            'car.toml:2: brake.torque = [2.5]: must be a torque such as "0.45 N*m", '
            "or a plain number in N*m",
            "car.toml:3: first = 3: must be a table of settings: [first]",
            "car.toml:4: second.spur = 45.5: must be a whole number from 8 to 200",
            'car.toml:5: two_speed.gap = { x = 1 }: must be a length such as "4.5 mm", '
            "or a plain number in m",
            "car.toml:7: air = [{ k = 1 }]: must be a table of settings: [air]",
        ],
    ),
    "out of range": (
        '[two_speed]\ngap = "43 mm"\nclearance = 0.3\n[first]\npinion = 7\n',
        [
            'car.toml:2: two_speed.gap = "43 mm": must be from 1 mm to 10 mm',
            "car.toml:3: two_speed.clearance = 0.3: must be from 0.01 mm to 3 mm; "
            "a plain number is in m",
            "car.toml:5: first.pinion = 7: must be a whole number from 8 to 200",
        ],
    ),
    "no finite number": (
        f"body.mass = inf\nbrake.torque = nan\nfirst.pinion = -inf\n"
        f"second.pinion = {'9' * 400}\nbody.wheelbase = 1{'0' * 400}\n",
        [
            "car.toml:1: body.mass = inf: must be from 500 g to 20000 g; a plain number is in kg",
            "car.toml:2: brake.torque = nan: must be from 0 N*m to 50 N*m; "
            "a plain number is in N*m",
            "car.toml:3: first.pinion = -inf: must be a whole number from 8 to 200",
            "car.toml:4: second.pinion = a huge integer: must be a whole number from 8 to 200",
            "car.toml:5: body.wheelbase = a huge integer: must be from 100 mm to 1000 mm; "
            "a plain number is in m",
        ],
    ),
    "unknown choice": (
        '[clutch]\ndesign = "axle"\n[two_speed]\nhold_in = 1\n',
        [
            'car.toml:2: clutch.design = "axle": must be one of "axial", "thrown_shoes"',
            'car.toml:4: two_speed.hold_in = 1: must be one of "spring", "detent"',
        ],
    ),
    "torque curve": (
        '[engine]\ntorque = [\n  ["6 krpm", "0.1 N*m"],\n  ["5 krpm", 0.2],\n\n  [1000],\n'
        '  ["9 kg", 0.3],\n  [950, 7.0],\n]\n',
        [
            'car.toml:4: engine.torque[1] = ["5 krpm", 0.2]: '
            "must have a higher speed than the point before it",
            "car.toml:6: engine.torque[2] = [1000]: "
            'must be a point such as ["10 krpm", "0.25 N*m"]',
            'car.toml:7: engine.torque[3] = ["9 kg", 0.3]: its speed must be a speed of turning '
            'such as "8500 rpm", or a plain number in rad/s ("kg" is no unit of speed of turning)',
            "car.toml:8: engine.torque[4] = [950, 7.0]: its torque must be from -2 N*m to 5 N*m; "
            "a plain number is in N*m",
        ],
    ),
    "key twice": (
        '[two_speed]\ngap = "4.3 mm"\nclearance = "0.3 mm"\ngap = "4.4 mm"\n',
        ['car.toml:4: gap = "4.4 mm": must stand only once in a file'],
    ),
    "table twice": (
        '[two_speed]\ngap = "4.3 mm"\n[body]\n[two_speed]\n',
        ["car.toml:4: [two_speed]: must stand only once in a file"],
    ),
    "parts that do not fit": (
        "first = { spur = 50, pinion = 40 }\nsecond = { spur = 45, pinion = 22 }\n",
        [
            "car.toml: first.spur / pinion = 1.25 must be > spur / pinion of the second gear",
        ],
    ),
    "name with a dot": (
        '"two_speed.gap" = "4.3 mm"\n',
        [
            'car.toml:1: "two_speed.gap" = "4.3 mm": must be a known name: '
            "the nearest known name is two_speed.gap",
        ],
    ),
    "integer without end": (
        f"body.mass = {'9' * 5000}\n",
        ["car.toml: must not hold an integer of thousands of digits"],
    ),
    "lists without end": (
        f"body.mass = {'[' * 50000}\n",
        ["car.toml: must not nest lists or tables so deeply"],
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_every_fault_of_a_broken_file_is_told_at_once(name: str, tmp_path: Path) -> None:
    text, expected = BROKEN[name]
    path = tmp_path / "car.toml"
    path.write_text(text, encoding="utf-8")
    assert faults_of(path) == expected


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ("[body]\nmass = 2.5 kg\n", "car.toml:2: mass = 2.5 kg: must be TOML: "),
        ("[body]\nmass = 4,3\n", "car.toml:2: mass = 4,3: must be TOML: "),
        ("[body\nmass = 2.5\n", "car.toml:1: [body: must be TOML: "),
        ("[body]\n\nmass = ", "car.toml:3: mass =: must be TOML: "),
        ('x = """\n', 'car.toml:1: x = """: must be TOML: '),
    ],
)
def test_a_fault_of_the_form_is_told_with_its_line(text: str, start: str, tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(text, encoding="utf-8")
    [fault] = faults_of(path)
    assert fault.startswith(start)


def test_what_is_no_text_in_utf_8_is_told_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_bytes(b"[body]\n# caf\xe9\nmass = 2.5\n")
    assert faults_of(path) == ["car.toml:2: must be text in UTF-8; byte 0xe9 is not"]


def test_what_is_no_file_is_told(tmp_path: Path) -> None:
    assert faults_of(tmp_path / "none.toml") == [
        "car.toml: cannot be read: No such file or directory"
    ]
    assert faults_of(tmp_path) == ["car.toml: cannot be read: Is a directory"]


def test_a_set_up_error_is_a_value_error_with_its_faults_as_data(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text('body.mass = "2 m"\n', encoding="utf-8")
    with pytest.raises(ValueError, match="no unit of mass") as caught:
        layshaft.read_car(os.fspath(path))
    again = pickle.loads(pickle.dumps(caught.value))
    assert again.faults == caught.value.faults
    assert (again.faults[0].file, again.faults[0].line) == (str(path), 1)


def test_the_demo_file_is_the_demo_car() -> None:
    with importlib.resources.as_file(DEMO_FILE) as path:
        assert layshaft.read_car(path) == layshaft.demo_car()


def test_the_demo_file_is_what_write_car_writes(tmp_path: Path) -> None:
    path = tmp_path / "demo-car.toml"
    layshaft.write_car(layshaft.demo_car(), path)
    assert path.read_bytes() == DEMO_FILE.read_bytes(), (
        "write it anew: layshaft.write_car(layshaft.demo_car(), "
        '"python/layshaft/data/demo-car.toml")'
    )
    assert "invented" in DEMO_FILE.read_text(encoding="utf-8").splitlines()[1]


def test_a_written_file_holds_every_field_in_its_own_section() -> None:
    content = tomllib.loads(layshaft.demo_car().to_toml())
    for path in [*field_table.positions(), field_table.CURVE]:
        value: object = content
        for name in path.split("."):
            value = value[name]  # type: ignore[index]
        assert not isinstance(value, dict)


NUMBERS = [f.path for f in field_table.fields() if f.kind == "number"]
CHOICES = [(f.path, c) for f in field_table.fields() for c in f.choices]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    nudges=st.dictionaries(st.sampled_from(NUMBERS), st.floats(-0.03, 0.03), max_size=20),
    choice=st.sampled_from(CHOICES),
    torque=st.floats(-1.0, 4.0),
    speed=st.floats(1.0, 500.0),
)
def test_a_written_car_reads_back_bit_for_bit(
    tmp_path: Path,
    nudges: dict[str, float],
    choice: tuple[str, str],
    torque: float,
    speed: float,
) -> None:
    demo = layshaft.demo_car()
    changes: dict[str, object] = {path: demo[path] * (1.0 + by) for path, by in nudges.items()}
    points = [(0.0, 0.05), (speed, 0.1), (2.0 * speed + 3000.0, torque)]
    try:
        car = layshaft.Car(changes | dict([choice]) | {"engine.torque": points})
    except ValueError:
        assume(False)
    path = tmp_path / "car.toml"
    layshaft.write_car(car, path)
    again = layshaft.read_car(path)
    assert again == car
    assert repr(again) == repr(car)


def test_a_file_is_replaced_whole_and_keeps_its_permissions(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text("old")
    path.chmod(0o640)
    link = tmp_path / "link.toml"
    link.symlink_to(path)
    layshaft.write_car(layshaft.demo_car(), link)
    assert link.is_symlink()
    assert layshaft.read_car(path) == layshaft.demo_car()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert sorted(tmp_path.iterdir()) == [path, link]


def test_a_write_that_fails_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "car.toml"
    path.write_text("old")

    def fail(car: layshaft.Car) -> str:
        raise OSError("no space left")

    monkeypatch.setattr(setup_file, "to_toml", fail)
    with pytest.raises(OSError, match="no space left"):
        layshaft.write_car(layshaft.demo_car(), path)
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]
