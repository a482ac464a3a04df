"""Measures of one's own: what a function says of a run stands wherever a scalar of it may."""

from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import layshaft
import numpy as np
import pytest
from layshaft import goals
from layshaft.reports import advice_sentences

DISTANCE = 30.0
AXES = {"two_speed.gap": ["4.4 mm", "4.6 mm"], "first.pinion": [16, 17]}


def shift_again(run: layshaft.LaunchRun) -> float:
    """Say the shift speed once more."""
    return run.scalars.shift_speed


def hottest(run: layshaft.LaunchRun) -> float:
    """Say how hot the linings of the shoes get, from the samples."""
    return run.samples.shoe_lining_temperature.max()


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.demo_car()


def test_a_measure_is_a_variable_of_the_table_with_its_unit_and_meaning(car: layshaft.Car) -> None:
    measures = {"again": (shift_again, "m/s"), "heat": (hottest, "K"), "one": lambda run: 1}
    table = layshaft.sweep(car, AXES, distance=DISTANCE, measures=measures)
    np.testing.assert_array_equal(table.again, table.shift_speed)
    assert table.again.attrs == {"units": "m/s", "long_name": "Say the shift speed once more"}
    assert table.heat.attrs["units"] == "K"
    assert (table.one == 1.0).all()
    assert table.one.attrs["units"] == "1"


def test_a_measure_sees_the_run_that_a_trace_of_its_point_gives(car: layshaft.Car) -> None:
    table = layshaft.sweep(car, AXES, distance=DISTANCE, measures={"heat": (hottest, "K")})
    point = table.isel(two_speed_gap=1, first_pinion=0)
    assert point.heat == hottest(layshaft.trace(point))
    assert len(np.unique(table.heat)) == 4  # each point its own


def test_shoes_named_beside_their_pair_are_those_of_the_measured_car(car: layshaft.Car) -> None:
    axes = {"two_speed.shoe_1.gap": [0.0044], "two_speed.gap": [0.0048]}
    gaps = {"one": lambda run: run.car["two_speed.shoe_1.gap"]}
    table = layshaft.sweep(car, axes, distance=DISTANCE, measures=gaps)
    assert table.one.item() == 0.0044


def test_a_run_that_fails_has_no_measure(car: layshaft.Car) -> None:
    def never(run: layshaft.LaunchRun) -> float:
        raise AssertionError

    axes = {"two_speed.gap": ["4.6 mm"]}
    with pytest.warns(UserWarning, match="failed"):
        table = layshaft.sweep(car, axes, most_steps=10, measures={"never": never})
    assert table.status.item() == "early"
    assert np.isnan(table.never.item())


def test_measures_of_laps_take_laps(car: layshaft.Car) -> None:
    measures = {"shifts": lambda run: len(run.shifts)}
    table = layshaft.sweep(car, {"first.pinion": [16, 17]}, track="club", measures=measures)
    np.testing.assert_array_equal(table.shifts, table.upshifts + table.downshifts)


def test_processes_take_measures(car: layshaft.Car) -> None:
    options = {"distance": DISTANCE, "measures": {"heat": (hottest, "K")}}
    alone = layshaft.sweep(car, AXES, **options)
    with ProcessPoolExecutor(2) as pool:
        assert layshaft.sweep(car, AXES, map=pool.map, chunk=2, **options).identical(alone)


def test_a_file_holds_the_values_and_not_the_function(car: layshaft.Car, tmp_path: Path) -> None:
    file = tmp_path / "sweep.nc"
    options = {"distance": DISTANCE, "measures": {"heat": (hottest, "K")}, "file": file}
    table = layshaft.sweep(car, AXES, **options).load()
    assert layshaft.sweep(car, AXES, **options).load().identical(table)
    assert layshaft.load(file).heat.identical(table.heat)
    with pytest.raises(ValueError, match="measures"):
        layshaft.sweep(car, AXES, distance=DISTANCE, file=file)
    with pytest.raises(ValueError, match="heat: a file holds the values of a measure, not its"):
        layshaft.rerun(file)
    assert layshaft.trace(table.isel(two_speed_gap=0, first_pinion=0)).status == "finished"


def test_a_goal_of_ones_own_finds_what_the_same_goal_of_the_library_finds(
    car: layshaft.Car,
) -> None:
    over = {"two_speed.gap": layshaft.Between("4.4 mm", "4.8 mm")}
    own = goals.measure(
        shift_again, unit="m/s", target="54 km/h", within="1 km/h", distance=DISTANCE
    )
    wanted = layshaft.recommend(car, over, goal=goals.shift_at("54 km/h", distance=DISTANCE))
    found = layshaft.recommend(car, over, goal=own)
    assert found.settings == wanted.settings
    assert found.cost == wanted.cost
    assert own.name == "shift again at 54.0 km/h"


def test_a_measure_may_be_a_limit_and_part_of_a_trade_off(car: layshaft.Car) -> None:
    options = {"distance": DISTANCE, "measures": {"heat": (hottest, "K")}}
    over = {"two_speed.gap": ["4.4 mm", "4.6 mm", "4.8 mm"]}
    table = layshaft.sweep(car, over, **options)
    least = float(table.heat.min())
    goal = goals.quickest(**options)
    advice = layshaft.recommend(car, over, goal=goal, limits={"heat": least})
    assert (
        advice.settings["two_speed.gap"] == table.two_speed_gap[int(np.argmin(table.heat.values))]
    )
    both = [goals.measure(hottest, unit="K", distance=DISTANCE), goal]
    found = layshaft.trade_off(car, both, over)
    np.testing.assert_array_equal(found.costs[:, 0], table.heat)


