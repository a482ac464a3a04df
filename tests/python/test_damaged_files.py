"""Damaged files: one error that names the file, whatever is wrong in it."""

import json
import random
import time
import warnings
from pathlib import Path

import layshaft
import netCDF4
import numpy as np
import pytest
import whole_files

#: Far more than refusing a file takes on a busy machine [s]; without a bound it takes minutes.
PATIENCE = 20.0


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return whole_files.write_each(tmp_path_factory.mktemp("whole"))


def refused(read: object, file: Path) -> str:
    """Return what is said of a file that must be refused; it is named."""
    with pytest.raises(ValueError, match=file.name) as caught:
        read(file)
    assert len(str(caught.value).splitlines()) == 1
    return str(caught.value)


# What was learned.


@pytest.mark.parametrize(
    "damage",
    [
        lambda content: content["unknowns"][0].update(guess=float("nan")),
        lambda content: content["values"].__setitem__(0, content["values"][0] * 1.01),
        lambda content: content["covariance"][0].__setitem__(0, -1.0),
        lambda content: content.update(covariance=[[0.0] * 3] * 3),
        lambda content: content.update(covariance=np.diag([1e300] * 3).tolist()),
        lambda content: content["numbers"][0]["options"].update(grade=1e300),
        lambda content: content.update(car=content["believed"]),
        lambda content: content.update(end="well"),
    ],
)
def test_what_was_learned_agrees_with_its_car(damage: object, whole: Path, tmp_path: Path) -> None:
    content = json.loads((whole / "learned.json").read_text(encoding="utf-8"))
    damage(content)
    del content["checksum"]  # so that what lies behind it is looked at
    file = tmp_path / "learned.json"
    file.write_text(json.dumps(content), encoding="utf-8")
    assert "is damaged" in refused(layshaft.read_learned, file)


# netCDF.


@pytest.mark.parametrize("read", [layshaft.load, layshaft.rerun])
@pytest.mark.parametrize("share", [0.0, 0.01, 0.3, 0.9])
def test_a_netcdf_file_cut_off_is_named(
    read: object, share: float, whole: Path, tmp_path: Path
) -> None:
    content = (whole / "run.nc").read_bytes()
    file = tmp_path / "cut.nc"
    file.write_bytes(content[: int(share * len(content))])
    assert "is damaged, or no " in refused(read, file)


def tampered(whole: Path, tmp_path: Path, name: str, **changes: object) -> Path:
    """Return a copy with other attributes; `None` removes one."""
    file = tmp_path / name
    file.write_bytes((whole / name).read_bytes())
    with netCDF4.Dataset(file, "r+") as data:
        for attribute, value in changes.items():
            if value is None:
                data.delncattr(attribute)
            else:
                data.setncattr(attribute, value)
    return file


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"setup": None}, "'setup' is missing"),
        ({"kind": None}, "'kind' is missing"),
        ({"kind": 5}, "its kind is '5'"),
        ({"kind": "lap"}, "another kind of run"),
        ({"setup": "[["}, "damaged"),
        ({"setup": "body = 3"}, "body"),
        ({"setup": 7}, "damaged"),
        ({"options": "{"}, "damaged"),
        ({"options": "[]"}, "damaged"),
        ({"options": '{"distance": 1e999}'}, "damaged"),
        ({"options": "{}"}, "damaged"),
    ],
)
@pytest.mark.filterwarnings("ignore:.*has no checksum")
def test_a_tampered_run_is_named(
    changes: dict[str, object], said: str, whole: Path, tmp_path: Path
) -> None:
    assert said in refused(layshaft.rerun, tampered(whole, tmp_path, "run.nc", **changes))


@pytest.mark.parametrize("name", ["setup", "options"])
def test_a_sweep_goes_on_with_no_tampered_file(name: str, whole: Path, tmp_path: Path) -> None:
    file = tampered(whole, tmp_path, "runs.nc", **{name: "]"})
    axes = {"two_speed.gap": ["4.4 mm", "4.6 mm"]}
    car = layshaft.demo_car()
    refused(lambda path: layshaft.sweep(car, axes, distance=2.0, file=path), file)


