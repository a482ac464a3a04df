"""Two set-ups side by side: only what differs, with what each difference is worth."""

import io

import layshaft
import numpy as np
import pytest
from layshaft.reports import comparison_rows
from rich.console import Console


def time_of(car: layshaft.Car, **options: object) -> float:
    return float(layshaft.launch(car, **options).times[-1])


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.demo_car()


def test_only_what_differs_is_listed_with_its_worth_alone(car: layshaft.Car) -> None:
    other = car.replace({"body.mass": "3.1 kg", "two_speed.gap": "4.1 mm"})
    found = layshaft.compare_setups(car, other, distance="40 m")
    by_path = {each.paths: each for each in found.differences}
    shoes = ("two_speed.shoe_1.gap", "two_speed.shoe_2.gap")
    assert set(by_path) == {("body.mass",), shoes}
    now = time_of(car, distance="40 m")
    assert found.first_time == now
    assert found.second_time == time_of(other, distance="40 m")
    assert found.together == found.second_time - found.first_time
    for paths, change in ((("body.mass",), "body.mass"), (shoes, "two_speed.gap")):
        alone = time_of(car.replace({change: other[change]}), distance="40 m")
        assert by_path[paths].worth == alone - now
    assert by_path[("body.mass",)].was == (car["body.mass"],)
    assert by_path[shoes].becomes == (0.0041, 0.0041)


def test_set_ups_alike_differ_in_nothing(car: layshaft.Car) -> None:
    found = layshaft.compare_setups(car, car.replace({}))
    assert found.differences == ()
    assert found.together == 0.0


def test_teeth_of_gears_are_one_difference_and_a_single_shoe_is_its_own(car: layshaft.Car) -> None:
    teeth = {"first.pinion": 18, "first.spur": 49, "second.pinion": 23, "second.spur": 44}
    other = car.replace({**teeth, "two_speed.shoe_2.gap": "4.45 mm"})
    found = layshaft.compare_setups(car, other)
    assert {each.paths for each in found.differences} == {
        ("first.pinion", "first.spur", "second.pinion", "second.spur"),
        ("two_speed.shoe_2.gap",),
    }


def test_the_engine_counts_by_its_whole_curve(car: layshaft.Car) -> None:
    broad = layshaft.demo_car("broad")
    (each,) = layshaft.compare_setups(car, broad).differences
    assert (each.paths, each.was, each.becomes) == (("engine.torque",), (), ())
    assert each.worth == time_of(broad) - time_of(car)
    both = layshaft.compare_setups(car, broad.replace({"first.pinion": 16}))
    assert both.second_time == time_of(broad.replace({"first.pinion": 16}))


def test_on_a_track_the_worth_is_that_of_a_lap(car: layshaft.Car) -> None:
    other = car.replace({"two_speed.gap": "4.2 mm"})
    found = layshaft.compare_setups(car, other, track="club")
    laps = [float(layshaft.lap(each, "club").scalars.lap_time) for each in (car, other)]
    assert [found.first_time, found.second_time] == pytest.approx(laps, rel=1e-12)


def test_what_cannot_run_alone_has_no_worth_and_comes_last(car: layshaft.Car) -> None:
    """Heavier it does not get there in the time, unless the other engine pulls it."""
    heavy = {"body.mass": "3.2 kg"}
    other = layshaft.demo_car("broad").replace({**heavy, "two_speed.gap": "4.2 mm"})
    limit = 0.5 * (time_of(car) + time_of(car.replace(heavy)))
    assert time_of(other) < limit
    found = layshaft.compare_setups(car, other, longest_time=limit)
    assert found.differences[-1].paths == ("body.mass",)
    assert np.isnan(found.differences[-1].worth)
    assert found.together < 0.0
    assert "no run" in printed(found, 60)


def printed(found: layshaft.Comparison, width: int, names: tuple[str, str] = ("dry", "wet")) -> str:
    paper = io.StringIO()
    Console(width=width, highlight=False, markup=False, file=paper).print(
        comparison_rows(found, *names)
    )
    return paper.getvalue()


def test_long_names_stand_below_the_table(car: layshaft.Car) -> None:
    found = layshaft.compare_setups(car, car.replace({"first.pinion": 16}))
    names = "x" * 80, "after the rain, " * 5
    text = printed(found, 40, names)
    assert "no room" not in text
    assert all(name.strip() in text.replace("\n", "").replace("  ", " ") for name in names[:1])
    assert "2nd: after the rain" in " ".join(text.split())


@pytest.mark.parametrize("width", [40, 80])
def test_the_table_is_read_at_any_width(car: layshaft.Car, width: int) -> None:
    other = car.replace({"two_speed.gap": "4.1 mm", "first.pinion": 16, "body.mass": "3 kg"})
    text = printed(layshaft.compare_setups(car, other), width)
    assert max(map(len, text.splitlines())) <= width
    assert "4.10 mm" in text
    assert "all together" in " ".join(text.split())
    assert "\u2026" not in text
    assert np.all([word in text for word in ("mass", "first pinion", "gap, both")])