def test_an_observation_of_ones_own_teaches_what_the_librarys_teaches(car: layshaft.Car) -> None:
    own = layshaft.observe(shift_again, "52 km/h", error="2 km/h", unit="m/s", distance=DISTANCE)
    same = layshaft.observe("shift_speed", "52 km/h", error="2 km/h", distance=DISTANCE)
    assert own.value == same.value
    learned = [layshaft.learn(car, [seen]) for seen in (own, same)]
    assert learned[0].values == learned[1].values


def test_an_observation_of_ones_own_may_be_beyond_what_any_scalar_of_the_run_can_be(
    tmp_path: Path, car: layshaft.Car
) -> None:
    def way(run: layshaft.LaunchRun) -> float:
        return 1000.0 * run.scalars.shift_distance

    own = layshaft.observe(way, 6000.0, error=500.0, unit="m", distance=DISTANCE)
    layshaft.learn(car, [own]).save(tmp_path / "learned.json")
    (number,) = layshaft.read_learned(tmp_path / "learned.json").numbers
    assert number.value == 6000.0
    with pytest.raises(ValueError, match=r"shift_distance = .* must be from 0 m to"):
        layshaft.observe("shift_distance", 6000.0, error=500.0, distance=DISTANCE)


def test_advice_on_a_goal_in_any_unit_is_put_in_words(car: layshaft.Car) -> None:
    def way(run: layshaft.LaunchRun) -> float:
        return run.scalars.shift_distance

    over = {"two_speed.gap": ["4.4 mm", "4.8 mm", "5 mm"]}
    goal = goals.measure(way, unit="m", within="0.1 m", distance=DISTANCE)
    advice = layshaft.recommend(car, over, goal=goal)
    sentences = " ".join(advice_sentences(advice))
    assert f"way {advice.value:.1f} m" in sentences
    assert f"{advice.gain:.1f} m better than now" in sentences


def test_a_goal_of_ones_own_that_no_run_has_says_what_is_missing(car: layshaft.Car) -> None:
    goal = goals.measure(lambda run: float("nan"), name="last_word", distance=DISTANCE)
    with pytest.raises(ValueError, match="reaches the goal, last word: no last word"):
        layshaft.recommend(car, {"two_speed.gap": ["4.4 mm"]}, goal=goal)


def test_what_ones_own_observation_taught_is_saved_without_its_function(
    car: layshaft.Car, tmp_path: Path
) -> None:
    own = layshaft.observe(shift_again, "52 km/h", error="2 km/h", unit="m/s", distance=DISTANCE)
    learned = layshaft.learn(car, [own])
    learned.save(tmp_path / "learned.json")
    read = layshaft.read_learned(tmp_path / "learned.json")
    assert read.values == learned.values
    (number,) = read.numbers
    assert (number.measure, number.value) == ("shift_again", own.value)
    with pytest.raises(ValueError, match="shift_again: a file holds the values of a measure"):
        layshaft.suggest(read, read.numbers)


@pytest.mark.parametrize(
    ("measures", "error", "message"),
    [
        ({"x": 3}, TypeError, "measure 'x' = 3 must be a function of a run"),
        ({"shift_speed": len}, ValueError, "a name that no scalar of a run has"),
        ({"status": len}, ValueError, "a name that no scalar of a run has"),
        ({"a b": len}, ValueError, "a name of letters, digits and _"),
        ({"x": (len, "km/h")}, ValueError, "unit = 'km/h' must be one of"),
        ({"two_speed_gap": len}, ValueError, "'two_speed_gap' must have a name that no scalar"),
        ([len], TypeError, "measures = <list>"),
        ({"x": lambda run: "much"}, TypeError, "measure x must return a number, not <str>"),
    ],
)
def test_what_is_no_measure_is_refused(
    car: layshaft.Car, measures: object, error: type[Exception], message: str
) -> None:
    with pytest.raises(error, match=message):
        layshaft.sweep(car, {"first.pinion": [16]}, distance=5.0, measures=measures)


def test_a_function_without_a_name_needs_one() -> None:
    with pytest.raises(ValueError, match="must have a name"):
        goals.measure(lambda run: 1.0)
    assert goals.measure(lambda run: 1.0, name="one").measure == "one"


def test_what_has_no_place_for_measures_refuses_them(car: layshaft.Car) -> None:
    own = {"measures": {"x": len}}
    lap = {"track": "club", **own}
    for call in (
        lambda: layshaft.launch(car, **own),
        lambda: layshaft.lap(car, **lap),
        lambda: layshaft.stint(car, **lap),
        lambda: layshaft.run_log("car_speed", [0.5, 1.0], [5.0, 9.0], error=1.0, **own),
        lambda: layshaft.lap_log("car_speed", [5.0, 9.0], [5.0, 9.0], error=1.0, **lap),
        lambda: layshaft.lap_times([20.0], **lap),
    ):
        with pytest.raises(TypeError, match="takes no measures"):
            call()


def test_a_map_of_gap_and_gears_has_measures_too(car: layshaft.Car) -> None:
    measures = {"shifts": lambda run: len(run.shifts)}
    gears = [{"first.pinion": 17}]
    table = layshaft.gear_map(car, "club", gears=gears, gaps=["4.6 mm"], measures=measures)
    assert table.shifts.item() == table.upshifts.item() + len(
        [event for event in layshaft.trace(table).shifts if event.kind == "downshift"]
    )
