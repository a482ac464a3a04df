"""What is handed to the functions: of a wrong kind it is refused by its name, of a right one used.

A lap and a map of gap and gears can do all that a launch and a sweep can: saved, loaded, computed
again, traced.
"""

import math
from pathlib import Path

import layshaft
import numpy as np
import pytest

CAR = layshaft.demo_car()
BOX = layshaft.Parts(first_pinions=(16, 17), first_spurs=(50, 51))
HEARD = [layshaft.observe("shift_speed", "55 km/h", changes={"two_speed.gap": "4.8 mm"})]

#: By the argument that is refused: calls with something else there.
WRONG = {
    "car": [
        lambda: layshaft.launch("car.toml"),
        lambda: layshaft.launch(None),
        lambda: layshaft.launch({"first.pinion": 16}),
        lambda: layshaft.lap("car.toml", "club"),
        lambda: layshaft.sweep("car.toml", {"first.pinion": [16]}),
        lambda: layshaft.recommend("car.toml"),
        lambda: layshaft.trade_off("car.toml", [layshaft.goals.quickest()] * 2, {}),
        lambda: layshaft.learn("car.toml", HEARD),
        lambda: layshaft.scatter("car.toml"),
        lambda: layshaft.gear_map("car.toml", "club"),
        lambda: layshaft.stint("car.toml", "club"),
        lambda: layshaft.mesh("car.toml", BOX),
        lambda: layshaft.tyre_pairs("car.toml"),
        lambda: layshaft.unknown("car.toml", "two_speed.spring_rate"),
        lambda: layshaft.write_car("car.toml", "other.toml"),
        lambda: layshaft.facts("car.toml"),
        lambda: layshaft.doubts("car.toml"),
        lambda: layshaft.write_fmu("car.toml", "car.fmu"),
    ],
    "parts": [
        lambda: layshaft.mesh(CAR, "parts.toml"),
        lambda: layshaft.tyre_pairs(CAR, "parts.toml"),
        lambda: layshaft.recommend(CAR, parts="parts.toml"),
    ],
    "learned": [
        lambda: layshaft.recommend(CAR, learned="learned.json"),
        lambda: layshaft.suggest("learned.json"),
    ],
    "goal": [lambda: layshaft.recommend(CAR, goal="quickest")],
    "goals": [lambda: layshaft.trade_off(CAR, ["quickest", "cool-shoes"], {})],
    "seen": [
        lambda: layshaft.learn(CAR, "seen.csv"),
        lambda: layshaft.learn(CAR, ["55 km/h"]),
    ],
    "axes": [
        lambda: layshaft.sweep(CAR, ["two_speed.gap"]),
        lambda: layshaft.sweep(CAR, {3: 4}),
    ],
    "changes": [
        lambda: layshaft.Car(["first.pinion"]),
        lambda: CAR.replace("first.pinion"),
        lambda: layshaft.observe("shift_speed", 15.0, changes="first.pinion"),
    ],
    "over": [
        lambda: layshaft.recommend(CAR, "two_speed.gap"),
        lambda: layshaft.recommend(CAR, over={3: 4}),
    ],
    "measured": [
        lambda: layshaft.write_car(CAR, "other.toml", measured="first.pinion"),
        lambda: layshaft.doubts(CAR, measured=3),
    ],
    "found": [
        lambda: layshaft.reports.facts_sentences(CAR),
        lambda: layshaft.reports.gear_rows(None),
        lambda: layshaft.reports.doubts_sentences("x"),
        lambda: layshaft.reports.doubts_rows(None),
    ],
    "names": [lambda: layshaft.reports.sheet_sentences("two_speed")],
    "settings": [lambda: layshaft.doubts(CAR, settings="first.pinion")],
    "limits": [lambda: layshaft.recommend(CAR, limits="peak_engine_speed")],
    "spreads": [lambda: layshaft.scatter(CAR, "two_speed.gap")],
    "measure": [lambda: layshaft.observe(["time"], 1.0)],
    "path": [
        lambda: layshaft.read_car(3),
        lambda: layshaft.read_car(b"car.toml"),
        lambda: layshaft.measured_in(None),
        lambda: layshaft.read_track(3),
        lambda: layshaft.read_parts(None),
        lambda: layshaft.read_learned(3),
        lambda: layshaft.load(3),
        lambda: layshaft.rerun(3),
    ],
    "given": [lambda: layshaft.read_log(3, error="1 km/h"), lambda: layshaft.read_observations(3)],
    "file": [lambda: layshaft.sweep(CAR, {"first.pinion": [16]}, file=3)],
    "map": [lambda: layshaft.sweep(CAR, {"first.pinion": [16]}, map="x")],
    "gears": [lambda: layshaft.gear_map(CAR, "club", gears=17)],
}


