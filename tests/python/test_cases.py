"""A table of cases: one row each, with what came of it or the reason why nothing did."""

from pathlib import Path

import layshaft
import numpy as np
import pandas
import pytest

DISTANCE = 20.0


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.demo_car()


def test_each_case_gives_what_its_run_alone_gives(car: layshaft.Car) -> None:
    cases = [
        {"two_speed.gap": "4.4 mm"},
        {"first.pinion": 16, "distance": "30 m"},
        {"two_speed.hold_in": "detent", "start_speed": "18 km/h"},
        {},
    ]
    table = layshaft.run_cases(car, cases, distance=DISTANCE)
    alone = [
        layshaft.launch(car.replace({"two_speed.gap": "4.4 mm"}), distance=DISTANCE),
        layshaft.launch(car.replace({"first.pinion": 16}), distance=30.0),
        layshaft.launch(
            car.replace({"two_speed.hold_in": "detent"}), distance=DISTANCE, start_speed="18 km/h"
        ),
        layshaft.launch(car, distance=DISTANCE),
    ]
    for name in alone[0].scalars:
        assert table[name].values.tolist() == [run.scalars[name].item() for run in alone], name
    assert table.time.values.tolist() == [run.times.values[-1] for run in alone]
    assert table.status.values.tolist() == ["finished"] * 4
    assert table.shift_speed.attrs["units"] == "m/s"


def test_the_table_shows_what_each_case_was(car: layshaft.Car) -> None:
    cases = [{"two_speed.gap": "4.4 mm"}, {"two_speed.hold_in": "detent", "distance": "30 m"}]
    table = layshaft.run_cases(car, cases, distance=DISTANCE)
    assert table.two_speed_gap.values.tolist() == [0.0044, car["two_speed.gap"]]
    assert table.two_speed_hold_in.values.tolist() == [car["two_speed.hold_in"], "detent"]
    assert table.distance.values.tolist() == [DISTANCE, 30.0]


def test_bad_cases_are_refused_with_the_reason_and_the_others_go_on(car: layshaft.Car) -> None:
    cases = [
        {"two_speed.gap": "44 mm"},
        {"distance": "-3 m"},
        {"engine.idle_speed": "40 krpm"},
        {"track": "nowhere.csv"},
        {"two_speed.gap": "4.5 mm"},
    ]
    told = r"4 of 5 cases have no result; first case 0: 1 run: two_speed.*; 1 run: distance"
    with pytest.warns(UserWarning, match=told):
        table = layshaft.run_cases(car, cases, distance=DISTANCE)
    assert table.status.values.tolist() == ["refused"] * 4 + ["finished"]
    named = ("two_speed.gap", "distance", "idle_speed", "nowhere.csv")
    for message, name in zip(table.message.values[:4], named, strict=True):
        assert name in message
    assert np.isnan(table.shift_speed.values[:4]).all()
    assert np.isfinite(table.shift_speed.values[4])


def test_launches_and_laps_stand_in_one_table(car: layshaft.Car) -> None:
    cases = [{"track": "club"}, {"distance": DISTANCE}]
    table = layshaft.run_cases(car, cases)
    lap = layshaft.lap(car, "club")
    assert table.lap_time.values[0] == table.time.values[0] == lap.time
    assert np.isnan(table.lap_time.values[1])
    assert table.track.values.tolist() == [lap.options.track.name, ""]
    assert np.isfinite(table.shift_speed.values).all()


def test_a_dataframe_gives_its_index_and_empty_cells_the_cars_own(car: layshaft.Car) -> None:
    frame = pandas.DataFrame(
        {"two_speed.gap": ["4.4 mm", None], "first.pinion": [np.nan, 16.0]}, index=["a", "b"]
    )
    table = layshaft.run_cases(car, frame, distance=DISTANCE)
    same = layshaft.run_cases(
        car, [{"two_speed.gap": "4.4 mm"}, {"first.pinion": 16}], distance=DISTANCE
    )
    assert table.case.values.tolist() == ["a", "b"]
    np.testing.assert_array_equal(table.time, same.time)
    assert table.to_dataframe().loc["b", "first_pinion"] == 16


def test_cases_take_measures(car: layshaft.Car) -> None:
    measures = {"pinion": lambda run: run.car.first.pinion}
    cases = [{"first.pinion": 16}, {"first.pinion": 17}]
    table = layshaft.run_cases(car, cases, distance=DISTANCE, measures=measures)
    assert table.pinion.values.tolist() == [16.0, 17.0]


@pytest.mark.parametrize("ending", ["nc", "csv"])
def test_the_table_can_be_saved(car: layshaft.Car, tmp_path: Path, ending: str) -> None:
    table = layshaft.run_cases(car, [{"first.pinion": 16}, {}], distance=DISTANCE)
    layshaft.save(table, tmp_path / f"cases.{ending}")
    read = layshaft.load(tmp_path / f"cases.{ending}")
    assert set(read.variables) == set(table.variables)
    np.testing.assert_array_equal(read.shift_speed, table.shift_speed)
    assert read.first_pinion.values.tolist() == [16, 17]


@pytest.mark.parametrize(
    ("cases", "error", "message"),
    [
        ([{"two_speed.gpa": 0.0045}], ValueError, "case 0: 'two_speed.gpa' is neither .* nearest"),
        ([{}, {"distnace": 30.0}], ValueError, "case 1: 'distnace' is neither a field"),
        ([3], TypeError, "case 0 = 3 must be a dictionary"),
        ("cases.csv", TypeError, "cases = <str> must be a list of dictionaries"),
        ({"first.pinion": [16]}, TypeError, "cases = <dict> must be"),
        ([], ValueError, "cases: 0 of them, which must be from 1"),
    ],
)
def test_what_is_no_table_of_cases_is_refused_before_any_run(
    car: layshaft.Car, cases: object, error: type[Exception], message: str
) -> None:
    with pytest.raises(error, match=message):
        layshaft.run_cases(car, cases)