@pytest.mark.filterwarnings("ignore")  # of what the libraries find odd in it
def test_files_with_random_damage_are_read_or_named(whole: Path, tmp_path: Path) -> None:
    chance = random.Random(7)
    readers = {
        "run.nc": layshaft.rerun,
        "sweep.nc": layshaft.load,
        "sweep.csv": layshaft.load,
        "learned.json": layshaft.read_learned,
    }
    count = 0
    for number in range(120):
        name = chance.choice(list(readers))
        content = bytearray((whole / name).read_bytes())
        for _ in range(chance.choice([1, 3, 30])):
            content[chance.randrange(len(content))] = chance.randrange(256)
        file = tmp_path / f"{number}-{name}"
        file.write_bytes(content)
        said = _said_of(readers[name], file)
        assert said is None or file.name in said
        count += said is not None
    assert count > 20  # the damage was noticed


def _said_of(read: object, file: Path) -> str | None:
    try:
        read(file)
    except ValueError as error:
        return str(error)
    return None


def test_what_is_not_there_is_no_damage(tmp_path: Path) -> None:
    for read, name in (
        (layshaft.load, "none.nc"),
        (layshaft.rerun, "none.nc"),
        (layshaft.load, "none.csv"),
        (layshaft.read_learned, "none.json"),
    ):
        with pytest.raises(FileNotFoundError, match=name):
            read(tmp_path / name)


# What was learned.


def with_changes(whole: Path, tmp_path: Path, change: object) -> Path:
    content = json.loads((whole / "learned.json").read_text())
    change(content)
    del content["checksum"]  # so that what lies behind it is looked at
    file = tmp_path / "learned.json"
    file.write_text(json.dumps(content))
    return file


@pytest.mark.parametrize(
    "change",
    [
        lambda content: content.update(values=[10**400, 1.0]),
        lambda content: content.update(values=[1e308, 1e308]),
        lambda content: content.update(values=[]),
        lambda content: content.update(values=None),
        lambda content: content.update(covariance=[[1.0, 2.0], [3.0, 4.0]]),
        lambda content: content.update(covariance=[[-1.0, 0.0], [0.0, -1.0]]),
        lambda content: content.update(covariance=[[float("nan")] * 2] * 2),
        lambda content: content.update(information=[[1.0, 5.0], [5.0, 1.0]]),
        lambda content: content.update(errors=[0.0]),
        lambda content: content.update(errors=[float("inf")]),
        lambda content: content.update(shown=[float("inf")]),
        lambda content: content.update(shown_before=[-float("inf")]),
        lambda content: content.update(seen=[1e308]),
        lambda content: content["unknowns"][0].update(low=-1.0),
        lambda content: content.update(seen=[[1.0]]),
        lambda content: content.update(seen=["fast"]),
        lambda content: content.update(more=[1.0]),
        lambda content: content.update(car="[["),
        lambda content: content["unknowns"][0].update(path="two_speed.gapp"),
        lambda content: content["unknowns"][0].update(doubt=0.0),
        lambda content: content["unknowns"][0].update(low=1e9),
        lambda content: content["numbers"][0].update(measure="noise"),
        lambda content: content["numbers"][0].update(value=2500.0),
        lambda content: content["numbers"][0].update(error=-1.0),
        lambda content: content["numbers"][0].update(changes=[["two_speed.gap", 1.0]]),
        lambda content: content["numbers"][0]["options"].update(distance=-1.0),
        lambda content: content.update(kind="a letter"),
        lambda content: content.pop("shown"),
    ],
)
def test_a_tampered_file_of_a_learned_car_is_named(
    change: object, whole: Path, tmp_path: Path
) -> None:
    assert "a learned car" in refused(layshaft.read_learned, with_changes(whole, tmp_path, change))


def test_a_changed_number_of_a_learned_car_is_named(whole: Path, tmp_path: Path) -> None:
    text = (whole / "learned.json").read_text()
    digits = [place for place, letter in enumerate(text) if letter in "123456789"]
    chance = random.Random(3)
    for place in chance.sample(digits, 30):
        other = "2" if text[place] == "1" else "1"
        file = tmp_path / "learned.json"
        file.write_text(text[:place] + other + text[place + 1 :])
        refused(layshaft.read_learned, file)