@pytest.mark.parametrize(
    ("name", "number"), [(name, n) for name, calls in WRONG.items() for n in range(len(calls))]
)
def test_an_argument_of_a_wrong_kind_is_named(
    name: str, number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(TypeError, match=rf"^{name} = .* must "):
        WRONG[name][number]()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "options",
    [
        {"tolerance": "fine"},
        {"tolerance": None},
        {"tolerance": [1e-6]},
        {"most_steps": 1.5},
        {"most_steps": "many"},
        {"most_steps": math.nan},
        {"most_steps": 10**30},
        {"longest_time": [1.0]},
    ],
)
def test_an_option_of_a_wrong_kind_is_named(options: dict[str, object]) -> None:
    (name,) = options
    with pytest.raises(ValueError, match=rf"^{name} = "):
        layshaft.launch(CAR, **options)
    with pytest.raises(ValueError, match=rf"^{name} = "):
        layshaft.lap(CAR, "club", **options)


@pytest.mark.parametrize(
    "options", [{"pedals": 1.0}, {"pedals": [1.0]}, {"pedals": "all"}, {"distances": object()}]
)
def test_a_list_of_a_wrong_kind_is_named(options: dict[str, object]) -> None:
    (name,) = options
    with pytest.raises(ValueError, match=rf"^{name}"):
        layshaft.launch(CAR, **options)


#: By the name that is refused: calls with no number there.
NO_NUMBER = {
    "times": [
        lambda: layshaft.lap_times(21.7, track="club"),
        lambda: layshaft.run_log("car_speed", 1.0, [1.0], error=1.0),
    ],
    "values": [lambda: layshaft.run_log("car_speed", [0.5, 1.0], None, error=1.0)],
    "distances": [lambda: layshaft.lap_log("car_speed", 1.0, [1.0], track="club", error=1.0)],
    "engine_speeds": [lambda: layshaft.mesh(CAR, BOX, engine_speeds="30 krpm")],
    "within": [lambda: layshaft.goals.coolest_shoes(within=None)],
    "shift speed": [lambda: layshaft.goals.shift_at(10**400)],
    "shift_speed": [lambda: layshaft.observe("shift_speed", 10**400)],
    "error of shift_speed": [lambda: layshaft.observe("shift_speed", 15.0, error=CAR)],
    "samples": [lambda: layshaft.scatter(CAR, samples="many")],
    "duration": [lambda: layshaft.stint(CAR, "club", duration=None)],
    "x": [lambda: layshaft.tracks.track.through_points(1.0, 1.0, name="x")],
}


@pytest.mark.parametrize(
    ("name", "number"), [(name, n) for name, calls in NO_NUMBER.items() for n in range(len(calls))]
)
def test_what_is_no_number_or_no_list_of_them_is_named(name: str, number: int) -> None:
    with pytest.raises(ValueError, match=rf"^{name} = .* must be "):
        NO_NUMBER[name][number]()


def test_one_observation_is_enough() -> None:
    paths = ["two_speed.zero_preload_reading"]
    assert layshaft.learn(CAR, HEARD[0], paths).values == layshaft.learn(CAR, HEARD, paths).values


