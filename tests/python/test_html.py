"""What a notebook shows of a car, a run, advice: tables with units, whatever the texts hold."""

import re

import layshaft
import pytest
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
    run = layshaft.launch(layshaft.demo_car(), distances=[5.0, 10.0], distance=10.0)
    rows = cells(run)
    assert [row[0] for row in rows] == ["5 m", "10 m"]
    for row, time, speed in zip(rows, run.times.values, run.speeds.values, strict=True):
        assert float(row[1].removesuffix(" s")) == pytest.approx(time, abs=0.0005)
        assert float(row[2].removesuffix(" km/h")) == pytest.approx(speed * 3.6, abs=0.05)


def test_a_lap_shows_its_sectors() -> None:
    run = layshaft.lap(layshaft.demo_car(), "club")
    times = [float(row[1].removesuffix(" s")) for row in cells(run)]
    assert sum(times) == pytest.approx(run.time, abs=0.0005 * len(times))
    assert len(times) == len(run.sector_times) > 1


def test_advice_shows_what_to_do() -> None:
    goal = layshaft.goals.quickest(distance=20.0)
    advice = layshaft.recommend(layshaft.demo_car(), {"first.pinion": [16, 17]}, goal=goal)
    assert [row[0] for row in cells(advice)] == (
        [move.text for move in advice.moves] or ["leave all as it is"]
    )
    assert "time over 20 m" in advice._repr_html_()


def test_texts_cannot_be_taken_for_tags() -> None:
    assert html_table("a < b", ["<i>"], [["&"]]).count("&lt;") == 2
