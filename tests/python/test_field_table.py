"""The field table reaches Python whole."""

from layshaft import _core
from layshaft.setup import field_table


def test_paths_are_unique_and_every_default_is_in_its_range() -> None:
    fields = field_table.fields()
    assert len({field.path for field in fields}) == len(fields) > 100
    for field in fields:
        assert field.minimum <= field.fallback <= field.maximum
        assert field.meaning


def test_kinds_tell_choices_from_numbers() -> None:
    for field in field_table.fields():
        assert field.kind in {"number", "count", "choice"}
        assert bool(field.choices) == (field.kind == "choice")
    design = field_table.find_field("clutch.design")
    assert design is not None
    assert design.choices == ("axial", "thrown_shoes")


def test_a_pair_stands_for_both_shoes() -> None:
    assert field_table.pairs()["two_speed.gap"] == ("two_speed.shoe_1.gap", "two_speed.shoe_2.gap")
    for shoes in field_table.pairs().values():
        first, second = map(field_table.find_field, shoes)
        assert (first.unit, first.minimum, first.maximum) == (
            second.unit,
            second.minimum,
            second.maximum,
        )


def test_sections_hold_every_path_once() -> None:
    paths = [path for members in field_table.sections().values() for path in members.values()]
    assert len(set(paths)) == len(paths)
    leaves = {path for path in paths if path not in field_table.sections()}
    assert leaves == {*field_table.positions(), *field_table.pairs(), field_table.CURVE}


def test_the_nearest_name_is_told_for_sections_too() -> None:
    assert field_table.unknown("two_sped").endswith(" two_speed")
    assert field_table.unknown("clutch.axial.wer").endswith(" clutch.axial.wear")
    assert field_table.unknown("two_speed.gapp").endswith(" two_speed.gap")


def test_the_curve_takes_two_points_or_more() -> None:
    points = [[float(speed), 0.1] for speed in range(3 * _core.max_curve_points)]
    assert field_table.to_points(points) == (tuple(map(tuple, points)), [])
    assert field_table.to_points(points[:2])[1] == []
    assert field_table.to_points(points[:1])[1]