def test_a_launch_has_no_track() -> None:
    with pytest.raises(TypeError, match=r"layshaft\.lap drives one"):
        layshaft.launch(CAR, track="club")


# Scalars that a kind of run does not have.

TIMED = {"lap_time": "22 s"}


def test_a_limit_of_a_lap_needs_a_track() -> None:
    with pytest.raises(ValueError, match=r"^lap_time: only a lap has this scalar; give a track$"):
        layshaft.recommend(CAR, limits=TIMED)
    with pytest.raises(ValueError, match="lap_time: only a lap"):
        layshaft.trade_off(
            CAR,
            [layshaft.goals.quickest(), layshaft.goals.coolest_shoes()],
            {"first.pinion": [16, 17]},
            limits=TIMED,
        )
    with pytest.raises(ValueError, match="lap_time: only a lap"):
        layshaft.observe("lap_time", "21 s", error="0.1 s")
    with pytest.raises(ValueError, match="end_distance: only a launch has this scalar"):
        layshaft.observe("end_distance", "10 m", error="1 m", track="club")


def test_a_limit_of_a_lap_holds_on_a_track() -> None:
    over = {"two_speed.gap": ["4.4 mm", "4.8 mm"]}
    goal = layshaft.goals.coolest_shoes(track="club")
    advice = layshaft.recommend(CAR, over, goal=goal, limits={"lap_time": "60 s"})
    assert advice.settings["two_speed.gap"] in (0.0044, 0.0048)


# A lap, a map of gap and gears: saved, loaded, computed again, traced.


@pytest.fixture(scope="module")
def lap_run() -> layshaft.LapRun:
    return layshaft.lap(CAR, "club", sample_spacing=1.0)


@pytest.fixture(scope="module")
def chart() -> object:
    sets = [{"first.pinion": 17}, {"first.pinion": 18, "first.spur": 49}]
    return layshaft.gear_map(CAR, "club", gears=sets, gaps=["4.6 mm", "5 mm"])


def test_save_takes_runs_as_they_are(lap_run: layshaft.LapRun, tmp_path: Path) -> None:
    layshaft.save(lap_run, tmp_path / "lap.nc")
    lap_run.save(tmp_path / "own.nc")
    assert layshaft.load(tmp_path / "lap.nc").identical(layshaft.load(tmp_path / "own.nc"))
    launched = layshaft.launch(CAR, distance=5.0)
    layshaft.save(launched, tmp_path / "launch.nc")
    assert layshaft.load(tmp_path / "launch.nc").identical(launched.to_dataset())


@pytest.mark.parametrize("given", [None, "run.nc", np.zeros(3), CAR, HEARD])
def test_save_refuses_what_is_no_result(given: object, tmp_path: Path) -> None:
    with pytest.raises(TypeError, match=r"save takes a table or a run, not <"):
        layshaft.save(given, tmp_path / "result.nc")
    assert list(tmp_path.iterdir()) == []


def test_a_saved_lap_is_driven_again_bit_for_bit(lap_run: layshaft.LapRun, tmp_path: Path) -> None:
    layshaft.save(lap_run, tmp_path / "lap.nc")
    again = layshaft.rerun(tmp_path / "lap.nc")
    assert isinstance(again, layshaft.LapRun)
    assert again.samples.identical(lap_run.samples)
    assert again.scalars.identical(lap_run.scalars)


def test_a_saved_map_is_computed_again_bit_for_bit(chart: object, tmp_path: Path) -> None:
    layshaft.save(chart, tmp_path / "map.nc")
    assert layshaft.load(tmp_path / "map.nc").identical(chart)
    assert layshaft.rerun(tmp_path / "map.nc").identical(chart)


def test_a_part_of_a_map_is_computed_again(chart: object, tmp_path: Path) -> None:
    part = chart.isel(gears=[1], gap=[0])
    layshaft.save(part, tmp_path / "part.nc")
    assert layshaft.rerun(tmp_path / "part.nc").lap_time.identical(part.lap_time)


