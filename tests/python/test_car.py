"""The car is one immutable value that feels like data."""

import copy
import pickle
from fractions import Fraction

import layshaft
import numpy as np
import pytest
from layshaft.setup import field_table
from layshaft.setup.section import Section

CHANGED = layshaft.Car(
    {
        "two_speed.gap": "4.3 mm",
        "first.pinion": 16,
        "front_axle": "one_way",
        "engine.torque": [["6 krpm", "0.1 N*m"], [4000.0, 0.4], (4500, "0.2 Nm")],
    }
)


def test_the_demo_car_has_every_default_of_the_table() -> None:
    car = layshaft.demo_car()
    for field in field_table.fields():
        assert car[field.path] == field_table.as_stored(field, field.fallback)


def test_a_field_is_read_by_attribute_and_by_path() -> None:
    assert CHANGED.two_speed.shoe_1.gap == CHANGED["two_speed.shoe_2.gap"] == 4.3e-3
    assert CHANGED.two_speed.gap == CHANGED["two_speed.gap"] == 4.3e-3
    assert CHANGED.first.pinion == 16
    assert isinstance(CHANGED.first.pinion, int)
    assert CHANGED.front_axle == "one_way"
    assert CHANGED["clutch.design"] == CHANGED["clutch"].design == "axial"
    assert CHANGED.engine.torque[1:] == ((4000.0, 0.4), (4500.0, 0.2))


def test_a_change_leaves_the_old_car_alone() -> None:
    car = layshaft.demo_car()
    heavier = car.replace({"body.mass": "3 kg"})
    assert car.body.mass < heavier.body.mass == 3.0
    assert car == layshaft.demo_car() != heavier


def test_a_car_cannot_be_written_to() -> None:
    for owner, name in ((CHANGED, "front_axle"), (CHANGED.first, "pinion"), (CHANGED, "_core")):
        with pytest.raises(AttributeError, match="immutable"):
            setattr(owner, name, 17)
        with pytest.raises(AttributeError, match="immutable"):
            delattr(owner, name)


@pytest.mark.parametrize("name", ["gap", "slug_mass"])
def test_a_shoe_named_beside_the_pair_keeps_its_own_value(name: str) -> None:
    one = {f"two_speed.shoe_2.{name}": 4.4e-3}
    both = {f"two_speed.{name}": 4.3e-3}
    for changes in (one | both, both | one):
        car = layshaft.Car(changes)
        assert getattr(car.two_speed.shoe_1, name) == 4.3e-3
        assert getattr(car.two_speed.shoe_2, name) == 4.4e-3
    with pytest.raises(ValueError, match="the shoes differ"):
        _ = car[f"two_speed.{name}"]


def test_equal_cars_are_equal_whatever_they_were_made_of() -> None:
    other = layshaft.Car({"two_speed.shoe_1.gap": 4.3e-3, "two_speed.shoe_2.gap": "0.43 cm"})
    same = layshaft.Car({"two_speed.gap": np.float64(4.3e-3)})
    assert other == same
    assert hash(other) == hash(same)
    assert other != CHANGED
    assert other != "car"


def test_every_field_counts_in_the_comparison() -> None:
    core = layshaft.demo_car()._core
    for field in field_table.fields():
        value = field.minimum if field.fallback != field.minimum else field.maximum
        assert core.replace([(field.path, value)]) != core


def test_the_repr_evaluates_back_and_lists_only_what_differs() -> None:
    assert repr(layshaft.demo_car()) == "layshaft.Car()"
    assert repr(layshaft.Car({"two_speed.gap": "4.3 mm"})) == (
        "layshaft.Car({'two_speed.gap': 0.0043})"
    )
    unequal = CHANGED.replace({"two_speed.shoe_2.slug_mass": "0.8 g"})
    both = unequal.replace({"two_speed.shoe_1.slug_mass": "0.9 g"})
    for car in (CHANGED, unequal, both):
        assert eval(repr(car), {"layshaft": layshaft}) == car


def test_a_car_and_its_sections_can_be_pickled_and_copied() -> None:
    for again in (pickle.loads(pickle.dumps(CHANGED)), copy.deepcopy(CHANGED), copy.copy(CHANGED)):
        assert again == CHANGED
        assert again._core == CHANGED._core
    assert pickle.loads(pickle.dumps(CHANGED.two_speed)) == CHANGED.two_speed


def test_dir_names_fields_for_completion() -> None:
    assert {"two_speed", "front_axle", "replace"} <= set(dir(CHANGED))
    assert {"gap", "shoe_1", "clearance"} <= set(dir(CHANGED.two_speed))
    for name in set(dir(CHANGED)) & set(field_table.sections()[""]):
        assert getattr(CHANGED, name) is not None