def test_a_learned_car_without_its_checksum_is_told(whole: Path, tmp_path: Path) -> None:
    file = with_changes(whole, tmp_path, lambda _: None)
    with pytest.warns(UserWarning, match="has no checksum"):
        again = layshaft.read_learned(file)
    assert again.values == layshaft.read_learned(whole / "learned.json").values


@pytest.mark.parametrize("text", ["", "{}", "[]", "7", "[" * 100_000, "9" * 5_000, '{"kind": []}'])
def test_what_is_no_learned_car_is_named(text: str, tmp_path: Path) -> None:
    file = tmp_path / "learned.json"
    file.write_text(text)
    refused(layshaft.read_learned, file)


def test_bytes_that_are_no_text_are_named(tmp_path: Path) -> None:
    for name, read in (("learned.json", layshaft.read_learned), ("table.csv", layshaft.load)):
        (tmp_path / name).write_bytes(b"\xff\xfe\x00gap")
        refused(read, tmp_path / name)


# Tables of results.


@pytest.mark.parametrize(
    "text",
    [
        "",
        "first.pinion,shift_speed_m_per_s\n16\n",
        "first.pinion,first.pinion\n16,16\n",
        "first.pinion,shift_speed_m_per_s\n16,15\n16,15\n",
        "first.pinion,two_speed.gap_m\n" + "".join(f"{i},{i}\n" for i in range(5)),
    ],
)
def test_a_damaged_table_is_named(text: str, tmp_path: Path) -> None:
    file = tmp_path / "table.csv"
    file.write_text(text)
    refused(layshaft.load, file)


# TOML that takes its time.

ENDLESS = {
    "a dotted key": ".".join("a" * 30_000) + " = 1\n",
    "a dotted heading": f"[{'.'.join('a' * 30_000)}]\n",
    "a dotted key of quotes": ".".join(["'a'"] * 15_000) + " = 1\n",
    "a dotted key in a table": "a = {" + ".".join("b" * 30_000) + " = 1}\n",
    "many dotted keys": "".join(f"{'x.' * 25}k{i} = 1\n" for i in range(1_000)),
    "nested tables": "a = " + "{b=" * 400 + "1" + "}" * 400 + "\n",
    "nested lists": "a = " + "[" * 400 + "1" + "]" * 400 + "\n",
    "many unknown names": "".join(f"k{i} = 1\n" for i in range(7_000)),
}


@pytest.mark.parametrize("read", [layshaft.read_car, layshaft.read_parts, layshaft.read_track])
@pytest.mark.parametrize("name", ENDLESS)
def test_no_set_up_file_takes_long_to_refuse(name: str, read: object, tmp_path: Path) -> None:
    file = tmp_path / "endless.toml"
    file.write_text(ENDLESS[name])
    start = time.monotonic()
    with pytest.raises(layshaft.SetupError, match=r"endless\.toml"):
        read(file)
    assert time.monotonic() - start < PATIENCE


def test_the_line_of_an_endless_key_is_told(tmp_path: Path) -> None:
    file = tmp_path / "endless.toml"
    file.write_text("# a note\n[two_speed]\n" + ".".join("k" * 21) + " = 1\n")
    with pytest.raises(layshaft.SetupError) as caught:
        layshaft.read_car(file)
    assert str(caught.value) == f"{file}:3: must not have a key of more than 20 parts"
    # In a note and in a text it is none.
    file.write_text('name = "' + ".".join("k" * 30) + '" # ' + ".".join("k" * 30) + "\n")
    with pytest.raises(layshaft.SetupError, match="segment"):
        layshaft.read_track(file)


def test_warnings_of_another_version_stay(whole: Path, tmp_path: Path) -> None:
    file = tampered(whole, tmp_path, "run.nc", layshaft_version="0.0.1")
    with (
        pytest.warns(UserWarning, match="has no checksum"),
        pytest.warns(UserWarning, match=r"written by layshaft 0\.0\.1"),
    ):
        layshaft.rerun(file)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        layshaft.rerun(whole / "run.nc")