@pytest.mark.parametrize("gears", [0, 1])
def test_a_point_of_a_map_is_traced_with_its_gears(chart: object, gears: int) -> None:
    point = chart.isel(gears=gears, gap=1)
    run = layshaft.trace(point)
    assert layshaft.sweeps.track_gears.gear_text(run.car, {}) == point.gears.item()
    assert run.car["two_speed.gap"] == 0.005
    assert run.time == point.lap_time.item()  # the same lap, bit for bit
    assert run.samples.sizes["distance"] > 100


def test_a_point_of_a_sweep_of_laps_is_traced() -> None:
    table = layshaft.sweep(CAR, {"two_speed.gap": ["4.6 mm", "5 mm"]}, track="club")
    point = table.isel(two_speed_gap=1)
    run = layshaft.trace(point)
    assert isinstance(run, layshaft.LapRun)
    assert run.time == point.lap_time.item()
    assert run.samples.sizes["distance"] > 100


def test_a_trace_needs_a_point_of_a_table(lap_run: layshaft.LapRun, chart: object) -> None:
    for given in (None, "table.nc", lap_run.samples, chart.drop_attrs()):
        with pytest.raises(ValueError, match="a trace needs a point"):
            layshaft.trace(given)
    with pytest.raises(ValueError, match="a trace needs one point: gears has 2 values"):
        layshaft.trace(chart.isel(gap=0))


def test_a_table_of_numbers_alone_is_not_computed_again(
    lap_run: layshaft.LapRun, tmp_path: Path
) -> None:
    lap_run.save(tmp_path / "lap.csv")
    with pytest.raises(ValueError, match=r"lap\.csv' must end in \.nc"):
        layshaft.rerun(tmp_path / "lap.csv")


def test_a_grade_is_refused_as_it_was_given() -> None:
    with pytest.raises(ValueError, match=r"^grade = '300 %' must be from -1 to 1"):
        layshaft.launch(CAR, grade="300 %")


def test_a_map_that_returns_nothing_is_told() -> None:
    with pytest.raises(TypeError, match="map returned None; it must return the results"):
        layshaft.sweep(CAR, {"first.pinion": [16]}, map=lambda _function, _blocks: None)


def test_a_car_has_fields_by_text_alone() -> None:
    with pytest.raises(KeyError, match="must be the path of a field"):
        CAR[[]]


def test_a_measure_too_great_for_a_number_is_told() -> None:
    with pytest.raises(TypeError, match="measure huge must return a number"):
        layshaft.sweep(CAR, {"first.pinion": [16]}, measures={"huge": lambda _: 10**400})


@pytest.mark.parametrize(
    "call",
    [
        lambda: layshaft.launch(CAR, distance=True),
        lambda: layshaft.observe("shift_speed", True),
        lambda: layshaft.stint(CAR, "club", duration=np.bool_(True)),
        lambda: CAR.replace({"body.mass": True}),
    ],
)
def test_yes_is_no_number(call: object) -> None:
    with pytest.raises(ValueError, match="= True must be"):
        call()


@pytest.mark.parametrize(
    "call",
    [
        lambda: CAR.replace({"body.mass": "9" * 100_000}),
        lambda: layshaft.launch(CAR, distance="9" * 100_000),
        lambda: layshaft.sweep(CAR, {"body.mass": ["9" * 100_000]}),
        lambda: layshaft.observe("shift_speed", "9" * 100_000),
        lambda: layshaft.scatter(CAR, samples="9" * 100_000),
    ],
)
def test_a_message_shows_no_more_than_a_line_of_what_was_given(call: object) -> None:
    with pytest.raises(ValueError, match="999") as caught:
        call()
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize("path", ["", "a\0.nc"])
@pytest.mark.parametrize("read", [layshaft.load, layshaft.read_car, layshaft.read_track])
def test_text_that_names_no_file_is_a_wrong_value(read: object, path: str) -> None:
    with pytest.raises(ValueError, match=r"path = .* must be the name of a file"):
        read(path)