def test_a_section_shows_its_fields_with_units() -> None:
    assert isinstance(CHANGED.first, Section)
    assert repr(CHANGED.first).splitlines()[:3] == [
        "first.spur = 50",
        "first.pinion = 16",
        "first.module = 0.0008 m",
    ]


def test_names_of_sections_hide_no_method() -> None:
    for section, members in field_table.sections().items():
        owner = Section if section else layshaft.Car
        assert not [name for name in members if hasattr(owner, name)]


def test_unknown_names_raise_with_the_nearest_known_one() -> None:
    with pytest.raises(KeyError, match=r"two_sped.gap: the nearest known name is two_speed.gap"):
        _ = CHANGED["two_sped.gap"]
    with pytest.raises(KeyError, match="nearest"):
        _ = CHANGED[""]
    with pytest.raises(AttributeError, match=r"two_speed.gapp: .* is two_speed.gap$"):
        _ = CHANGED.two_speed.gapp
    with pytest.raises(AttributeError, match=r"bodi: the nearest known name is body$"):
        _ = CHANGED.bodi
    with pytest.raises(ValueError, match=r"unknown field first.pinon: .* is first.pinion$"):
        CHANGED.replace({"first.pinon": 16})
    with pytest.raises(ValueError, match="unknown field first:"):
        CHANGED.replace({"first": 16})
    with pytest.raises(TypeError):
        iter(CHANGED)


REFUSED = [
    ("body.mass", 2550, "must be from 500 g to 20000 g; a plain number is in kg"),
    ("body.mass", "2550 mm", '"mm" is no unit of mass'),
    ("body.mass", True, "must be a mass"),
    ("body.mass", None, "must be a mass"),
    ("body.mass", [2.5], "must be a mass"),
    ("body.mass", float("nan"), "must be from"),
    ("body.mass", float("inf"), "must be from"),
    ("body.mass", 10**400, "must be from"),
    ("first.pinion", 16.5, "must be a whole number from 8 to 200"),
    ("first.pinion", 7, "must be a whole number from 8 to 200"),
    ("first.pinion", float("inf"), "must be a whole number from 8 to 200"),
    ("first.pinion", float("nan"), "must be a whole number from 8 to 200"),
    ("first.pinion", "16", "must be a whole number from 8 to 200"),
    ("first.pinion", True, "must be a whole number from 8 to 200"),
    ("front_axle", "fixed", 'must be one of "solid", "one_way"'),
    ("front_axle", 0, 'must be one of "solid", "one_way"'),
    ("engine.torque", 0.4, "must be a list of 2 or more points"),
    ("engine.torque", [[0, 0.1], [1, 0.2, 3]], r"engine.torque\[1\] must be a point"),
    ("engine.torque", [[0, 0.1], [0, 0.2]], r"\[1\] must have a higher speed"),
    ("engine.torque", [[0, 0.1], ["1 mm", 0.2]], r"\[1\] its speed must be a speed of turning"),
    ("engine.torque", [[0, 0.1], [1, 6]], r"\[1\] its torque must be from -2 N\*m to 5 N\*m"),
]


@pytest.mark.parametrize(("path", "value", "message"), REFUSED)
def test_a_bad_value_is_refused_with_its_name(path: str, value: object, message: str) -> None:
    with pytest.raises(ValueError, match=message) as caught:
        layshaft.Car({path: value})
    assert path in str(caught.value)


def test_numbers_of_other_kinds_are_taken() -> None:
    car = layshaft.Car(
        {"body.mass": Fraction(5, 2), "first.pinion": np.int64(16), "first.spur": 5e1}
    )
    assert (car.body.mass, car.first.pinion, car.first.spur) == (2.5, 16, 50)


def test_what_parts_must_fulfil_together_is_checked() -> None:
    first = layshaft.demo_car().first
    with pytest.raises(ValueError, match="spur / pinion of the second gear"):
        layshaft.Car({"second.spur": first.spur, "second.pinion": first.pinion})


def test_parts_that_do_not_fit_together_are_warned_of() -> None:
    def codes(changes: dict) -> set[str]:
        return {code for _, code, _ in layshaft.Car(changes).warnings()} - {"outside_published"}

    assert codes({}) == set()
    assert codes({"two_speed.gap": "3 mm"}) == {"never_shifts"}
    assert codes({"first.pinion": 16}) == {"no_shared_centre"}
    assert codes({"engine.speed_limit": "40 krpm"}) == {"over_limit"}
    assert codes({"engine.idle_speed": "21 krpm"}) == {"drags_at_idle"}
    assert codes({"belts.rear.tension": "2 N"}) >= {"belt_jumps"}
    assert codes({"front_tyre.radius": "36 mm"}) == {"front_leads"}
    assert codes({"front_tyre.radius": "33 mm"}) == {"front_lags"}
