"""The schema admits what the reader takes and marks what it refuses."""

import json
import re
import tomllib

import layshaft
import pytest
from jsonschema import Draft7Validator
from layshaft.quantities import units
from layshaft.setup import field_table

SCHEMA = layshaft.setup_schema()
VALIDATOR = Draft7Validator(SCHEMA)


def paths_marked(text: str) -> set[str]:
    errors = VALIDATOR.iter_errors(tomllib.loads(text))
    return {".".join(str(part) for part in error.absolute_path) for error in errors}


def test_the_schema_is_one() -> None:
    Draft7Validator.check_schema(SCHEMA)


def test_the_demo_file_and_an_empty_one_fit() -> None:
    assert paths_marked(layshaft.demo_car().to_toml()) == set()
    assert paths_marked("") == set()


FITTING = [
    'two_speed.gap = "4.3 mm"',
    'two_speed.shoe_1.gap = "4.3mm"',
    "two_speed.gap = 4.3e-3",
    'engine.inertia = "140 g cm^2"',
    'air.temperature = "25 °C"',
    'air.relative_humidity = "50 %"',
    "air.relative_humidity = 0.5",
    "first.pinion = 16",
    'front_axle = "one_way"',
    'engine.torque = [["6 krpm", 0.1], [4000, "0.4 Nm"]]',
]


@pytest.mark.parametrize("text", FITTING)
def test_what_the_reader_takes_fits(text: str, tmp_path) -> None:
    assert paths_marked(text) == set()
    path = tmp_path / "car.toml"
    path.write_text(text, encoding="utf-8")
    layshaft.read_car(path)


BROKEN = [
    ('two_speed.gapp = "4.3 mm"', "two_speed"),
    ("extra = 1", ""),
    ('two_speed.gap = "4.3 g"', "two_speed.gap"),
    ('two_speed.gap = "4.3"', "two_speed.gap"),
    ("two_speed.gap = 4.3", "two_speed.gap"),
    ("two_speed.gap = true", "two_speed.gap"),
    ("two_speed = 1", "two_speed"),
    ("first.pinion = 16.5", "first.pinion"),
    ("first.pinion = 7", "first.pinion"),
    ('first.pinion = "16"', "first.pinion"),
    ('front_axle = "fixed"', "front_axle"),
    ('engine.torque = [["6 krpm", 0.1]]', "engine.torque"),
    ('engine.torque = [["6 krpm", 0.1], [4000]]', "engine.torque.1"),
    ('engine.torque = [["6 krpm", 0.1], [4000, 1, 2]]', "engine.torque.1"),
    ('engine.torque = [["6 krpm", 0.1], [4000, "1 mm"]]', "engine.torque.1.1"),
]


@pytest.mark.parametrize(("text", "marked"), BROKEN)
def test_what_the_reader_refuses_is_marked(text: str, marked: str, tmp_path) -> None:
    assert paths_marked(text) == {marked}
    path = tmp_path / "car.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(layshaft.SetupError):
        layshaft.read_car(path)


def test_every_default_fits_its_own_schema_and_is_read_as_the_default() -> None:
    for field in field_table.fields():
        schema = SCHEMA
        for name in field.path.split("."):
            schema = schema["properties"][name]
        assert Draft7Validator(schema).is_valid(schema["default"])
        assert field_table.to_number(field, schema["default"]) == field.fallback
        assert schema["description"].startswith(field.meaning)


@pytest.mark.parametrize("unit", units.QUANTITIES)
def test_text_in_usual_units_fits_the_pattern(unit: str) -> None:
    from layshaft.setup.schema import _pattern

    quantity = units.QUANTITIES[unit]
    pattern = re.compile(_pattern(unit))
    for usual in (quantity.unit, *quantity.others):
        assert pattern.search(f"-4.3e-2 {usual}".strip())
        assert not pattern.search(f"4.3 {usual}x")
        assert not pattern.search(f"x4.3 {usual}")
    assert pattern.search(quantity.example)


PARTS = Draft7Validator(layshaft.parts_schema())

PARTS_FITTING = [
    "",
    "[first]\npinions = [16, 17]\nspurs = [50]",
    '[tyres]\nrear_diameters = ["74 mm", 0.073]',
    '[slugs]\nmasses = ["0.8 g"]',
    '[mesh]\nleast_backlash = "0.04 mm"\nmost_backlash = 2e-4',
    "[belts]\nrear_in_teeth = [20]",
]
PARTS_BROKEN = [
    ("[third]\npinions = [16]", ""),
    ("first = 3", "first"),
    ("[first]\npinion = [16]", "first"),
    ("[first]\npinions = 16", "first.pinions"),
    ("[first]\npinions = []", "first.pinions"),
    ("[first]\npinions = [16, 16]", "first.pinions"),
    ("[first]\npinions = [16.5]", "first.pinions.0"),
    ("[first]\npinions = [16, 300]", "first.pinions.1"),
    ('[slugs]\nmasses = ["1 mm"]', "slugs.masses.0"),
    ("[mesh]\nleast_backlash = [1e-4]", "mesh.least_backlash"),
]


@pytest.mark.parametrize("text", PARTS_FITTING)
def test_parts_that_the_reader_takes_fit(text: str, tmp_path) -> None:
    assert list(PARTS.iter_errors(tomllib.loads(text))) == []
    path = tmp_path / "parts.toml"
    path.write_text(text, encoding="utf-8")
    layshaft.read_parts(path)


@pytest.mark.parametrize(("text", "marked"), PARTS_BROKEN)
def test_parts_that_the_reader_refuses_are_marked(text: str, marked: str, tmp_path) -> None:
    errors = PARTS.iter_errors(tomllib.loads(text))
    assert {".".join(map(str, error.absolute_path)) for error in errors} == {marked}
    path = tmp_path / "parts.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(layshaft.SetupError):
        layshaft.read_parts(path)


def test_every_part_has_its_meaning_shown() -> None:
    for section in layshaft.parts_schema()["properties"].values():
        for name, schema in section["properties"].items():
            assert schema["description"], name


def test_schemas_are_written_for_an_editor(tmp_path) -> None:
    files = layshaft.write_schemas(tmp_path)
    assert [file.name for file in files] == ["car.schema.json", "parts.schema.json"]
    assert [json.loads(file.read_text("utf-8")) for file in files] == [SCHEMA, PARTS.schema]
