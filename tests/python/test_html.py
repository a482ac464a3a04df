"""What a notebook shows of a car, a run, advice: tables with units, whatever the texts hold."""

import re

import layshaft
import pytest
import trial
from layshaft.advice.recommendation import Recommendation
from layshaft.quantities.html_table import html_table


def cells(shown: object) -> list[list[str]]:
    """Return the rows of cells of what a notebook shows, and check that its tags pair up."""
    text = shown._repr_html_()
    for tag in ("b", "table", "tr", "th", "td"):
        assert text.count(f"<{tag}>") == text.count(f"</{tag}>")
    return [re.findall("<td>(.*?)</td>", row) for row in re.findall("<tr>(.*?)</tr>", text)[1:]]


def test_a_car_shows_what_differs_from_the_demo_car_in_the_units_of_the_workshop() -> None:
    car = layshaft.Car({"two_speed.gap": "4.3 mm", "first.pinion": 16, "clutch.design": "axial"})
    rows = {path: value for path, value, _ in cells(car)}
    assert rows["two_speed.gap"] == "4.3 mm"
    assert rows["first.pinion"] == "16"
    assert cells(layshaft.demo_car()) == [["every field", "as in the demo car", ""]]


def test_a_torque_curve_is_counted() -> None:
    points = [("10 krpm", "0.25 N*m"), ("20 krpm", "0.3 N*m"), ("35 krpm", "0.2 N*m")]
    ((path, value, _),) = cells(layshaft.Car({"engine.torque": points}))
    assert (path, value) == ("engine.torque", "3 points")


def test_a_launch_shows_its_marks() -> None:
    run = layshaft.launch(trial.CAR, distances=[5.0, 10.0], distance=10.0)
    rows = cells(run)
    assert [row[0] for row in rows] == ["5 m", "10 m"]
    for row, time, speed in zip(rows, run.times.values, run.speeds.values, strict=True):
        assert float(row[1].removesuffix(" s")) == pytest.approx(time, abs=0.0005)
        assert float(row[2].removesuffix(" km/h")) == pytest.approx(speed * 3.6, abs=0.05)


def test_a_lap_shows_its_sectors() -> None:
    run = layshaft.lap(trial.CAR, trial.CLUB)
    times = [float(row[1].removesuffix(" s")) for row in cells(run)]
    assert sum(times) == pytest.approx(run.time, abs=0.0005 * len(times))
    assert len(times) == len(run.sector_times) > 1


def shift_at_71(within: str) -> Recommendation:
    """Advise the demo car, which shifts at 66 km/h with the gap of 4.8 mm that it has."""
    goal = layshaft.goals.shift_at("71 km/h", within=within, distance=30.0)
    over = {"two_speed.gap": ["4.4 mm", "4.8 mm"]}
    return layshaft.recommend(trial.CAR, over, goal=goal)


def test_advice_shows_what_to_do() -> None:
    advice = shift_at_71("1 km/h")
    assert advice.moves
    assert [row[0] for row in cells(advice)] == [move.text for move in advice.moves]
    assert "shift at 71 km/h" in advice._repr_html_()


def test_advice_of_a_gain_too_small_to_notice_leaves_all_as_it_is() -> None:
    advice = shift_at_71("20 km/h")
    assert advice.moves
    assert cells(advice) == [["leave all as it is"]]


def test_advice_beside_a_car_that_breaks_a_limit_says_so_and_no_gain() -> None:
    car, over = trial.CAR, {"two_speed.gap": layshaft.Between("4.8 mm", "5.4 mm")}
    way = layshaft.launch(car).scalars.shift_distance.item()
    advice = layshaft.recommend(car, over, limits={"shift_distance": 0.9 * way})
    text = advice._repr_html_()
    assert "the car as it is goes beyond the limit of shift distance" in text
    assert "better" not in text


def test_texts_cannot_be_taken_for_tags() -> None:
    assert html_table("a < b", ["<i>"], [["&"]]).count("&lt;") == 2
