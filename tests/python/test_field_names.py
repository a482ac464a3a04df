"""What is refused has the name that stands in a set-up or among the options, in usual units."""

import re

import layshaft
import pytest

CAR = layshaft.demo_car()
#: As in C++: `FuelBlend.oil`.
STRUCT = re.compile(r"\b[A-Z]\w+\.[a-z_]\w*")
NUMBERS = [field for field in layshaft.fields() if field.kind == "number"]


@pytest.mark.parametrize("path", [field.path for field in NUMBERS])
def test_no_struct_of_the_core_is_named_where_a_field_is_refused(path: str) -> None:
    field = next(each for each in NUMBERS if each.path == path)
    for value in (field.minimum, field.maximum, -1.0, 1e9):
        assert not STRUCT.search(_refusal(path, value))


def _refusal(path: str, value: float) -> str:
    try:
        CAR.replace({path: value})
    except ValueError as error:
        return str(error)
    return ""


def test_a_blend_of_too_much_oil_is_told_by_its_field() -> None:
    with pytest.raises(ValueError, match=r"^fuel\.oil = 0\.4 must be .*, with nitromethane, < 1"):
        CAR.replace({"fuel.oil": 0.4, "fuel.nitromethane": 0.7})


def test_parts_alike_are_told_apart_and_numbers_have_their_unit() -> None:
    for part in ("clutch.heat", "two_speed_heat"):
        with pytest.raises(
            ValueError,
            match=rf"^{part}\.half_friction_temperature = 250 degC must be > fade_start_temp",
        ):
            CAR.replace(
                {
                    f"{part}.fade_start_temperature": "250 degC",
                    f"{part}.half_friction_temperature": "250 degC",
                }
            )


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"distances": [-1.0]}, r"distances = \[-1\.0\] must be ascending"),
        ({"pedals": [(0.0, 2.0, 0.0)]}, "pedals: throttle = 2 must be from 0 to 1"),
        ({"pedals": [(0.0, 0.0, 7.0)]}, "pedals: brake = 7 must be from 0 to 1"),
        ({"pedals": [(1.0, 0.0, 0.0), (0.5, 1.0, 0.0)]}, "pedals: time = 0.5 must be ascending"),
    ],
)
def test_an_option_of_a_launch_is_told_by_its_own_name(options: dict, said: str) -> None:
    with pytest.raises(ValueError, match=f"^{said}"):
        layshaft.launch(CAR, **options)


def test_a_track_is_told_by_its_own_names() -> None:
    club = layshaft.demo_track("club")
    steep = (club.pieces[0]._replace(grade=9.0), *club.pieces[1:])
    with pytest.raises(ValueError, match=r"^pieces\[0\]\.grade = 9 must be "):
        layshaft.lap(CAR, layshaft.Track("steep", steep))
    with pytest.raises(ValueError, match=r"^sectors = 3 must be ascending"):
        layshaft.lap(CAR, layshaft.Track("cut", club.pieces, (5.0, 3.0)))
    with pytest.raises(ValueError, match=r"^standing = 'no' must be True or False"):
        layshaft.lap(CAR, club, standing="no")
